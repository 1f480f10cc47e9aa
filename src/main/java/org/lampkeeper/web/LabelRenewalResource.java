package org.lampkeeper.web;

import jakarta.ws.rs.POST;
import jakarta.ws.rs.Path;
import jakarta.ws.rs.Produces;
import jakarta.ws.rs.core.MediaType;
import jakarta.ws.rs.core.Response;

import org.jboss.resteasy.reactive.RestPath;

import org.lampkeeper.access.Needs;
import org.lampkeeper.access.Right;
import org.lampkeeper.register.Labels;

/** A label was torn off, or a picture of it went around: another one takes its place. */
@Path("/cabinets/{cabinet:\\d{1,18}}/label")
@Produces(MediaType.TEXT_HTML)
@Needs(Right.EDIT_PLANT)
class LabelRenewalResource {

    private final Labels labels;
    private final Plant plant;

    LabelRenewalResource(Labels labels, Plant plant) {
        this.labels = labels;
        this.plant = plant;
    }

    @POST
    public Response renew(@RestPath long cabinet) {
        long site = plant.cabinet(cabinet).site().id();
        labels.renew(cabinet, plant.by());
        return FormPage.done("/sites/" + site + "/labels");
    }
}
