package org.lampkeeper.web;

import java.io.IOException;
import java.io.UncheckedIOException;
import java.nio.file.Files;
import java.time.ZoneId;
import java.util.ArrayList;
import java.util.Collection;
import java.util.EnumMap;
import java.util.HashMap;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalLong;
import java.util.Set;
import java.util.stream.Collectors;
import java.util.stream.Stream;

import jakarta.ws.rs.BadRequestException;
import jakarta.ws.rs.Consumes;
import jakarta.ws.rs.DefaultValue;
import jakarta.ws.rs.GET;
import jakarta.ws.rs.NotFoundException;
import jakarta.ws.rs.POST;
import jakarta.ws.rs.Path;
import jakarta.ws.rs.Produces;
import jakarta.ws.rs.core.HttpHeaders;
import jakarta.ws.rs.core.MediaType;
import jakarta.ws.rs.core.MultivaluedMap;
import jakarta.ws.rs.core.Response;

import io.quarkus.qute.CheckedTemplate;
import io.quarkus.qute.TemplateInstance;
import org.jboss.resteasy.reactive.RestForm;
import org.jboss.resteasy.reactive.RestPath;
import org.jboss.resteasy.reactive.RestQuery;
import org.jboss.resteasy.reactive.multipart.FileUpload;
import org.jspecify.annotations.Nullable;

import org.lampkeeper.access.Needs;
import org.lampkeeper.access.Right;
import org.lampkeeper.alarm.Sentences;
import org.lampkeeper.register.CabinetName;
import org.lampkeeper.register.Contact;
import org.lampkeeper.register.HandoverField;
import org.lampkeeper.register.HandoverField.Kind;
import org.lampkeeper.register.HandoverField.Needed;
import org.lampkeeper.register.HandoverField.PartRow;
import org.lampkeeper.register.HandoverField.Section;
import org.lampkeeper.register.HandoverSheet;
import org.lampkeeper.register.HandoverSheet.Held;
import org.lampkeeper.register.HandoverSheet.Other;
import org.lampkeeper.register.HandoverValues;
import org.lampkeeper.register.Handovers;
import org.lampkeeper.register.Handovers.SaveResult;
import org.lampkeeper.register.Handovers.Typed;
import org.lampkeeper.register.People;
import org.lampkeeper.watch.HandoverDesk;
import org.lampkeeper.watch.Photo;
import org.lampkeeper.web.SupplyView.Link;

/** What is still missing before this cabinet can be signed off? The record itself, written in steps, on a tablet, with or without scripts. */
@Path("/handovers")
@Produces(MediaType.TEXT_HTML)
class HandoverResource {

    /** On every page of a hand-over. After common rules of the trade; see docs/handover.md. */
    static final List<String> CAUTIONS = List.of(
            "Arithmetic on typed numbers, not a certificate: it replaces none that the law asks for.",
            "A competent person decides. Local codes win, and in many places only a licensed electrician may do this work.",
            "Isolate, lock off and prove dead before anything is opened. Live tests are for electricians only.",
            "A test of the residual-current device takes the supply away: tell the site before.");

    private static final MediaType HTML = MediaType.TEXT_HTML_TYPE.withCharset("UTF-8");

    // Ours: pads, a battery and one more.
    private static final int USUAL_PARTS = 3;

    // Ours: ten times the fields that there are; a queue that is longer was not made by our page.
    private static final int MOST_VALUES = 1000;

    private final Handovers handovers;
    private final HandoverDesk desk;
    private final People people;
    private final Plant plant;
    private final FormPage pages;

    HandoverResource(Handovers handovers, HandoverDesk desk, People people, Plant plant, FormPage pages) {
        this.handovers = handovers;
        this.desk = desk;
        this.people = people;
        this.plant = plant;
        this.pages = pages;
    }

    @CheckedTemplate
    static class Templates {
        static native TemplateInstance handover(RecordView view);
    }

