package org.lampkeeper.web;

import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;

import jakarta.ws.rs.GET;
import jakarta.ws.rs.POST;
import jakarta.ws.rs.Path;
import jakarta.ws.rs.Produces;
import jakarta.ws.rs.core.Context;
import jakarta.ws.rs.core.HttpHeaders;
import jakarta.ws.rs.core.MediaType;
import jakarta.ws.rs.core.Response;
import jakarta.ws.rs.core.UriInfo;

import io.quarkus.qute.CheckedTemplate;
import io.quarkus.qute.TemplateInstance;
import org.jboss.resteasy.reactive.RestPath;

import org.lampkeeper.access.Needs;
import org.lampkeeper.access.Right;
import org.lampkeeper.message.MessageConfig;
import org.lampkeeper.register.CabinetSheet;
import org.lampkeeper.register.Labels;
import org.lampkeeper.register.Register;
import org.lampkeeper.register.SiteSheet;
import org.lampkeeper.report.LabelSheets;
import org.lampkeeper.report.LabelSheets.Labelled;
import org.lampkeeper.report.QrCode;

/** The labels of a site's cabinets, to be printed on A4. */
@Path("/sites")
@Produces(MediaType.TEXT_HTML)
class LabelsResource {

    // IEC 60038, table 1: the nominal voltage of public low-voltage supply.
    private static final String SUPPLY = "230 V AC 50 Hz";
    // Ours: a name and a telephone number; voltage, phases and frequency.
    private static final int MOST_TELL = 60;
    private static final int MOST_SUPPLY = 30;
    private static final int UNPROCESSABLE = 422;

    private final Labels labels;
    private final Register register;
    private final Plant plant;
    private final FormPage pages;
    private final MessageConfig messages;

    LabelsResource(Labels labels, Register register, Plant plant, FormPage pages, MessageConfig messages) {
        this.labels = labels;
        this.register = register;
        this.plant = plant;
        this.pages = pages;
        this.messages = messages;
    }

    @CheckedTemplate
    static class Templates {
        static native TemplateInstance labels(LabelsView view);
    }

    /** @param missing how many cabinets have none yet */
    record LabelsView(Frame frame, String headline, String site, String base, List<LabelLine> labels, int missing, boolean mayEdit, Form form) {
    }

    /** @param lookCode for people to type; empty for whoever does not print it, and for a label without one */
    record LabelLine(long cabinetId, String name, String code, String lampPlace, QrCode picture, String lookCode) {
    }

    @GET
    @Path("{site:\\d{1,18}}/labels")
    public Response show(@RestPath long site) {
        return Response.ok(page(site, fields(Form.empty()))).type(ChecksResource.HTML).build();
    }

    /** As PDF; the page with what is to be put right where something is. */
    @GET
    @Path("{site:\\d{1,18}}/labels.pdf")
    @Produces({"application/pdf", MediaType.TEXT_HTML})
    public Response sheets(@RestPath long site, @Context UriInfo asked) {
        SiteSheet sheet = plant.site(site);
        Form form = fields(Form.typed(asked.getQueryParameters()));
        problem(form, "tell", MOST_TELL);
        problem(form, "supply", MOST_SUPPLY);
        if (form.text("supply").isEmpty()) {
            form.problem("supply", "missing: as " + SUPPLY);
        }
        Map<Long, String> codes = labels.ofSite(site);
        Map<Long, String> lookCodes = lookCodes(site);
        List<Labelled> labelled = register.sheetsOfSite(site).stream().filter(cabinet -> codes.containsKey(cabinet.cabinetId()))
                .map(cabinet -> new Labelled(cabinet, address(codes.get(cabinet.cabinetId())), Optional.ofNullable(lookCodes.get(cabinet.cabinetId())))).toList();
        if (labelled.isEmpty()) {
            form.problem("", "no cabinet has a label yet: make labels first");
        }
        if (!form.isFine()) {
            return Response.status(UNPROCESSABLE).entity(page(site, form)).type(ChecksResource.HTML).build();
        }
        return Response.ok(LabelSheets.of(sheet.name(), labelled, form.optionalText("tell"), form.text("supply"))).type("application/pdf")
                .header(HttpHeaders.CONTENT_DISPOSITION, "inline; filename=\"labels-" + site + ".pdf\"").build();
    }

    @POST
    @Path("{site:\\d{1,18}}/labels")
    @Needs(Right.EDIT_PLANT)
    public Response make(@RestPath long site) {
        labels.makeMissing(site, plant.by());
        return FormPage.done("/sites/" + site + "/labels");
    }

    private static void problem(Form form, String field, int most) {
        int length = form.text(field).length();
        if (length > most) {
            form.problem(field, "this has " + length + " characters, a label takes " + most);
        }
    }

    private static Form fields(Form form) {
        return form.preset("supply", SUPPLY).section("", "")
                .add(Input.text("tell", "Whom to tell").hint("A name and a telephone number. Without it the labels have a line to write on.").orNot())
                .add(Input.text("supply", "Voltage"));
    }

    private String page(long site, Form form) {
        SiteSheet sheet = plant.site(site);
        Map<Long, String> codes = labels.ofSite(site);
        Map<Long, String> lookCodes = lookCodes(site);
        List<CabinetSheet> cabinets = register.sheetsOfSite(site);
        List<LabelLine> lines = cabinets.stream().filter(cabinet -> codes.containsKey(cabinet.cabinetId()))
                .map(cabinet -> line(cabinet, codes.get(cabinet.cabinetId()), lookCodes.getOrDefault(cabinet.cabinetId(), ""))).toList();
        String headline = lines.isEmpty() ? "No cabinet of " + sheet.name() + " has a label yet." : lines.size() == 1 ? "One label of " + sheet.name() + " to print."
                : lines.size() + " labels of " + sheet.name() + " to print.";
        return Templates.labels(new LabelsView(pages.frame("Labels of " + sheet.name(), "supply"), headline, sheet.name(), "/sites/" + site, lines,
                cabinets.size() - lines.size(), plant.may(Right.EDIT_PLANT, site), form)).render();
    }

    /** Those for whoever prints the labels: they are to be read at the cabinet alone. */
    private Map<Long, String> lookCodes(long site) {
        Map<Long, String> grouped = new HashMap<>();
        if (plant.may(Right.EDIT_PLANT, site)) {
            labels.lookCodes(site).forEach((cabinet, code) -> grouped.put(cabinet, grouped(code)));
        }
        return grouped;
    }

    private LabelLine line(CabinetSheet cabinet, String code, String lookCode) {
        return new LabelLine(cabinet.cabinetId(), cabinet.name(), cabinet.code(), cabinet.lampPlace(), QrCode.of(address(code)), lookCode);
    }

    private String address(String code) {
        return messages.address("at/" + code);
    }

    /** As two groups, which are easier to carry over. */
    private static String grouped(String code) {
        int half = code.length() / 2;
        return code.isEmpty() ? "" : code.substring(0, half) + " " + code.substring(half);
    }
}
