package org.lampkeeper.web;

import java.util.List;
import java.util.Map;
import java.util.Optional;

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
import org.lampkeeper.message.MessageConfig;
import org.lampkeeper.register.CabinetSheet;
import org.lampkeeper.register.Labels;
import org.lampkeeper.register.Register;
import org.lampkeeper.register.SiteSheet;

/** The labels of a site's cabinets, to be printed on A4. */
@Path("/sites/{site:\\d{1,18}}/labels")
@Produces(MediaType.TEXT_HTML)
class LabelsResource {

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
    record LabelsView(Frame frame, String headline, String site, String base, List<LabelLine> labels, int missing, boolean mayEdit) {
    }

    /** @param lookCode for people to type; empty for whoever does not print it, and for a label without one */
    record LabelLine(long cabinetId, String name, String code, String lampPlace, QrCode picture, String lookCode) {
    }

    @GET
    public Response show(@RestPath long site) {
        SiteSheet sheet = plant.site(site);
        Map<Long, String> codes = labels.ofSite(site);
        boolean mayEdit = plant.may(Right.EDIT_PLANT, site);
        // It is to be read at the cabinet alone.
        Map<Long, String> lookCodes = mayEdit ? labels.lookCodes(site) : Map.of();
        List<CabinetSheet> cabinets = register.sheetsOfSite(site);
        List<LabelLine> lines = cabinets.stream().flatMap(cabinet -> Optional.ofNullable(codes.get(cabinet.cabinetId())).map(code -> line(cabinet, code, grouped(lookCodes.getOrDefault(cabinet.cabinetId(), "")))).stream())
                .toList();
        String headline = lines.isEmpty() ? "No cabinet of " + sheet.name() + " has a label yet." : lines.size() == 1 ? "One label of " + sheet.name() + " to print."
                : lines.size() + " labels of " + sheet.name() + " to print.";
        return Response.ok(Templates.labels(new LabelsView(pages.frame("Labels of " + sheet.name(), "supply"), headline, sheet.name(), "/sites/" + site, lines,
                cabinets.size() - lines.size(), mayEdit)).render()).type(ChecksResource.HTML).build();
    }

    @POST
    @Needs(Right.EDIT_PLANT)
    public Response make(@RestPath long site) {
        labels.makeMissing(site, plant.by());
        return FormPage.done("/sites/" + site + "/labels");
    }

    private LabelLine line(CabinetSheet cabinet, String code, String lookCode) {
        return new LabelLine(cabinet.cabinetId(), cabinet.name(), cabinet.code(), cabinet.lampPlace(), QrCode.of(messages.address("at/" + code)), lookCode);
    }

    /** As two groups, which are easier to carry over. */
    private static String grouped(String code) {
        int half = code.length() / 2;
        return code.isEmpty() ? "" : code.substring(0, half) + " " + code.substring(half);
    }
}