    /**
     * @param trouble  what is wrong with what was sent just now; empty for nothing
     * @param mayWrite whether it is open, and the reader may write in it
     * @param links    to what belongs to it
     */
    record RecordView(Frame frame, String headline, String remark, Optional<Form> trouble, long id, int revision, boolean mayWrite, List<String> cautions, List<Link> links,
            List<Part> parts, String save) {

        /**
         * @param standing what keeps it from being signed, in words; empty for nothing
         * @param folded  rows of which most records need none
         * @param more    what they are called
         */
        record Part(String key, String title, String standing, List<Row> rows, List<Row> folded, String more, List<Value> values, List<Photo> photos) {

            /** What is wrong is seen. */
            public boolean isUnfolded() {
                return folded.stream().anyMatch(row -> !row.field().error().isEmpty());
            }
        }

        /**
         * @param address   of the picture; empty where there is none
         * @param problem   what is wrong with what was sent; empty for nothing
         * @param beside    sent by others meanwhile
         * @param describedBy the ids of hint and problem
         */
        record Photo(String field, String label, String hint, String address, String sha256, String problem, List<OtherPhoto> beside, String action, String describedBy) {
            public Photo self() {
                return this;
            }
        }

        record OtherPhoto(String who, String address, String sha256) {
        }

        /** @param beside what others typed meanwhile, with who and when */
        record Row(Form.FieldView field, List<Beside> beside, String decide) {
            public Row asRow() {
                return this;
            }

            public Form.FieldView self() {
                return field;
            }
        }

        record Beside(String who, String typed) {
        }

        /** Of a version that is only read. */
        record Value(String label, String value) {
        }
    }

    /** What a page's script sends. */
    public record SaveRequest(@Nullable List<Sent> values) {
    }

    /** @param seen the revision that stood beside the field */
    public record Sent(@Nullable String field, @Nullable String typed, int seen, boolean decides) {
    }

    /**
     * What stands now, so that a page can show what others have typed.
     *
     * @param closed   why nothing can be stored any more; empty while it can be
     * @param sections what keeps each section from being signed, in words
     * @param optional the fields that may be left empty, by what else was typed
     */
    public record SaveAnswer(int revision, boolean isOpen, String closed, String headline, Map<Section, String> sections, List<String> optional, Map<String, FieldNow> fields,
            Map<String, String> refused) {
    }

    public record FieldNow(String typed, int revision, String problem, List<String> beside) {
    }

    @GET
    @Path("{handover:\\d{1,18}}")
    public Response page(@RestPath long handover) {
        HandoverSheet sheet = find(handover);
        return answer(200, sheet, Map.of(), Optional.empty());
    }

    /** One section, or all of them; what is not sent stays as it is. */
    @POST
    @Path("{handover:\\d{1,18}}")
    @Consumes(MediaType.APPLICATION_FORM_URLENCODED)
    @Needs(Right.EDIT_PLANT)
    public Response save(@RestPath long handover, MultivaluedMap<String, String> sent) {
        HandoverSheet before = find(handover);
        Map<String, String> typed = Form.firstOf(sent);
        int seen = Form.typed(typed).version();
        List<Typed> values = Stream.of(HandoverField.values()).filter(field -> typed.containsKey(field.key()))
                .map(field -> new Typed(field, typed.get(field.key()), seen, typed.containsKey("decide." + field.key()))).toList();
        SaveResult result = handovers.save(handover, values, plant.by());
        if (result instanceof SaveResult.Saved) {
            String section = typed.getOrDefault("section", "");
            return FormPage.done("/handovers/" + handover + (section.matches("[A-Z_]{1,20}") ? "#" + section : ""));
        }
        if (result instanceof SaveResult.Refused refused) {
            Form trouble = Form.empty();
            refused.problems().forEach(problem -> trouble.problem("", problem.text()));
            return answer(422, before, typed, Optional.of(trouble));
        }
        if (result instanceof SaveResult.Closed closed) {
            return closed(closed);
        }
        throw new NotFoundException();
    }

