package org.lampkeeper.web;

import java.util.List;
import java.util.Map;
import java.util.function.Supplier;

import jakarta.ws.rs.Consumes;
import jakarta.ws.rs.GET;
import jakarta.ws.rs.NotFoundException;
import jakarta.ws.rs.POST;
import jakarta.ws.rs.Path;
import jakarta.ws.rs.Produces;
import jakarta.ws.rs.core.MediaType;
import jakarta.ws.rs.core.MultivaluedMap;
import jakarta.ws.rs.core.Response;

import org.jboss.resteasy.reactive.RestPath;

import org.lampkeeper.access.Needs;
import org.lampkeeper.access.Right;
import org.lampkeeper.register.CabinetFacts;
import org.lampkeeper.register.CabinetSheet;
import org.lampkeeper.register.ChangedMeanwhile;
import org.lampkeeper.register.ContentSheet;
import org.lampkeeper.register.NewCircuit;
import org.lampkeeper.register.NewContent;
import org.lampkeeper.register.NewWarmth;
import org.lampkeeper.register.NotRegistered;
import org.lampkeeper.register.OutOfUseSheet;
import org.lampkeeper.register.Register;
import org.lampkeeper.register.Registration;
import org.lampkeeper.register.WarmthSheet;
import org.lampkeeper.web.SupplyView.Link;

/** What is different about this cabinet, what it holds, or what feeds it? Each has a form and a version of its own. */
@Path("/cabinets")
@Produces(MediaType.TEXT_HTML)
@Needs(Right.EDIT_PLANT)
class CabinetFormResource {

    private final Registration registration;
    private final Register register;
    private final Plant plant;
    private final FormPage pages;

    CabinetFormResource(Registration registration, Register register, Plant plant, FormPage pages) {
        this.registration = registration;
        this.register = register;
        this.plant = plant;
        this.pages = pages;
    }

    @GET
    @Path("{cabinet:\\d{1,18}}/edit")
    public Response askAboutTheCabinet(@RestPath long cabinet) {
        CabinetSheet sheet = plant.cabinet(cabinet);
        return FormPage.show(facts(sheet, fields(Form.showing(stored(sheet), sheet.version()))));
    }

    @POST
    @Path("{cabinet:\\d{1,18}}/edit")
    @Consumes(MediaType.APPLICATION_FORM_URLENCODED)
    public Response change(@RestPath long cabinet, MultivaluedMap<String, String> sent) {
        CabinetSheet sheet = plant.cabinet(cabinet);
        Form form = fields(Form.typed(sent));
        CabinetFacts entered = new CabinetFacts(form.text("code"), form.text("name"), form.text("place"), form.text("lampPlace"));
        form.problems(entered.problems());
        return save(sheet, form, () -> registration.changeCabinet(cabinet, form.version(), entered, plant.by()),
                () -> stored(plant.cabinet(cabinet)), () -> facts(sheet, form));
    }

    @GET
    @Path("{cabinet:\\d{1,18}}/circuit")
    public Response askAboutTheCircuit(@RestPath long cabinet) {
        CabinetSheet sheet = plant.cabinet(cabinet);
        Form form = Form.showing(CircuitFields.stored(sheet.circuit(), sheet.board()), sheet.circuit().version());
        return FormPage.show(circuit(sheet, circuitFields(form, sheet)));
    }

    @POST
    @Path("{cabinet:\\d{1,18}}/circuit")
    @Consumes(MediaType.APPLICATION_FORM_URLENCODED)
    public Response changeCircuit(@RestPath long cabinet, MultivaluedMap<String, String> sent) {
        CabinetSheet sheet = plant.cabinet(cabinet);
        Form form = circuitFields(Form.typed(sent), sheet);
        NewCircuit entered = CircuitFields.read(form, "");
        form.problems(entered.problems());
        return save(sheet, form, () -> registration.changeCircuit(cabinet, form.version(), entered, plant.by()), () -> {
            CabinetSheet now = plant.cabinet(cabinet);
            return CircuitFields.stored(now.circuit(), now.board());
        }, () -> circuit(sheet, form));
    }

    @GET
    @Path("{cabinet:\\d{1,18}}/content")
    public Response askAboutTheContent(@RestPath long cabinet) {
        CabinetSheet sheet = plant.cabinet(cabinet);
        ContentSheet content = contentOf(cabinet);
        return FormPage.show(content(sheet, ContentFields.add(Form.showing(ContentFields.stored(content), content.version()), "")));
    }

