package org.lampkeeper.web;

import java.util.ArrayList;
import java.util.List;
import java.util.Optional;

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
import org.lampkeeper.alarm.Sentences;
import org.lampkeeper.register.CabinetSheet;
import org.lampkeeper.register.HeardSensors;
import org.lampkeeper.register.HeardSensors.Heard;
import org.lampkeeper.register.PairingCode;
import org.lampkeeper.register.Sensors;
import org.lampkeeper.web.SupplyView.Link;

/** Which of the sensors that were heard is this one? By the code on its label, which fills in the form for registering it. */
@Path("/cabinets")
@Produces(MediaType.TEXT_HTML)
@Needs(Right.EDIT_PLANT)
class PairingResource {

    private final HeardSensors heard;
    private final Sensors sensors;
    private final Plant plant;
    private final FormPage pages;

    PairingResource(HeardSensors heard, Sensors sensors, Plant plant, FormPage pages) {
        this.heard = heard;
        this.sensors = sensors;
        this.plant = plant;
        this.pages = pages;
    }

    @GET
    @Path("{cabinet:\\d{1,18}}/sensor/code")
    public Response ask(@RestPath long cabinet) {
        CabinetSheet sheet = plant.cabinet(cabinet);
        return sensors.watching(cabinet).isPresent() ? FormPage.done("/cabinets/" + cabinet + "/sensor") : FormPage.show(view(sheet, field(Form.empty()), listed(sheet)));
    }

    /** Registers nothing: it leads to the form that does, filled in. */
    @POST
    @Path("{cabinet:\\d{1,18}}/sensor/code")
    @Consumes(MediaType.APPLICATION_FORM_URLENCODED)
    public Response find(@RestPath long cabinet, MultivaluedMap<String, String> sent) {
        CabinetSheet sheet = plant.cabinet(cabinet);
        Form form = field(Form.typed(sent));
        Optional<String> code = PairingCode.read(form.text("code"));
        if (code.isEmpty()) {
            return FormPage.refused(view(sheet, form.problem("code", "there is no such code, or one of its digits is wrong; it has eight, like 123 456 76 on the label"), listed(sheet)));
        }
        List<Heard> found = heard.all(plant.now()).stream().filter(it -> it.code().equals(code.get())).toList();
        if (found.isEmpty()) {
            return FormPage.refused(view(sheet, form.problem("code", "nothing with this code was heard in the last seven days, or it is registered already;"
                    + " switch the sensor on, wait until it has tried to log in, and send the code again"), listed(sheet)));
        }
        if (found.size() > 1) {
            return FormPage.refused(view(sheet, form.problem("code", found.size() + " sensors that were heard have this code, which happens seldom; choose below by the device id"),
                    found.stream().map(it -> link(sheet, it)).toList()));
        }
        return FormPage.done(at(sheet, found.get(0)));
    }

    private static Form field(Form form) {
        return form.add(Input.text("code", "Code on its label").autocomplete("off").hint("Eight digits. Switch the sensor on first: it is looked for among those that were heard."));
    }

    /** For whoever may register plant everywhere: an id that is not registered belongs to no site yet. */
    private List<Link> listed(CabinetSheet sheet) {
        return plant.mayEverywhere(Right.EDIT_PLANT) ? heard.all(plant.now()).stream().map(it -> link(sheet, it)).toList() : List.of();
    }

    private Link link(CabinetSheet sheet, Heard it) {
        return new Link(PairingCode.written(it.code()) + ": " + it.deviceId() + ", heard " + Sentences.clock(it.at(), sheet.site().zone(), plant.now()), at(sheet, it));
    }

    private static String at(CabinetSheet sheet, Heard it) {
        return "/cabinets/" + sheet.cabinetId() + "/sensor?heard=" + it.deviceId();
    }

    private FormView view(CabinetSheet sheet, Form form, List<Link> heardNow) {
        List<Link> more = new ArrayList<>(List.of(new Link("Register it without a code", "/cabinets/" + sheet.cabinetId() + "/sensor")));
        more.addAll(heardNow);
        return new FormView(pages.frame("Pair a sensor", "supply"), "Which sensor will watch " + sheet.name() + "?", "Its code fills in what it is called; nothing is registered yet.",
                List.of(), form, "/cabinets/" + sheet.cabinetId() + "/sensor/code", "Find the sensor", new Link("Not now", "/cabinets/" + sheet.cabinetId()), more);
    }
}
