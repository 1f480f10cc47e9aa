package org.lampkeeper.web;

import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;

import jakarta.ws.rs.Consumes;
import jakarta.ws.rs.DefaultValue;
import jakarta.ws.rs.GET;
import jakarta.ws.rs.POST;
import jakarta.ws.rs.Path;
import jakarta.ws.rs.Produces;
import jakarta.ws.rs.core.MediaType;
import jakarta.ws.rs.core.MultivaluedMap;
import jakarta.ws.rs.core.Response;

import org.jboss.resteasy.reactive.RestPath;
import org.jboss.resteasy.reactive.RestQuery;

import org.lampkeeper.access.Needs;
import org.lampkeeper.access.Right;
import org.lampkeeper.register.CabinetSheet;
import org.lampkeeper.register.HeardSensors;
import org.lampkeeper.register.NewSensor;
import org.lampkeeper.register.NotRegistered;
import org.lampkeeper.register.Registration;
import org.lampkeeper.register.SensorKey;
import org.lampkeeper.register.Sensors;
import org.lampkeeper.web.SupplyView.Link;

/** What watches this cabinet? */
@Path("/cabinets")
@Produces(MediaType.TEXT_HTML)
@Needs(Right.EDIT_PLANT)
class SensorFormResource {

    private final Registration registration;
    private final Sensors sensors;
    private final HeardSensors heardSensors;
    private final Plant plant;
    private final FormPage pages;
    private final SensorPage page;

    SensorFormResource(Registration registration, Sensors sensors, HeardSensors heardSensors, Plant plant, FormPage pages, SensorPage page) {
        this.registration = registration;
        this.sensors = sensors;
        this.heardSensors = heardSensors;
        this.plant = plant;
        this.pages = pages;
        this.page = page;
    }

    /**
     * The form for one where there is none; what there is and what can be done with it where there is.
     *
     * @param heard the device id of one that was heard and is not registered, to be filled in
     */
    @GET
    @Path("{cabinet:\\d{1,18}}/sensor")
    public Response ask(@RestPath long cabinet, @RestQuery @DefaultValue("") String heard) {
        CabinetSheet sheet = plant.cabinet(cabinet);
        Optional<SensorKey> sensor = sensors.watching(cabinet);
        return sensor.isPresent() ? page.inUse(sheet, sensor.get()) : FormPage.show(view(sheet, fields(Form.typed(filled(heard)))));
    }

    /** Answers with the secret at once: it is shown this one time, so there is nowhere to lead to. Sent again, it is refused. */
    @POST
    @Path("{cabinet:\\d{1,18}}/sensor")
    @Consumes(MediaType.APPLICATION_FORM_URLENCODED)
    public Response register(@RestPath long cabinet, MultivaluedMap<String, String> sent) {
        CabinetSheet sheet = plant.cabinet(cabinet);
        Form form = fields(Form.typed(sent));
        NewSensor entered = new NewSensor(cabinet, form.text("deviceId"), form.text("baseName"));
        form.problems(entered.problems());
        if (!form.isFine()) {
            return FormPage.refused(view(sheet, form));
        }
        try {
            return page.secretOnce(sheet, registration.addSensor(entered, plant.by()), false);
        } catch (NotRegistered refused) {
            return FormPage.refused(view(sheet, form.problems(refused.problems())));
        }
    }

    /** What it is called, as far as it was heard. */
    private Map<String, String> filled(String device) {
        Map<String, String> filled = new HashMap<>();
        heardSensors.all(plant.now()).stream().filter(it -> it.deviceId().equals(device)).findFirst().ifPresent(it -> {
            filled.put("deviceId", it.deviceId());
            it.baseName().ifPresent(name -> filled.put("baseName", name));
        });
        return filled;
    }

    private static Form fields(Form form) {
        return form.add(Input.text("deviceId", "Device id")
                        .hint("What it logs in with, and a level of its topic: up to 64 letters, digits, hyphens and underscores, like north-stair-2."))
                .add(Input.text("baseName", "Base name").hint("The “bn” of its reports, with the colon at its end, like urn:dev:mac:0024befffe804ff1:"));
    }

    private FormView view(CabinetSheet sheet, Form form) {
        return new FormView(pages.frame("Register a sensor", "supply"), "Nothing watches " + sheet.name() + " yet: which sensor will?",
                "Its secret is made now and shown once.", List.of(), form, "/cabinets/" + sheet.cabinetId() + "/sensor", "Register the sensor",
                new Link("Not now", "/cabinets/" + sheet.cabinetId()),
                List.of(new Link("Find it by the code on its label", "/cabinets/" + sheet.cabinetId() + "/sensor/code")));
    }
}