    @POST
    @Path("{cabinet:\\d{1,18}}/content")
    @Consumes(MediaType.APPLICATION_FORM_URLENCODED)
    public Response changeContent(@RestPath long cabinet, MultivaluedMap<String, String> sent) {
        CabinetSheet sheet = plant.cabinet(cabinet);
        Form form = ContentFields.add(Form.typed(sent), "");
        NewContent entered = ContentFields.read(form, "");
        form.problems(ContentFields.withoutParts(entered.problems()));
        return save(sheet, form, () -> registration.changeContent(cabinet, form.version(), entered, plant.by()),
                () -> ContentFields.stored(contentOf(cabinet)), () -> content(sheet, form));
    }

    @GET
    @Path("{cabinet:\\d{1,18}}/warmth")
    public Response askHowItKeepsWarm(@RestPath long cabinet) {
        CabinetSheet sheet = plant.cabinet(cabinet);
        WarmthSheet warmth = register.warmth(cabinet);
        return FormPage.show(warmth(sheet, WarmthFields.add(Form.showing(WarmthFields.stored(warmth), warmth.version()))));
    }

    @POST
    @Path("{cabinet:\\d{1,18}}/warmth")
    @Consumes(MediaType.APPLICATION_FORM_URLENCODED)
    public Response changeWarmth(@RestPath long cabinet, MultivaluedMap<String, String> sent) {
        CabinetSheet sheet = plant.cabinet(cabinet);
        Form form = WarmthFields.add(Form.typed(sent));
        NewWarmth entered = WarmthFields.read(form);
        form.problems(entered.problems());
        return save(sheet, form, () -> registration.changeWarmth(cabinet, form.version(), entered, plant.by()),
                () -> WarmthFields.stored(register.warmth(cabinet)), () -> warmth(sheet, form));
    }

    @GET
    @Path("{cabinet:\\d{1,18}}/out-of-use")
    public Response askWhetherItIsGone(@RestPath long cabinet) {
        CabinetSheet sheet = plant.cabinet(cabinet);
        return FormPage.show(outOfUse(sheet, reason(Form.showing(Map.of(), sheet.version()))));
    }

    @POST
    @Path("{cabinet:\\d{1,18}}/out-of-use")
    @Consumes(MediaType.APPLICATION_FORM_URLENCODED)
    public Response takeOutOfUse(@RestPath long cabinet, MultivaluedMap<String, String> sent) {
        CabinetSheet sheet = plant.cabinet(cabinet);
        Form form = reason(Form.typed(sent));
        try {
            registration.takeOutOfUse(cabinet, form.version(), form.text("reason"), plant.by());
            return FormPage.done("/cabinets/" + cabinet);
        } catch (NotRegistered refused) {
            return FormPage.refused(outOfUse(sheet, form.problems(refused.problems())));
        } catch (ChangedMeanwhile changed) {
            pages.changedMeanwhile(form, changed, Map.of(), sheet.site().zone());
            return FormPage.refused(outOfUse(plant.cabinet(cabinet), form));
        }
    }

    /** Its old way may feed another by now, so what feeds it is entered anew. */
    @GET
    @Path("{cabinet:\\d{1,18}}/back-in-use")
    public Response askWhatFeedsItAgain(@RestPath long cabinet) {
        OutOfUseSheet sheet = outOfUse(cabinet);
        return FormPage.show(backInUse(sheet, againFields(Form.showing(Map.of(), sheet.version()), sheet)));
    }

    @POST
    @Path("{cabinet:\\d{1,18}}/back-in-use")
    @Consumes(MediaType.APPLICATION_FORM_URLENCODED)
    public Response bringBack(@RestPath long cabinet, MultivaluedMap<String, String> sent) {
        OutOfUseSheet sheet = outOfUse(cabinet);
        Form form = againFields(Form.typed(sent), sheet);
        NewCircuit entered = CircuitFields.read(form, "");
        form.problems(entered.problems());
        // Nothing watches it yet: that is the next thing to do.
        return pages.save(form, () -> registration.bringBackIntoUse(cabinet, form.version(), entered, plant.by()), "/cabinets/" + cabinet
                + "/sensor", Map::of, sheet.site().zone(), () -> backInUse(sheet, form));
    }

    private OutOfUseSheet outOfUse(long cabinet) {
        return register.outOfUse(cabinet).orElseThrow(NotFoundException::new);
    }

    private Form againFields(Form form, OutOfUseSheet sheet) {
        return CircuitFields.add(form, "", plant.boards(sheet.site().id()), sheet.site().id());
    }

