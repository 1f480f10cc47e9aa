package org.lampkeeper.web;

import java.time.Instant;
import java.time.YearMonth;
import java.time.format.DateTimeFormatter;
import java.util.List;
import java.util.Locale;

import jakarta.ws.rs.DefaultValue;
import jakarta.ws.rs.GET;
import jakarta.ws.rs.NotFoundException;
import jakarta.ws.rs.Path;
import jakarta.ws.rs.Produces;
import jakarta.ws.rs.core.MediaType;
import jakarta.ws.rs.core.Response;

import io.quarkus.qute.CheckedTemplate;
import io.quarkus.qute.TemplateInstance;
import org.jboss.resteasy.reactive.RestPath;
import org.jboss.resteasy.reactive.RestQuery;

import org.lampkeeper.register.CabinetSheet;
import org.lampkeeper.web.SupplyView.Link;

/** The sheet of one cabinet and month. */
@Path("/cabinets")
@Produces(MediaType.TEXT_HTML)
class CabinetChecksResource {

    private static final DateTimeFormatter MONTH = DateTimeFormatter.ofPattern("MMMM uuuu", Locale.UK);

    private final CheckReading reading;
    private final Plant plant;
    private final FormPage pages;

    CabinetChecksResource(CheckReading reading, Plant plant, FormPage pages) {
        this.reading = reading;
        this.plant = plant;
        this.pages = pages;
    }

    @CheckedTemplate
    static class Templates {
        static native TemplateInstance sheet(SheetView view);
    }

    record SheetView(Frame frame, String headline, String zoneName, CheckSheet sheet, List<Link> links) {
    }

    /** {@code month}: as 2026-11, on the clocks of the site; the present one where it is none. */
    @GET
    @Path("{cabinet:\\d{1,18}}/checks")
    public Response sheet(@RestPath long cabinet, @RestQuery @DefaultValue("") String month) {
        CabinetSheet known = plant.cabinet(cabinet);
        Instant now = plant.now();
        YearMonth asked = ChecksResource.month(month, known.site().zone(), now);
        CheckSheet sheet = CheckSheet.of(asked, reading.ofCabinet(cabinet, asked.atDay(1), asked.plusMonths(1).atDay(1)), known.site().zone(), now);
        String address = "/cabinets/" + cabinet + "/checks?month=";
        SheetView view = new SheetView(pages.frame("Looks at " + known.name(), "supply"), known.name() + ", " + MONTH.format(asked),
                SupplyPage.zoneName(known.site().zone()), sheet, List.of(new Link("Month before", address + asked.minusMonths(1)),
                        new Link("Month after", address + asked.plusMonths(1)), new Link(known.name(), "/cabinets/" + cabinet),
                        new Link("Today at " + known.site().name(), "/sites/" + known.site().id() + "/checks")));
        return Response.ok(Templates.sheet(view).render()).type(ChecksResource.HTML).build();
    }

    /** It was made here, from what was decoded; all the same nothing in it may ever run. */
    @GET
    @Path("{cabinet:\\d{1,18}}/checks/photo")
    @Produces("image/jpeg")
    public Response photo(@RestPath long cabinet, @RestQuery @DefaultValue("0") long record) {
        byte[] picture = reading.photo(plant.cabinet(cabinet).cabinetId(), record).orElseThrow(NotFoundException::new);
        return Response.ok(picture).type("image/jpeg").header("Content-Disposition", "inline; filename=\"look-" + record + ".jpg\"")
                .header("Content-Security-Policy", "default-src 'none'; sandbox; frame-ancestors 'none'").build();
    }
}
