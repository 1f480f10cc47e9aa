package org.lampkeeper.web;

import java.time.LocalDate;
import java.util.List;

import jakarta.ws.rs.BadRequestException;
import jakarta.ws.rs.Consumes;
import jakarta.ws.rs.DefaultValue;
import jakarta.ws.rs.GET;
import jakarta.ws.rs.POST;
import jakarta.ws.rs.Path;
import jakarta.ws.rs.Produces;
import jakarta.ws.rs.core.MediaType;
import jakarta.ws.rs.core.Response;

import io.quarkus.qute.CheckedTemplate;
import io.quarkus.qute.TemplateInstance;
import org.jboss.resteasy.reactive.RestForm;
import org.jboss.resteasy.reactive.RestPath;

import org.lampkeeper.access.Needs;
import org.lampkeeper.access.Right;
import org.lampkeeper.message.MessageConfig;
import org.lampkeeper.register.DatedDuties;
import org.lampkeeper.register.DatedDuty;
import org.lampkeeper.register.SiteSheet;

/** What comes due at this site, and where can a calendar program read it? */
@Path("/sites")
@Produces(MediaType.TEXT_HTML)
class DatesResource {

    private static final MediaType HTML = MediaType.TEXT_HTML_TYPE.withCharset("UTF-8");

    private final DatedDuties duties;
    private final MessageConfig messages;
    private final Plant plant;
    private final FormPage pages;

    DatesResource(DatedDuties duties, MessageConfig messages, Plant plant, FormPage pages) {
        this.duties = duties;
        this.messages = messages;
        this.plant = plant;
        this.pages = pages;
    }

    @CheckedTemplate
    static class Templates {
        static native TemplateInstance dates(DatesView view);
    }

    /** @param address shown this one time; empty otherwise */
    record DatesView(Frame frame, String headline, List<Due> dates, String address, boolean hasCalendar, boolean mayEdit, String action, String back, String site) {

        /** @param look {@code lost} for what is over */
        record Due(String day, String cabinet, String href, String order, String look, String word) {
        }
    }

    @GET
    @Path("{site:\\d{1,18}}/dates")
    public Response page(@RestPath long site) {
        return answer(site, "");
    }

    /** Makes an address, which is shown once, in place of an older one; or ends the one that there is. */
    @POST
    @Path("{site:\\d{1,18}}/dates/calendar")
    @Consumes(MediaType.APPLICATION_FORM_URLENCODED)
    @Needs(Right.EDIT_SITE)
    public Response calendar(@RestPath long site, @RestForm("do") @DefaultValue("") String what) {
        plant.site(site);
        if (what.equals("end")) {
            duties.endCalendar(site, plant.by());
            return FormPage.done("/sites/" + site + "/dates");
        }
        if (!what.equals("make")) {
            throw new BadRequestException("do: must be make or end");
        }
        return answer(site, messages.address("dates/" + duties.renewCalendar(site, plant.by()) + "/calendar.ics"));
    }

    private Response answer(long siteId, String address) {
        SiteSheet site = plant.site(siteId);
        LocalDate today = plant.now().atZone(site.zone()).toLocalDate();
        List<DatedDuty> all = duties.ofSite(siteId);
        long over = all.stream().filter(duty -> duty.due().isBefore(today)).count();
        String headline = all.isEmpty() ? "Nothing with a date is known of " + site.name() + "."
                : over > 0 ? (over == 1 ? "One date is over at " : over + " dates are over at ") + site.name() + "."
                : "Next at " + site.name() + ", by " + all.get(0).due() + ": " + all.get(0).cabinet() + ". " + all.get(0).order() + ".";
        List<DatesView.Due> dates = all.stream().map(duty -> new DatesView.Due(duty.due().toString(), duty.cabinet(), "/cabinets/" + duty.cabinetId(), duty.order(),
                duty.due().isBefore(today) ? "lost" : "lit", duty.due().isBefore(today) ? "over" : "")).toList();
        return Response.ok(Templates.dates(new DatesView(pages.frame("Dates of " + site.name(), "supply"), headline, dates, address, duties.hasCalendar(siteId),
                plant.may(Right.EDIT_SITE, siteId), "/sites/" + siteId + "/dates/calendar", "/sites/" + siteId, site.name())).render()).type(HTML).build();
    }
}
