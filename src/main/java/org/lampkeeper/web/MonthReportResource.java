package org.lampkeeper.web;

import java.util.List;
import java.util.Map;
import java.util.OptionalInt;
import java.util.stream.Collectors;

import jakarta.ws.rs.Consumes;
import jakarta.ws.rs.GET;
import jakarta.ws.rs.POST;
import jakarta.ws.rs.Path;
import jakarta.ws.rs.Produces;
import jakarta.ws.rs.core.MediaType;
import jakarta.ws.rs.core.MultivaluedMap;
import jakarta.ws.rs.core.Response;

import org.jboss.resteasy.reactive.RestPath;

import org.lampkeeper.access.Needs;
import org.lampkeeper.access.Right;
import org.lampkeeper.register.Contact;
import org.lampkeeper.register.MonthDays;
import org.lampkeeper.register.NotRegistered;
import org.lampkeeper.register.SiteSheet;
import org.lampkeeper.watch.MonthReports;
import org.lampkeeper.web.SupplyView.Link;

/** On which day does this site send its month, and to whom? */
@Path("/sites")
@Produces(MediaType.TEXT_HTML)
@Needs(Right.EDIT_SITE)
class MonthReportResource {

    private final MonthDays days;
    private final MonthReports reports;
    private final Plant plant;
    private final FormPage pages;

    MonthReportResource(MonthDays days, MonthReports reports, Plant plant, FormPage pages) {
        this.days = days;
        this.reports = reports;
        this.plant = plant;
        this.pages = pages;
    }

    @GET
    @Path("{site:\\d{1,18}}/month/report")
    public Response ask(@RestPath long site) {
        SiteSheet sheet = plant.site(site);
        OptionalInt day = days.ofSite(site);
        return FormPage.show(view(sheet, fields(Form.typed(Map.of("day", day.isPresent() ? String.valueOf(day.getAsInt()) : "")))));
    }

    @POST
    @Path("{site:\\d{1,18}}/month/report")
    @Consumes(MediaType.APPLICATION_FORM_URLENCODED)
    public Response change(@RestPath long site, MultivaluedMap<String, String> sent) {
        SiteSheet sheet = plant.site(site);
        Form form = fields(Form.typed(sent));
        OptionalInt day = form.optionalWhole("day", MonthDays.USUAL, MonthDays.LAST);
        if (!form.isFine()) {
            return FormPage.refused(view(sheet, form));
        }
        try {
            days.change(site, day, plant.by());
            return FormPage.done("/sites/" + site + "/month");
        } catch (NotRegistered refused) {
            return FormPage.refused(view(sheet, form.problems(refused.problems())));
        }
    }

    private static Form fields(Form form) {
        return form.add(Input.whole("day", "Day of the month", "").orNot().hint("From 1 to 28, on which the month before is sent. Empty: it is not sent."));
    }

    private FormView view(SiteSheet site, Form form) {
        return new FormView(pages.frame("The report of " + site.name(), "supply"), "On which day is the month of " + site.name() + " sent?", readers(reports.plan(site)), List.of(),
                form, "/sites/" + site.id() + "/month/report", "Save", new Link("Back without saving", "/sites/" + site.id() + "/month"),
                List.of(new Link("People and their roles", "/people")));
    }

    /** Who gets it, as a sentence. */
    static String readers(MonthReports.Plan plan) {
        if (plan.readers().isEmpty()) {
            return "Nobody gets it: it goes to whoever has the role of the responsible person here, and nobody has.";
        }
        String names = plan.readers().stream().map(MonthReportResource::words).collect(Collectors.joining(", "));
        return "It goes to whoever is responsible here: " + names + ".";
    }

    private static String words(Contact reader) {
        return reader.name() + (reader.mail().isPresent() ? " by mail" : " without a mail address, so without the paper");
    }
}
