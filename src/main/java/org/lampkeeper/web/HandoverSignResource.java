package org.lampkeeper.web;

import java.time.ZoneId;
import java.util.ArrayList;
import java.util.List;
import java.util.stream.Stream;

import jakarta.ws.rs.BadRequestException;
import jakarta.ws.rs.Consumes;
import jakarta.ws.rs.DefaultValue;
import jakarta.ws.rs.GET;
import jakarta.ws.rs.NotFoundException;
import jakarta.ws.rs.POST;
import jakarta.ws.rs.Path;
import jakarta.ws.rs.Produces;
import jakarta.ws.rs.core.MediaType;
import jakarta.ws.rs.core.MultivaluedMap;
import jakarta.ws.rs.core.Response;

import io.quarkus.qute.CheckedTemplate;
import io.quarkus.qute.TemplateInstance;
import org.jboss.resteasy.reactive.RestForm;
import org.jboss.resteasy.reactive.RestPath;

import org.lampkeeper.access.Needs;
import org.lampkeeper.access.Right;
import org.lampkeeper.alarm.Sentences;
import org.lampkeeper.register.CabinetName;
import org.lampkeeper.register.ChangedMeanwhile;
import org.lampkeeper.register.Contact;
import org.lampkeeper.register.HandoverDifferences;
import org.lampkeeper.register.HandoverSheet;
import org.lampkeeper.register.HandoverSheet.Signature;
import org.lampkeeper.register.Handovers;
import org.lampkeeper.register.NotRegistered;
import org.lampkeeper.register.People;
import org.lampkeeper.register.Problem;
import org.lampkeeper.watch.HandoverDesk;
import org.lampkeeper.watch.HandoverDesk.Signed;
import org.lampkeeper.web.SupplyView.Link;

/** May it be signed? First by the installer, then by the site, who is somebody else; both sign the same document. */
@Path("/handovers")
@Produces(MediaType.TEXT_HTML)
class HandoverSignResource {

    private static final MediaType HTML = MediaType.TEXT_HTML_TYPE.withCharset("UTF-8");

    private final Handovers handovers;
    private final HandoverDesk desk;
    private final People people;
    private final Plant plant;
    private final FormPage pages;

    HandoverSignResource(Handovers handovers, HandoverDesk desk, People people, Plant plant, FormPage pages) {
        this.handovers = handovers;
        this.desk = desk;
        this.people = people;
        this.plant = plant;
        this.pages = pages;
    }

    @CheckedTemplate
    static class Templates {
        static native TemplateInstance sign(SignView view);
    }

    /**
     * @param missing     what keeps the installer from signing; each leads to its field
     * @param figures     what the figures amount to
     * @param signatures  those that there are
     * @param fingerprint of what was signed; empty while nothing was
     * @param differences where the register says something else than what both signed
     */
    record SignView(Frame frame, String headline, List<String> cautions, List<Link> links, List<Link> missing, String figures, Form form, List<String> signatures, String fingerprint,
            String remark, String here, boolean mayInstaller, boolean maySite, boolean mayTakeBack, List<Group> differences) {

        /** @param obstacles why there is no button; empty where there is one, and for whoever may not change the register */
        record Group(String group, String title, int version, List<HandoverDifferences.Row> rows, List<String> obstacles, boolean mayTake) {
        }
    }

    @GET
    @Path("{handover:\\d{1,18}}/sign")
    public Response page(@RestPath long handover) {
        HandoverSheet sheet = find(handover);
        return answer(200, sheet, asked(sheet, Form.showing(java.util.Map.of(), sheet.revision())));
    }

    @POST
    @Path("{handover:\\d{1,18}}/sign")
    @Consumes(MediaType.APPLICATION_FORM_URLENCODED)
    @Needs(Right.EDIT_PLANT)
    public Response sign(@RestPath long handover, MultivaluedMap<String, String> sent) {
        HandoverSheet sheet = find(handover);
        Form form = asked(sheet, Form.typed(sent));
        Signed signed = desk.installerSigns(handover, form.version(), form.value("remark").strip(), plant.by());
        if (signed.isDone()) {
            return FormPage.done("/handovers/" + handover + "/sign");
        }
        // Of fields the page says what is missing by itself.
        signed.problems().stream().filter(it -> it.field().isEmpty() || it.field().equals("remark")).forEach(it -> form.problem(it.field(), it.text()));
        if (form.isFine()) {
            form.problem("", "the record is not complete");
        }
        return answer(422, sheet, form);
    }