    /**
     * A photo, for a field that takes one; without a file it is said which of those that are kept is right, or that there is none.
     *
     * @param right the SHA-256 of one that is kept, or {@code none}
     */
    @POST
    @Path("{handover:\\d{1,18}}/photo")
    @Consumes(MediaType.MULTIPART_FORM_DATA)
    @Needs(Right.EDIT_PLANT)
    public Response savePhoto(@RestPath long handover, @RestForm @DefaultValue("") String field, @RestForm @DefaultValue("0") int version,
            @RestForm @DefaultValue("") String right, @RestForm @Nullable FileUpload photo) {
        HandoverSheet before = find(handover);
        HandoverField into = HandoverField.of(field).filter(it -> it.shape().kind() == Kind.PHOTO).orElseThrow(() -> new BadRequestException("field: it takes no photo"));
        SaveResult result;
        if (!before.isOpen()) {
            result = new SaveResult.Closed(before);
        } else if (!right.isEmpty()) {
            result = handovers.save(handover, List.of(new Typed(into, right.equals("none") ? "" : right, version, true)), plant.by());
        } else if (photo == null || photo.size() == 0) {
            return photoRefused(before, into, "No photo was chosen: choose one, or take one, and send it then.");
        } else {
            Photo.Read read = read(photo);
            if (read instanceof Photo.Read.Refused refused) {
                return photoRefused(before, into, refused.why());
            }
            result = desk.savePhoto(handover, into, ((Photo.Read.Fine) read).photo(), version, plant.by());
        }
        if (result instanceof SaveResult.Saved) {
            return FormPage.done("/handovers/" + handover + "#" + into.section().name());
        }
        if (result instanceof SaveResult.Refused refused) {
            return photoRefused(before, into, Sentences.capital(refused.problems().get(0).text()) + ".");
        }
        if (result instanceof SaveResult.Closed closed) {
            return closed(closed);
        }
        throw new NotFoundException();
    }

    /** The same for the script of the page, field by field. */
    @POST
    @Path("{handover:\\d{1,18}}/fields")
    @Consumes(MediaType.APPLICATION_JSON)
    @Produces(MediaType.APPLICATION_JSON)
    @Needs(Right.EDIT_PLANT)
    public SaveAnswer saveFields(@RestPath long handover, @Nullable SaveRequest request) {
        if (request == null || request.values() == null || request.values().size() > MOST_VALUES) {
            throw new BadRequestException("values: a list of at most " + MOST_VALUES + " is expected");
        }
        List<Typed> values = new ArrayList<>();
        Map<String, String> refused = new LinkedHashMap<>();
        for (Sent sent : request.values()) {
            HandoverField field = Optional.ofNullable(sent.field()).flatMap(HandoverField::of)
                    .orElseThrow(() -> new BadRequestException("field: there is no such field in a hand-over record"));
            String typed = sent.typed() == null ? "" : sent.typed();
            // One that cannot be kept does not keep the others from being kept.
            if (field.unstorable(typed).isEmpty()) {
                values.add(new Typed(field, typed, sent.seen(), sent.decides()));
            } else {
                refused.put(field.key(), field.unstorable(typed).get(0).text());
            }
        }
        SaveResult result = handovers.save(handover, values, plant.by());
        HandoverSheet now = result instanceof SaveResult.Saved saved ? saved.now() : result instanceof SaveResult.Closed closed ? closed.now() : find(handover);
        CabinetName cabinet = plant.named(now.cabinetId());
        ZoneId zone = cabinet.site().zone();
        HandoverValues stands = now.values();
        Map<HandoverField, String> problems = stands.problems();
        Map<String, FieldNow> fields = new LinkedHashMap<>();
        now.held().forEach((field, held) -> fields.put(field.key(), new FieldNow(held.typed(), lastRevision(held), problems.getOrDefault(field, ""),
                held.beside().stream().map(other -> who(other, zone) + ": " + HandoverFields.written(field, other.typed())).toList())));
        return new SaveAnswer(now.revision(), now.isOpen(), now.closedBecause().orElse(""), headline(now, cabinet), standing(now, stands),
                Stream.of(HandoverField.values()).filter(field -> !stands.isNeeded(field)).map(HandoverField::key).toList(), fields, refused);
    }