    private FormView backInUse(OutOfUseSheet sheet, Form form) {
        String headline = "What feeds " + sheet.name() + ", now that it is used again?";
        return new FormView(pages.frame(headline, "supply"), headline, "It keeps its code " + sheet.code()
                + ", its name and its history. A sensor is registered for it next; until then nothing watches it.", CircuitFields.CAUTIONS,
                form, "/cabinets/" + sheet.cabinetId() + "/back-in-use", "Bring it back into use",
                new Link("Leave it out of use", "/cabinets/" + sheet.cabinetId()), List.of());
    }

    private static Form reason(Form form) {
        return form.add(Input.text("reason", "Why it is taken out of use").hint("For whoever looks for it later: the quay is being rebuilt."));
    }

    static Form fields(Form form) {
        return form.add(Input.text("code", "Code").hint("Printed on its label: up to 12 capital letters, digits and hyphens."))
                .add(Input.text("name", "Name").hint("As people there call it: North Stair 2."))
                .add(Input.text("place", "Place").hint("Where it stands, from the nearest way in."))
                .add(Input.text("lampPlace", "Place of the lamp").hint("Where to look: under the cabinet, left."));
    }

    private Form circuitFields(Form form, CabinetSheet sheet) {
        return CircuitFields.add(form, "", plant.boards(sheet.site().id()), sheet.site().id());
    }

    private ContentSheet contentOf(long cabinet) {
        return register.content(cabinet).orElseThrow(NotFoundException::new);
    }

    private static Map<String, String> stored(CabinetSheet sheet) {
        return Map.of("code", sheet.code(), "name", sheet.name(), "place", sheet.place(), "lampPlace", sheet.lampPlace());
    }

    private FormView facts(CabinetSheet sheet, Form form) {
        return view(sheet, "What is different about " + sheet.name() + "?", "", List.of(), form, "edit", "Save",
                List.of(new Link("Change its circuit", at(sheet, "circuit")), new Link("Change what it holds", at(sheet, "content")),
                        new Link("Its sensor", at(sheet, "sensor")), new Link("Take it out of use", at(sheet, "out-of-use"))));
    }

    private FormView circuit(CabinetSheet sheet, Form form) {
        return view(sheet, "What feeds " + sheet.name() + " now?", "People are sent to these places when its supply is lost.",
                CircuitFields.CAUTIONS, form, "circuit", "Save", List.of());
    }

    private FormView content(CabinetSheet sheet, Form form) {
        return view(sheet, "What does " + sheet.name() + " hold now?", "", List.of(), form, "content", "Save", List.of());
    }

    private FormView warmth(CabinetSheet sheet, Form form) {
        return view(sheet, "How does " + sheet.name() + " keep warm?",
                "From these figures Lampkeeper says how long the content has when the supply is lost, and notices a heater that does not heat. What is left"
                        + " empty is not known: nothing usual takes its place. Cool-downs on record replace the figures of the walls.",
                List.of("A forecast is an estimate. It does not protect anything: act on its early end."), form, "warmth", "Save",
                List.of(new Link("Change what it holds, and its storage temperatures", at(sheet, "content"))));
    }

    private FormView outOfUse(CabinetSheet sheet, Form form) {
        return view(sheet, "Is " + sheet.name() + " taken out of use?",
                "Its sensor is retired, its open alarms end, and way " + sheet.circuit().way() + " of " + sheet.board().name()
                        + " becomes free. Nothing watches it from then on. Its history stays, and no other cabinet gets the code " + sheet.code()
                        + ". To put it aside for a time only, announce work instead.",
                List.of("Is something that people may need still in it? Tell those who rely on it where to find another."),
                form, "out-of-use", "Take it out of use", List.of(new Link("Announce work instead", "/sites/" + sheet.site().id() + "/work")));
    }

    private FormView view(CabinetSheet sheet, String headline, String intro, List<String> cautions, Form form, String page, String button,
            List<Link> more) {
        return new FormView(pages.frame(headline, "supply"), headline, intro, cautions, form, at(sheet, page), button,
                new Link("Back without saving", "/cabinets/" + sheet.cabinetId()), more);
    }

    private static String at(CabinetSheet sheet, String page) {
        return "/cabinets/" + sheet.cabinetId() + "/" + page;
    }

    private Response save(CabinetSheet sheet, Form form, Runnable change, Supplier<Map<String, String>> stored, Supplier<FormView> again) {
        return pages.save(form, change, "/cabinets/" + sheet.cabinetId(), stored, sheet.site().zone(), again);
    }
}