    @POST
    @Path("{handover:\\d{1,18}}/take-over")
    @Consumes(MediaType.APPLICATION_FORM_URLENCODED)
    @Needs(Right.EDIT_SITE)
    public Response takeOver(@RestPath long handover, @RestForm @DefaultValue("") String fingerprint) {
        HandoverSheet sheet = find(handover);
        if (desk.siteTakesOver(handover, fingerprint, plant.by())) {
            return FormPage.done("/handovers/" + handover + "/sign");
        }
        Form form = asked(sheet, Form.showing(java.util.Map.of(), sheet.revision())).problem("", sheet.isSigned() ? "it is signed by both already"
                : !sheet.cabinetInUse() ? sheet.closedBecause().orElseThrow() : "the site signs what the installer has signed, and is another person; read it again");
        return answer(422, find(handover), form);
    }

    @POST
    @Path("{handover:\\d{1,18}}/take-back")
    @Needs(Right.EDIT_PLANT)
    public Response takeBack(@RestPath long handover) {
        find(handover);
        handovers.installerTakesBack(handover, plant.by());
        return FormPage.done("/handovers/" + handover);
    }

    /** The register takes one group of fields from what both signed. */
    @POST
    @Path("{handover:\\d{1,18}}/register")
    @Consumes(MediaType.APPLICATION_FORM_URLENCODED)
    @Needs(Right.EDIT_PLANT)
    public Response takeIntoRegister(@RestPath long handover, @RestForm @DefaultValue("") String group, @RestForm @DefaultValue("0") int version) {
        HandoverSheet sheet = find(handover);
        HandoverDifferences.Group chosen = Stream.of(HandoverDifferences.Group.values()).filter(it -> it.name().equals(group)).findFirst().orElseThrow(BadRequestException::new);
        Form form = asked(sheet, Form.showing(java.util.Map.of(), sheet.revision()));
        try {
            desk.takeIntoRegister(handover, chosen, version, plant.by()).forEach(problem -> form.problem("", problem.text()));
        } catch (NotRegistered refused) {
            refused.problems().forEach(problem -> form.problem("", problem.text()));
        } catch (ChangedMeanwhile changed) {
            return answer(409, find(handover), form.problem("", "nothing was taken: the register was changed meanwhile; what it says now stands below"));
        }
        return form.isFine() ? FormPage.done("/handovers/" + handover + "/sign#register") : answer(422, find(handover), form);
    }

    private HandoverSheet find(long handover) {
        return handovers.find(handover).orElseThrow(NotFoundException::new);
    }

    /** A remark may be left out where every figure is within and a proof test saw everything. */
    private Form asked(HandoverSheet sheet, Form form) {
        Input remark = Input.area("remark", "What was decided");
        boolean isNeeded = desk.unsigned(sheet, "").stream().anyMatch(it -> it.field().equals("remark"));
        return form.add((isNeeded ? remark : remark.orNot())
                .hint("About figures that are not within, and why there is no proof test, if there is none. It is part of what is signed: write roles, not names."));
    }

    private Response answer(int status, HandoverSheet sheet, Form form) {
        CabinetName cabinet = plant.named(sheet.cabinetId());
        ZoneId zone = cabinet.site().zone();
        List<Link> missing = new ArrayList<>();
        if (sheet.isOpen()) {
            for (Problem problem : desk.unsigned(sheet, "said")) {
                missing.add(new Link(problem.text() + ".", "/handovers/" + sheet.id() + "#field-" + problem.field()));
            }
        }
        List<String> signatures = new ArrayList<>();
        sheet.installer().ifPresent(it -> signatures.add("Installer: " + written(it, zone)));
        sheet.site().ifPresent(it -> signatures.add("Site: " + written(it, zone)));
        boolean mayEdit = plant.may(Right.EDIT_PLANT, sheet.siteId());
        SignView view = new SignView(pages.frame("Sign the hand-over of " + cabinet.name(), "supply"), HandoverResource.headline(sheet, cabinet), HandoverResource.CAUTIONS,
                HandoverResource.links(sheet), missing, HandoverFiguresResource.headline(desk.figures(sheet.values()), cabinet), form, signatures, sheet.fingerprint().orElse(""),
                sheet.remark().orElse(""), "/handovers/" + sheet.id(), sheet.isOpen() && mayEdit && missing.isEmpty(),
                sheet.waitsForSite() && plant.may(Right.EDIT_SITE, sheet.siteId()), sheet.waitsForSite() && mayEdit,
                desk.differences(sheet).stream().map(it -> new SignView.Group(it.group().name(), it.group().words(), it.change().version(), it.rows(), it.obstacles(),
                        mayEdit && it.obstacles().isEmpty())).toList());
        return Response.status(status).type(HTML).entity(Templates.sign(view).render()).build();
    }

    private String written(Signature signature, ZoneId zone) {
        return people.find(signature.by()).map(Contact::name).orElse("somebody who has been erased") + ", " + Sentences.clock(signature.at(), zone, plant.now());
    }
}
