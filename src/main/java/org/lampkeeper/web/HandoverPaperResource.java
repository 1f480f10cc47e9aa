package org.lampkeeper.web;

import java.time.ZoneId;
import java.time.format.DateTimeFormatter;
import java.util.ArrayList;
import java.util.Base64;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Optional;
import java.util.stream.Stream;

import jakarta.ws.rs.GET;
import jakarta.ws.rs.NotFoundException;
import jakarta.ws.rs.Path;
import jakarta.ws.rs.Produces;
import jakarta.ws.rs.core.HttpHeaders;
import jakarta.ws.rs.core.Response;

import org.jboss.resteasy.reactive.RestPath;

import org.lampkeeper.register.CabinetName;
import org.lampkeeper.register.Contact;
import org.lampkeeper.register.HandoverField;
import org.lampkeeper.register.HandoverFigures;
import org.lampkeeper.register.HandoverFigures.Placed;
import org.lampkeeper.register.HandoverNotice;
import org.lampkeeper.register.HandoverSheet;
import org.lampkeeper.register.HandoverSheet.Held;
import org.lampkeeper.register.HandoverValues;
import org.lampkeeper.register.Handovers;
import org.lampkeeper.register.People;
import org.lampkeeper.report.HandoverPaper;
import org.lampkeeper.report.HandoverPaper.Document;
import org.lampkeeper.report.HandoverPaper.Notice;
import org.lampkeeper.report.HandoverPaper.Part;
import org.lampkeeper.report.HandoverPaper.Picture;
import org.lampkeeper.report.HandoverPaper.Row;
import org.lampkeeper.report.HandoverPaper.Section;
import org.lampkeeper.report.HandoverPaper.Signature;
import org.lampkeeper.supply.ProofTest;
import org.lampkeeper.watch.HandoverDesk;

/** The record of a hand-over on paper, of any of its versions, signed or not. */
@Path("/handovers")
class HandoverPaperResource {

    private static final DateTimeFormatter AT = DateTimeFormatter.ofPattern("d MMMM uuuu, HH:mm", Locale.ENGLISH);

    private final Handovers handovers;
    private final HandoverDesk desk;
    private final People people;
    private final Plant plant;

    HandoverPaperResource(Handovers handovers, HandoverDesk desk, People people, Plant plant) {
        this.handovers = handovers;
        this.desk = desk;
        this.people = people;
        this.plant = plant;
    }

    @GET
    @Path("{handover:\\d{1,18}}/record.pdf")
    @Produces("application/pdf")
    public Response paper(@RestPath long handover) {
        HandoverSheet sheet = handovers.find(handover).orElseThrow(NotFoundException::new);
        return Response.ok(HandoverPaper.of(document(sheet, plant.named(sheet.cabinetId()))))
                .header(HttpHeaders.CONTENT_DISPOSITION, "inline; filename=\"handover-" + handover + "-version-" + sheet.number() + ".pdf\"").build();
    }

    private Document document(HandoverSheet sheet, CabinetName cabinet) {
        ZoneId zone = cabinet.site().zone();
        HandoverValues values = sheet.values();
        List<Placed> placed = desk.figures(values);
        List<String> tests = desk.tests(sheet.id()).stream().flatMap(test -> test(test, zone)).toList();
        return new Document("Hand-over of " + cabinet.name() + " (" + cabinet.code() + "), version " + sheet.number(), HandoverResource.headline(sheet, cabinet),
                HandoverResource.CAUTIONS, Stream.of(HandoverField.Section.values()).map(section -> section(section, sheet, values)).toList(),
                Stream.of(HandoverFigures.Part.values()).map(part -> part(part, placed, values)).toList(),
                HandoverNotice.of(values).stream().map(it -> new Notice(it.regulation() + ", " + it.place(), it.text(), it.only().map(only -> "Only " + only + ".").orElse(""))).toList(),
                tests.isEmpty() ? List.of("No proof test was made with this version.") : tests, sheet.remark().orElse(""), signatures(sheet, zone),
                sheet.fingerprint().orElse(""), tables(values), "Printed by Lampkeeper on " + AT.format(plant.now().atZone(zone)) + ", times as at " + cabinet.site().name() + ".");
    }

    private String tables(HandoverValues values) {
        return desk.limits(values).map(HandoverFiguresResource::compared)
                .orElse("No edition of the limits was chosen, so nothing was worked out.");
    }

    private Section section(HandoverField.Section section, HandoverSheet sheet, HandoverValues values) {
        Map<HandoverField, String> problems = values.problems();
        return new Section(section.words(), HandoverFields.typed(section).stream().filter(field -> sheet.held().containsKey(field) || values.missing().contains(field))
                .map(field -> row(field, Optional.ofNullable(sheet.held().get(field)), problems.getOrDefault(field, ""))).toList(),
                section.fields().stream().filter(field -> field.shape().kind() == HandoverField.Kind.PHOTO).flatMap(field -> pictures(field, sheet)).toList());
    }

    /** The one that holds, and those that others sent meanwhile. */
    private Stream<Picture> pictures(HandoverField field, HandoverSheet sheet) {
        Optional<Held> held = Optional.ofNullable(sheet.held().get(field));
        return held.stream().flatMap(it -> Stream.concat(Stream.of(picture(field.label(), it.typed(), sheet)),
                it.beside().stream().map(other -> picture(field.label() + ", which somebody else sent", other.typed(), sheet)))).flatMap(Optional::stream);
    }

    private Optional<Picture> picture(String label, String sha256, HandoverSheet sheet) {
        return handovers.photo(sheet.id(), sha256).map(jpeg -> new Picture(label, sha256, Base64.getEncoder().encodeToString(jpeg)));
    }

    private static Row row(HandoverField field, Optional<Held> held, String problem) {
        String value = HandoverFields.held(field, held);
        // What two people typed differently stands there until somebody decides: on paper too.
        String beside = held.map(it -> it.beside().isEmpty() ? "" : "somebody else typed " + String.join("; ", it.beside().stream()
                .map(other -> HandoverFields.written(field, other.typed())).toList())).orElse("");
        return new Row(field.label(), value, Stream.of(problem, beside).filter(text -> !text.isEmpty()).reduce((one, other) -> one + "; " + other).orElse(""));
    }

    private static Part part(HandoverFigures.Part part, List<Placed> placed, HandoverValues values) {
        return new Part(part.words(), HandoverFiguresResource.stands(part, values), placed.stream().filter(it -> it.part() == part).map(HandoverFiguresResource::figure).toList());
    }

    /** One line each: when, and whether it is proven, then what happened. */
    private static Stream<String> test(ProofTest test, ZoneId zone) {
        return Stream.concat(Stream.of(AT.format(test.startedAt().atZone(zone)) + ", " + (test.isProven() ? "proven:" : "not proven:")), test.lines().stream());
    }

    private List<Signature> signatures(HandoverSheet sheet, ZoneId zone) {
        List<Signature> signatures = new ArrayList<>();
        signatures.add(signature("Installer", sheet.installer(), zone));
        signatures.add(signature("Site", sheet.site(), zone));
        return signatures;
    }

    private Signature signature(String as, Optional<HandoverSheet.Signature> given, ZoneId zone) {
        return given.map(it -> new Signature(as, people.find(it.by()).map(Contact::name).orElse("somebody who has been erased"), AT.format(it.at().atZone(zone))))
                .orElse(new Signature(as, "not signed", ""));
    }
}
