package org.lampkeeper.web;

import java.time.Instant;
import java.time.YearMonth;
import java.time.format.DateTimeFormatter;
import java.util.List;
import java.util.Locale;

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

import org.lampkeeper.access.Right;
import org.lampkeeper.alarm.Sentences;
import org.lampkeeper.register.SiteSheet;
import org.lampkeeper.report.SiteMonth;
import org.lampkeeper.watch.MonthReports;
import org.lampkeeper.web.SupplyView.Link;

/** A month of a site: how long its cabinets had supply, how losses were met, which looks were taken. */
@Path("/sites")
@Produces(MediaType.TEXT_HTML)
class SiteMonthResource {

    private static final DateTimeFormatter MONTH = DateTimeFormatter.ofPattern("MMMM uuuu", Locale.ENGLISH);

    private final SiteMonths months;
    private final MonthReports reports;
    private final Plant plant;
    private final FormPage pages;

    SiteMonthResource(SiteMonths months, MonthReports reports, Plant plant, FormPage pages) {
        this.months = months;
        this.reports = reports;
        this.plant = plant;
        this.pages = pages;
    }

    @CheckedTemplate
    static class Templates {
        static native TemplateInstance month(MonthView view);
    }

    record MonthView(Frame frame, SiteMonth month, int width, String zoneName, boolean isRunning, String sent, String change, List<Link> links) {
    }

    /** {@code month}: as 2026-11, on the clocks of the site; the present one where it is none. */
    @GET
    @Path("{site:\\d{1,18}}/month")
    public Response show(@RestPath long site, @RestQuery @DefaultValue("") String month) {
        SiteSheet sheet = plant.site(site);
        Instant now = plant.now();
        YearMonth asked = ChecksResource.month(month, sheet.zone(), now);
        String address = "/sites/" + site + "/month";
        SiteMonth told = months.of(sheet, asked, now);
        MonthView view = new MonthView(pages.frame(sheet.name() + ", " + told.month(), "supply"), told, SiteMonth.WIDTH, SupplyPage.zoneName(sheet.zone()),
                SiteMonth.whole(asked, sheet.zone()).until().isAfter(now), sending(reports.plan(sheet), sheet, now),
                plant.may(Right.EDIT_SITE, site) ? address + "/report" : "", List.of(new Link("As PDF", address + ".pdf?month=" + asked),
                        new Link("Month before", address + "?month=" + asked.minusMonths(1)), new Link("Month after", address + "?month=" + asked.plusMonths(1)),
                        new Link(sheet.name(), "/sites/" + site)));
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
        return Response.ok(SiteMonths.paper(sheet, months.of(sheet, asked, now), now))
                .header(HttpHeaders.CONTENT_DISPOSITION, "inline; filename=\"" + SiteMonths.fileName(sheet, asked) + "\"").build();
    }

    /** When the next report goes out, and to whom. */
    private static String sending(MonthReports.Plan plan, SiteSheet site, Instant now) {
        if (plan.day().isEmpty()) {
            return "It is not sent by mail.";
        }
        String when = plan.at().map(at -> "The report on " + MONTH.format(plan.month().orElseThrow()) + " is sent at " + Sentences.clock(at, site.zone(), now) + ". ").orElse("");
        return when + MonthReportResource.readers(plan);
    }
}
