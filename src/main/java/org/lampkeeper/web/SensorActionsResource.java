package org.lampkeeper.web;

import java.util.List;
import java.util.Map;

import jakarta.ws.rs.GET;
import jakarta.ws.rs.NotFoundException;
import jakarta.ws.rs.POST;
import jakarta.ws.rs.Path;
import jakarta.ws.rs.Produces;
import jakarta.ws.rs.core.MediaType;
import jakarta.ws.rs.core.Response;

import org.jboss.resteasy.reactive.RestPath;

import org.lampkeeper.access.Needs;
import org.lampkeeper.access.Right;
import org.lampkeeper.register.CabinetSheet;
import org.lampkeeper.register.NotRegistered;
import org.lampkeeper.register.Registration;
import org.lampkeeper.register.SensorKey;
import org.lampkeeper.register.Sensors;
import org.lampkeeper.web.SupplyView.Link;

/** Another secret for a sensor, or its end. */
@Path("/sensors")
@Produces(MediaType.TEXT_HTML)
@Needs(Right.EDIT_PLANT)
class SensorActionsResource {

    private final Registration registration;
    private final Sensors sensors;
    private final Plant plant;
    private final FormPage pages;
    private final SensorPage page;

    SensorActionsResource(Registration registration, Sensors sensors, Plant plant, FormPage pages, SensorPage page) {
        this.registration = registration;
        this.sensors = sensors;
        this.plant = plant;
        this.pages = pages;
        this.page = page;
    }

    /** Pressed again it makes another secret again: each is shown once, and the last one counts. */
    @POST
    @Path("{sensor}/secret")
    public Response renew(@RestPath String sensor) {
        SensorKey key = inUse(sensor);
        CabinetSheet cabinet = plant.cabinet(key.cabinetId());
        try {
            return page.secretOnce(cabinet, registration.renewSecret(sensor, plant.by()), true);
        } catch (NotRegistered retiredMeanwhile) {
            throw new NotFoundException(retiredMeanwhile);
        }
    }

    @GET
    @Path("{sensor}/retire")
    public Response askWhetherToRetire(@RestPath String sensor) {
        return FormPage.show(view(inUse(sensor), Form.empty()));
    }

    @POST
    @Path("{sensor}/retire")
    public Response retire(@RestPath String sensor) {
        SensorKey key = inUse(sensor);
        try {
            registration.retireSensor(sensor, plant.by());
            return FormPage.done("/cabinets/" + key.cabinetId() + "/sensor");
        } catch (NotRegistered refused) {
            return FormPage.refused(view(key, Form.typed(Map.of()).problems(refused.problems())));
        }
    }

    private SensorKey inUse(String deviceId) {
        return sensors.find(deviceId).orElseThrow(NotFoundException::new);
    }

    private FormView view(SensorKey key, Form form) {
        CabinetSheet sheet = plant.cabinet(key.cabinetId());
        return new FormView(pages.frame("Retire " + key.deviceId(), "supply"),
                "Is " + key.deviceId() + " taken off " + sheet.name() + " for good?",
                "It is cut off at once and never let in again; neither is another sensor of this id. Open alarms that came from it end, and"
                        + " whoever was told of them hears why. Until another sensor is registered, nothing watches " + sheet.name() + ".",
                List.of("An alarm that ends here says nothing about the supply: have somebody look at the lamp."), form,
                "/sensors/" + key.deviceId() + "/retire", "Retire it", new Link("Keep it", "/cabinets/" + key.cabinetId() + "/sensor"), List.of());
    }
}
