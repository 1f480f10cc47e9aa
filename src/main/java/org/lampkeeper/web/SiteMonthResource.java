package org.lampkeeper.web;

import java.time.Instant;
import java.time.YearMonth;
import java.time.format.DateTimeFormatter;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.stream.Collectors;

import jakarta.ws.rs.DefaultValue;
import jakarta.ws.rs.GET;
import jakarta.ws.rs.Path;
import jakarta.ws.rs.Produces;
import jakarta.ws.rs.core.HttpHeaders;
import jakarta.ws.rs.core.MediaType;
import jakarta.ws.rs.core.Response;

import io.quarkus.qute.CheckedTemplate;
import io.quarkus.qute.TemplateInstance;
import org.jboss.resteasy.reactive.RestPath;
import org.jboss.resteasy.reactive.RestQuery;

import org.lampkeeper.register.Register;
import org.lampkeeper.register.SiteSheet;
import org.lampkeeper.report.MonthPaper;
import org.lampkeeper.report.SiteHistory;
import org.lampkeeper.report.SiteMonth;
import org.lampkeeper.report.Span;
import org.lampkeeper.web.CheckReading.Look;
import org.lampkeeper.web.SupplyView.Link;

/** A month of a site: how long its cabinets had supply, how losses were met, which looks were taken. */
@Path("/sites")
@Produces(MediaType.TEXT_HTML)
class SiteMonthResource {

    private static final DateTimeFormatter MADE = DateTimeFormatter.ofPattern("d MMMM uuuu, HH:mm", Locale.ENGLISH);

    private final SiteHistory history;
    private final CheckReading checks;
    private final Register register;
    private final NextSteps next;
    private final Plant plant;
    private final FormPage pages;

    SiteMonthResource(SiteHistory history, CheckReading checks, Register register, NextSteps next, Plant plant, FormPage pages) {
        this.history = history;
        this.checks = checks;
        this.register = register;
        this.next = next;
        this.plant = plant;
        this.pages = pages;
    }

    @CheckedTemplate
    static class Templates {
        static native TemplateInstance month(MonthView view);
    }

    record MonthView(Frame frame, SiteMonth month, int width, String zoneName, boolean isRunning, List<Link> links) {
    }

    /** {@code month}: as 2026-11, on the clocks of the site; the present one where it is none. */
    @GET
    @Path("{site:\\d{1,18}}/month")
    public Response show(@RestPath long site, @RestQuery @DefaultValue("") String month) {
        SiteSheet sheet = plant.site(site);
        Instant now = plant.now();
        YearMonth asked = ChecksResource.month(month, sheet.zone(), now);
        String address = "/sites/" + site + "/month";
        SiteMonth told = month(sheet, asked, now);
        MonthView view = new MonthView(pages.frame(sheet.name() + ", " + told.month(), "supply"), told, SiteMonth.WIDTH, SupplyPage.zoneName(sheet.zone()),
                SiteMonth.whole(asked, sheet.zone()).until().isAfter(now), List.of(new Link("As PDF", address + ".pdf?month=" + asked), new Link("Month before", address + "?month="
                        + asked.minusMonths(1)), new Link("Month after", address + "?month=" + asked.plusMonths(1)), new Link(sheet.name(), "/sites/" + site)));
        return Response.ok(Templates.month(view).render()).type(ChecksResource.HTML).build();
    }

    /** The same on paper. */
    @GET
    @Path("{site:\\d{1,18}}/month.pdf")
    @Produces("application/pdf")
    public Response paper(@RestPath long site, @RestQuery @DefaultValue("") String month) {
        SiteSheet sheet = plant.site(site);
        Instant now = plant.now();
        YearMonth asked = ChecksResource.month(month, sheet.zone(), now);
        return Response.ok(MonthPaper.of(month(sheet, asked, now), "Made by Lampkeeper on " + MADE.format(now.atZone(sheet.zone())) + ", times as at " + sheet.name() + "."))
                .header(HttpHeaders.CONTENT_DISPOSITION, "inline; filename=\"month-" + site + "-" + asked + ".pdf\"").build();
    }

    private SiteMonth month(SiteSheet site, YearMonth month, Instant now) {
        Span whole = SiteMonth.whole(month, site.zone());
        // Of a month that has not begun, nothing.
        Instant until = now.isBefore(whole.from()) ? whole.from() : now.isBefore(whole.until()) ? now : whole.until();
        Span span = new Span(whole.from(), until);
        Map<Long, String> looks = checks.ofSite(site.id(), month.atDay(1), month.plusMonths(1).atDay(1)).stream().collect(Collectors.groupingBy(Look::cabinetId,
                Collectors.collectingAndThen(Collectors.toList(), CheckSheet::compliance)));
        SiteMonth told = SiteMonth.of(site.name(), month, span, site.zone(), register.sheetsOfSite(site.id()), history.supply(site.id(), span), looks,
                history.met(site.id(), span), history.warmth(site.id(), span));
        // What is to be done now belongs to the present month and to the one that was just reported, not to those before.
        boolean isNew = !month.isBefore(YearMonth.from(now.atZone(site.zone())).minusMonths(1));
        return isNew ? told.followedBy(next.at(site.id(), span, site.zone(), now)) : told;
    }
}
