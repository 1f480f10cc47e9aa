package org.lampkeeper.web;

import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;

import jakarta.enterprise.context.ApplicationScoped;

import org.lampkeeper.access.CurrentCaller;
import org.lampkeeper.access.Right;
import org.lampkeeper.register.DutyBook;
import org.lampkeeper.register.People;
import org.lampkeeper.register.SiteSheet;
import org.lampkeeper.watch.SitePeople;
import org.lampkeeper.web.Input.Choice;
import org.lampkeeper.web.SupplyView.Link;

/** What the forms about duty share. */
@ApplicationScoped
class DutyForms {

    private final DutyBook book;
    private final SitePeople sitePeople;
    private final People people;
    private final Plant plant;
    private final CurrentCaller caller;

    DutyForms(DutyBook book, SitePeople sitePeople, People people, Plant plant, CurrentCaller caller) {
        this.book = book;
        this.sitePeople = sitePeople;
        this.people = people;
        this.plant = plant;
        this.caller = caller;
    }

    /** Names of those who may be on at the site: who has a role there, and who is on its rota anyway. */
    Map<Long, String> known(SiteSheet site) {
        Map<Long, String> known = new LinkedHashMap<>();
        sitePeople.everybody(site.id(), plant.now()).forEach(contact -> known.put(contact.personId(), contact.name()));
        people.find(book.shifts(site.id()).stream().flatMapToLong(one -> one.shift().personId().stream()).boxed().toList()).values()
                .forEach(contact -> known.putIfAbsent(contact.personId(), contact.name()));
        return known;
    }

    /** The same, to choose from. */
    List<Choice> people(SiteSheet site) {
        return known(site).entrySet().stream().map(each -> new Choice(each.getKey().toString(), each.getValue())).toList();
    }

    /** Everybody says when they are away themselves; of others, whoever may change who is told. */
    boolean maySayAway(SiteSheet site, long personId) {
        return personId == caller.get().personId() || plant.may(Right.EDIT_CALL_OUT, site.id());
    }

    /** Where the page is. */
    static String address(long site) {
        return "/sites/" + site + "/duty";
    }

    static Link back(long site) {
        return new Link("Back without saving", address(site));
    }
}
