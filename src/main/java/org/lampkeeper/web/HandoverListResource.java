package org.lampkeeper.web;

import java.time.ZoneId;
import java.util.List;

import jakarta.ws.rs.GET;
import jakarta.ws.rs.POST;
import jakarta.ws.rs.Path;
import jakarta.ws.rs.Produces;
import jakarta.ws.rs.core.MediaType;
import jakarta.ws.rs.core.Response;

import io.quarkus.qute.CheckedTemplate;
import io.quarkus.qute.TemplateInstance;
import org.jboss.resteasy.reactive.RestPath;

import org.lampkeeper.access.Needs;
import org.lampkeeper.access.Right;
import org.lampkeeper.alarm.Sentences;
import org.lampkeeper.register.CabinetName;
import org.lampkeeper.register.HandoverSheet;
import org.lampkeeper.register.Handovers;

/** How was this cabinet handed over? Every version that there is, and the way to the one that can be written in. */
@Path("/cabinets")
@Produces(MediaType.TEXT_HTML)
class HandoverListResource {

    private static final MediaType HTML = MediaType.TEXT_HTML_TYPE.withCharset("UTF-8");

    private final Handovers handovers;
    private final Plant plant;
    private final FormPage pages;

    HandoverListResource(Handovers handovers, Plant plant, FormPage pages) {
        this.handovers = handovers;
        this.plant = plant;
        this.pages = pages;
    }

    @CheckedTemplate
    static class Templates {
        static native TemplateInstance handovers(ListView view);
    }

    record ListView(Frame frame, String headline, String cabinet, String back, String action, String button, List<Version> versions) {

        record Version(String title, String href, String state) {
        }
    }

    @GET
    @Path("{cabinet:\\d{1,18}}/handovers")
    public TemplateInstance list(@RestPath long cabinet) {
        CabinetName sheet = plant.named(cabinet);
        List<HandoverSheet> versions = handovers.ofCabinet(cabinet);
        boolean isOneOpen = !versions.isEmpty() && !versions.get(0).isSigned();
        boolean isInUse = sheet.outOfUseSince().isEmpty();
        boolean mayWrite = isInUse && plant.may(Right.EDIT_PLANT, sheet.site().id());
        String headline = !isInUse ? sheet.name() + " is out of use; what was written when it was handed over stays to be read."
                : versions.isEmpty() ? sheet.name() + " has no hand-over record yet."
                : isOneOpen ? "The hand-over of " + sheet.name() + " is not signed by both yet." : sheet.name() + " is handed over.";
        String button = !mayWrite ? "" : versions.isEmpty() ? "Open the record" : isOneOpen ? "" : "Open a new version";
        return Templates.handovers(new ListView(pages.frame("Hand-over of " + sheet.name(), "supply"), headline, sheet.name(), "/cabinets/" + cabinet,
                "/cabinets/" + cabinet + "/handovers", button, versions.stream().map(it -> version(it, sheet.site().zone())).toList()));
    }

    /** Pressed again it leads to the same record. */
    @POST
    @Path("{cabinet:\\d{1,18}}/handovers")
    @Needs(Right.EDIT_PLANT)
    public Response open(@RestPath long cabinet) {
        if (plant.named(cabinet).outOfUseSince().isPresent()) {
            // The list says why there is nothing to open.
            return Response.status(409).type(HTML).entity(list(cabinet).render()).build();
        }
        return FormPage.done("/handovers/" + handovers.open(cabinet, plant.by()));
    }

    private ListView.Version version(HandoverSheet it, ZoneId zone) {
        String state = it.site().map(signed -> "signed by both, by the site at " + Sentences.clock(signed.at(), zone, plant.now()))
                .orElseGet(() -> it.installer().map(signed -> "signed by the installer at " + Sentences.clock(signed.at(), zone, plant.now()) + ", waits for the site")
                        .orElse("open since " + Sentences.clock(it.openedAt(), zone, plant.now())));
        return new ListView.Version("Version " + it.number(), "/handovers/" + it.id(), state);
    }
}
