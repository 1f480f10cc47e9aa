package org.lampkeeper.web;

import java.time.Duration;
import java.time.Instant;
import java.time.ZoneId;
import java.util.List;

import jakarta.enterprise.context.ApplicationScoped;

import org.lampkeeper.alarm.Sentences;
import org.lampkeeper.message.LinkTokens;
import org.lampkeeper.web.CheckReading.Look;

/** What somebody is asked to look at, each with a link of a few hours that is made when the page is. */
@ApplicationScoped
class OpenLooks {

    /** Ours: a page that was left open over lunch still leads on. */
    private static final Duration LINK_LIFE = Duration.ofHours(4);

    /** Of the longest window, with the longest grace. */
    private static final Duration ASKED_WITHIN = Duration.ofDays(2);

    private final CheckReading reading;
    private final LinkTokens tokens;
    private final Plant plant;

    OpenLooks(CheckReading reading, LinkTokens tokens, Plant plant) {
        this.reading = reading;
        this.tokens = tokens;
        this.plant = plant;
    }

    record Line(long cabinetId, String cabinet, String what, String href) {
    }

    /** Those that close first come first. */
    List<Line> of(long personId, Instant now) {
        return reading.openOf(personId, now.minus(ASKED_WITHIN)).stream().map(look -> line(look, personId, now)).toList();
    }

    static String headline(List<Line> lines) {
        return lines.isEmpty() ? "You are asked to look at nothing just now." : lines.size() == 1 ? "You are asked to look at one thing."
                : "You are asked to look at " + lines.size() + " things.";
    }

    /** To one look, for whoever took it. */
    String link(long lookId, long personId, Instant now) {
        return "/c/" + tokens.issueForLook(lookId, personId, now.plus(LINK_LIFE));
    }

    private Line line(Look look, long personId, Instant now) {
        ZoneId zone = plant.site(look.siteId()).zone();
        return new Line(look.cabinetId(), look.cabinet(), look.kind().task() + ", by " + Sentences.clock(look.due().closes(), zone, now),
                link(look.id(), personId, now));
    }
}
