package org.lampkeeper.web;

import java.time.Instant;
import java.time.YearMonth;
import java.time.format.DateTimeFormatter;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.stream.Collectors;

import jakarta.enterprise.context.ApplicationScoped;

import org.lampkeeper.register.CabinetSheet;
import org.lampkeeper.register.Register;
import org.lampkeeper.register.SiteSheet;
import org.lampkeeper.report.MonthPaper;
import org.lampkeeper.report.SiteHistory;
import org.lampkeeper.report.SiteMonth;
import org.lampkeeper.report.Span;
import org.lampkeeper.report.UnfitCabinet;
import org.lampkeeper.web.CheckReading.Look;

/** Gathers what a month of a site says; page, paper and mail have it from here, so that they cannot differ. */
@ApplicationScoped
class SiteMonths {

    private static final DateTimeFormatter MADE = DateTimeFormatter.ofPattern("d MMMM uuuu, HH:mm", Locale.ENGLISH);

    private final SiteHistory history;
    private final CheckReading checks;
    private final Register register;
    private final NextSteps next;

    SiteMonths(SiteHistory history, CheckReading checks, Register register, NextSteps next) {
        this.history = history;
        this.checks = checks;
        this.register = register;
        this.next = next;
    }

    /** The month as far as it is over {@code now}. */
    SiteMonth of(SiteSheet site, YearMonth month, Instant now) {
        Span span = over(month, site, now);
        Map<Long, String> looks = checks.ofSite(site.id(), month.atDay(1), month.plusMonths(1).atDay(1)).stream().collect(Collectors.groupingBy(Look::cabinetId,
                Collectors.collectingAndThen(Collectors.toList(), CheckSheet::compliance)));
        List<CabinetSheet> cabinets = register.sheetsOfSite(site.id());
        SiteMonth told = SiteMonth.of(site.name(), month, span, site.zone(), cabinets, history.supply(site.id(), span), looks, history.met(site.id(), span),
                UnfitCabinet.of(cabinets, register.outOfUseAt(site.id()), history.unfit(site.id(), span, now)), history.warmth(site.id(), span));
        // What is to be done now belongs to the present month and to the one that was just reported, not to those before.
        boolean isNew = !month.isBefore(YearMonth.from(now.atZone(site.zone())).minusMonths(1));
        return isNew ? told.followedBy(next.at(site.id(), span, site.zone(), now)) : told;
    }

    /** What of a month is over; of one that has not begun, nothing. */
    static Span over(YearMonth month, SiteSheet site, Instant now) {
        Span whole = SiteMonth.whole(month, site.zone());
        Instant until = now.isBefore(whole.from()) ? whole.from() : now.isBefore(whole.until()) ? now : whole.until();
        return new Span(whole.from(), until);
    }

    /** The same on paper, as PDF. */
    static byte[] paper(SiteSheet site, SiteMonth month, Instant now) {
        return MonthPaper.of(month, "Made by Lampkeeper on " + MADE.format(now.atZone(site.zone())) + ", times as at " + site.name() + ".");
    }

    static String fileName(SiteSheet site, YearMonth month) {
        return "month-" + site.id() + "-" + month + ".pdf";
    }
}
