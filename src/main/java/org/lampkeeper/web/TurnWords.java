package org.lampkeeper.web;

import java.time.Instant;
import java.util.List;
import java.util.Optional;
import java.util.stream.Collectors;

import jakarta.enterprise.context.ApplicationScoped;

import org.lampkeeper.callout.Climb.Upcoming;
import org.lampkeeper.callout.Whom;
import org.lampkeeper.register.Contact;
import org.lampkeeper.register.People;
import org.lampkeeper.watch.SitePeople;

/** Names whoever a turn of a call-out list names, as a page says it. */
@ApplicationScoped
class TurnWords {

    private final SitePeople sitePeople;
    private final People people;

    TurnWords(SitePeople sitePeople, People people) {
        this.sitePeople = sitePeople;
        this.people = people;
    }

    /** "M. Teal", or "the duty manager (A. Wren)": who that is at {@code moment}. */
    String name(Whom whom, long siteId, Instant moment) {
        String names = who(whom, siteId, moment).stream().map(Contact::name).collect(Collectors.joining(" and "));
        if (whom instanceof Whom.OnDutyFor duty) {
            return "the " + duty.role().words() + (names.isEmpty() ? " (nobody is on duty)" : " (" + names + ")");
        }
        return names.isEmpty() ? "somebody who is not registered any more" : names;
    }

    /** Who is behind a turn at {@code moment}. */
    List<Contact> who(Whom whom, long siteId, Instant moment) {
        List<Long> ids = sitePeople.whoIs(whom, siteId, moment);
        var known = people.find(ids);
        return ids.stream().filter(known::containsKey).map(known::get).toList();
    }

    /** Who is told next; {@code upcoming} empty: nobody is on the list. */
    String next(Optional<Upcoming> upcoming, long siteId, Instant moment) {
        if (upcoming.isEmpty()) {
            return "whoever is on the list then";
        }
        return upcoming.get() instanceof Upcoming.NextTurn turn ? name(turn.whom(), siteId, moment) : "everybody of the site";
    }
}