    /** One of the pictures of this cabinet's records. */
    @GET
    @Path("{handover:\\d{1,18}}/photo")
    @Produces("image/jpeg")
    public Response photo(@RestPath long handover, @RestQuery @DefaultValue("") String sha256) {
        return Response.ok(handovers.photo(handover, sha256).orElseThrow(NotFoundException::new)).type("image/jpeg")
                .header(HttpHeaders.CONTENT_DISPOSITION, "inline; filename=\"hand-over-" + handover + ".jpg\"")
                .header("Content-Security-Policy", "default-src 'none'; sandbox; frame-ancestors 'none'").build();
    }

    private Response closed(SaveResult.Closed closed) {
        return answer(422, closed.now(), Map.of(), Optional.of(Form.empty().problem("", "nothing was stored: " + closed.now().closedBecause().orElseThrow())));
    }

    private Response photoRefused(HandoverSheet sheet, HandoverField field, String why) {
        return answer(422, sheet, Map.of(), Optional.empty(), Map.of(field, "Nothing was stored. " + why));
    }

    private static Photo.Read read(FileUpload photo) {
        try {
            return Photo.read(Files.readAllBytes(photo.uploadedFile()));
        } catch (IOException e) {
            throw new UncheckedIOException("a photo that was sent could not be read from the disk", e);
        }
    }

    /** The document that was signed; of a version that is not, what it would be now. */
    @GET
    @Path("{handover:\\d{1,18}}/record.json")
    @Produces(MediaType.APPLICATION_JSON)
    public Response json(@RestPath long handover) {
        HandoverSheet sheet = find(handover);
        String document = handovers.document(handover).orElseGet(() -> desk.document(sheet, sheet.remark().orElse(""), plant.now()));
        return Response.ok(document, MediaType.APPLICATION_JSON_TYPE.withCharset("UTF-8"))
                .header(HttpHeaders.CONTENT_DISPOSITION, "attachment; filename=\"handover-" + handover + "-version-" + sheet.number() + ".json\"").build();
    }

    private HandoverSheet find(long handover) {
        return handovers.find(handover).orElseThrow(NotFoundException::new);
    }

    /** Of what holds and of all that stands beside it. */
    private static int lastRevision(Held held) {
        return held.beside().stream().mapToInt(Other::revision).reduce(held.revision(), Math::max);
    }

    static String headline(HandoverSheet sheet, CabinetName cabinet) {
        if (sheet.isSigned()) {
            return "Version " + sheet.number() + " of the hand-over of " + cabinet.name() + " is signed by both.";
        }
        if (!sheet.cabinetInUse()) {
            return cabinet.name() + " is out of use; version " + sheet.number() + " of its hand-over was not signed by both.";
        }
        if (sheet.waitsForSite()) {
            return "The hand-over of " + cabinet.name() + " is signed by the installer and waits for the site.";
        }
        HandoverValues values = sheet.values();
        List<String> parts = new ArrayList<>();
        int missing = values.missing().size();
        if (missing > 0) {
            parts.add(missing == 1 ? "one field is missing" : missing + " fields are missing");
        }
        int wrong = values.problems().size();
        if (wrong > 0) {
            parts.add(wrong == 1 ? "one is to be put right" : wrong + " are to be put right");
        }
        int undecided = sheet.undecided().size();
        if (undecided > 0) {
            parts.add(undecided == 1 ? "of one field it is to be decided what is right" : "of " + undecided + " fields it is to be decided what is right");
        }
        return parts.isEmpty() ? "Nothing is missing: the hand-over of " + cabinet.name() + " can be signed."
                : "Before the hand-over of " + cabinet.name() + " can be signed, " + String.join(", ", parts) + ".";
    }

    static List<Link> links(HandoverSheet sheet) {
        String here = "/handovers/" + sheet.id();
        return List.of(new Link("The record", here), new Link("What the figures amount to", here + "/figures"), new Link("Sensor and proof test", here + "/proof"),
                new Link("Sign", here + "/sign"), new Link("On paper (PDF)", here + "/record.pdf"),
                new Link("As a file (JSON)", here + "/record.json"), new Link("All versions", "/cabinets/" + sheet.cabinetId() + "/handovers"));
    }

    private Response answer(int status, HandoverSheet sheet, Map<String, String> typed, Optional<Form> trouble) {
        return answer(status, sheet, typed, trouble, Map.of());
    }

    private Response answer(int status, HandoverSheet sheet, Map<String, String> typed, Optional<Form> trouble, Map<HandoverField, String> photoProblems) {
        CabinetName cabinet = plant.named(sheet.cabinetId());
        ZoneId zone = cabinet.site().zone();
        boolean mayWrite = sheet.isOpen() && plant.may(Right.EDIT_PLANT, sheet.siteId());
        Map<Section, String> standing = standing(sheet, sheet.values());
        List<RecordView.Part> parts = Stream.of(Section.values()).map(section -> part(section, sheet, typed, standing.get(section), photoProblems, mayWrite, zone)).toList();
        RecordView view = new RecordView(pages.frame("Hand-over of " + cabinet.name(), "supply"), headline(sheet, cabinet),
                remark(sheet, cabinet),
                trouble, sheet.id(), sheet.revision(), mayWrite, CAUTIONS, links(sheet), parts, "/handovers/" + sheet.id());
        return Response.status(status).type(HTML).entity(Templates.handover(view).render()).build();
    }

    private String remark(HandoverSheet sheet, CabinetName cabinet) {
        ZoneId zone = cabinet.site().zone();
        return "Version " + sheet.number() + ", opened " + Sentences.clock(sheet.openedAt(), zone, plant.now()) + ". "
                + cabinet.outOfUseSince().map(since -> "The cabinet is out of use since " + Sentences.clock(since, zone, plant.now()) + "; what was written stays to be read.")
                        .orElse(sheet.isOpen() ? "What is typed is kept as it is typed; nothing is filled in by itself." : "What was signed stays as it was signed; a later change is a new version.");
    }

    /** What is to be done in each section, so that it is found on a long page: "2 are missing, one to be put right". */
    private static Map<Section, String> standing(HandoverSheet sheet, HandoverValues values) {
        List<HandoverField> missing = values.missing();
        Set<HandoverField> wrong = values.problems().keySet();
        Collection<HandoverField> undecided = sheet.undecided();
        Map<Section, String> standing = new EnumMap<>(Section.class);
        Stream.of(Section.values()).forEach(section -> standing.put(section, standing(in(section, missing), in(section, wrong), in(section, undecided))));
        return standing;
    }

    private static String standing(long missing, long wrong, long undecided) {
        List<String> parts = new ArrayList<>();
        if (missing > 0) {
            parts.add(missing == 1 ? "one is missing" : missing + " are missing");
        }
        if (wrong > 0) {
            parts.add(wrong == 1 ? "one to be put right" : wrong + " to be put right");
        }
        if (undecided > 0) {
            parts.add(undecided == 1 ? "one to be decided" : undecided + " to be decided");
        }
        return String.join(", ", parts);
    }

    private static long in(Section section, Collection<HandoverField> fields) {
        return fields.stream().filter(field -> field.section() == section).count();
    }

    private RecordView.Part part(Section section, HandoverSheet sheet, Map<String, String> typed, String words,
            Map<HandoverField, String> photoProblems, boolean mayWrite, ZoneId zone) {
        List<RecordView.Photo> photos = section.fields().stream().filter(field -> field.shape().kind() == Kind.PHOTO)
                .map(field -> photo(field, sheet, photoProblems.getOrDefault(field, ""), zone)).toList();
        List<HandoverField> typedInto = HandoverFields.typed(section);
        if (!mayWrite) {
            return new RecordView.Part(section.name(), section.words(), words, List.of(), List.of(), "", typedInto.stream().filter(field -> !folded(sheet).contains(field)).map(field -> new RecordView.Value(field.label(),
                    HandoverFields.held(field, Optional.ofNullable(sheet.held().get(field))))).toList(), photos);
        }
        boolean isSent = typedInto.stream().anyMatch(field -> typed.containsKey(field.key()));
        Form form = isSent ? refused(section, sheet, typed) : HandoverFields.showing(section, sheet, desk.editions());
        List<HandoverField> folded = typedInto.stream().filter(folded(sheet)::contains).toList();
        // By their names, so that whoever needs one finds it without unfolding all.
        String more = section == Section.CONTENT ? "More dated parts" : "Seldom needed: " + folded.stream().map(HandoverField::label).collect(Collectors.joining("; "));
        List<RecordView.Row> rows = rows(typedInto.stream().filter(field -> !folded.contains(field)), form, sheet, zone);
        return new RecordView.Part(section.name(), section.words(), words, rows, rows(folded.stream(), form, sheet, zone), more, List.of(), photos);
    }

    private List<RecordView.Row> rows(Stream<HandoverField> fields, Form form, HandoverSheet sheet, ZoneId zone) {
        return fields.map(field -> new RecordView.Row(form.field(field.key()), beside(field, sheet, zone), "decide." + field.key())).toList();
    }

    /** The rows for dated parts after the last one with something in it, and after the third; of what is seldom needed, what nobody has touched. */
    private static Set<HandoverField> folded(HandoverSheet sheet) {
        List<PartRow> all = HandoverField.parts();
        int shown = USUAL_PARTS;
        for (int i = USUAL_PARTS; i < all.size(); i++) {
            if (isTouched(all.get(i).name(), sheet) || isTouched(all.get(i).until(), sheet)) {
                shown = i + 1;
            }
        }
        return Stream.concat(all.subList(shown, all.size()).stream().flatMap(row -> Stream.of(row.name(), row.until())),
                Stream.of(HandoverField.values()).filter(field -> field.needed() == Needed.SELDOM && !isTouched(field, sheet))).collect(Collectors.toSet());
    }

    private static boolean isTouched(HandoverField field, HandoverSheet sheet) {
        return Optional.ofNullable(sheet.held().get(field)).filter(it -> !it.typed().isEmpty() || !it.beside().isEmpty()).isPresent();
    }

    private static String photoAddress(HandoverSheet sheet, String sha256) {
        return sha256.isEmpty() ? "" : "/handovers/" + sheet.id() + "/photo?sha256=" + sha256;
    }

    private RecordView.Photo photo(HandoverField field, HandoverSheet sheet, String problem, ZoneId zone) {
        Optional<Held> held = Optional.ofNullable(sheet.held().get(field));
        String sha256 = held.map(Held::typed).orElse("");
        List<RecordView.OtherPhoto> beside = held.map(it -> it.beside().stream().map(other -> new RecordView.OtherPhoto(who(other, zone), photoAddress(sheet, other.typed()),
                other.typed().isEmpty() ? "none" : other.typed())).toList()).orElse(List.of());
        return new RecordView.Photo(field.key(), field.label(), field.hint(), photoAddress(sheet, sha256), sha256, problem, beside, "/handovers/" + sheet.id() + "/photo",
                "hint-" + field.key() + (problem.isEmpty() ? "" : " problem-" + field.key()));
    }

    /** What was typed, with what keeps it from being stored. */
    private Form refused(Section section, HandoverSheet sheet, Map<String, String> typed) {
        Form form = HandoverFields.add(Form.typed(new HashMap<>(typed)), section, sheet, desk.editions());
        HandoverFields.typed(section).forEach(field -> form.problems(field.unstorable(typed.getOrDefault(field.key(), ""))));
        return form;
    }

    private List<RecordView.Beside> beside(HandoverField field, HandoverSheet sheet, ZoneId zone) {
        return Optional.ofNullable(sheet.held().get(field)).map(held -> held.beside().stream()
                .map(other -> new RecordView.Beside(who(other, zone), HandoverFields.written(field, other.typed()))).toList()).orElse(List.of());
    }

    private String who(Other other, ZoneId zone) {
        OptionalLong by = other.by();
        String name = by.isPresent() ? people.find(by.getAsLong()).map(Contact::name).orElse("somebody") : "somebody";
        return name + ", " + Sentences.clock(other.at(), zone, plant.now());
    }
}
