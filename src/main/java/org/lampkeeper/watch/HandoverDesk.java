package org.lampkeeper.watch;

import java.time.Clock;
import java.time.Instant;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.OptionalLong;
import java.util.TreeMap;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.transaction.Transactional;

import com.fasterxml.jackson.core.JsonProcessingException;
import com.fasterxml.jackson.databind.ObjectMapper;
import com.fasterxml.jackson.databind.SerializationFeature;

import org.lampkeeper.electrical.Grade;
import org.lampkeeper.electrical.Limits;
import org.lampkeeper.message.LinkReading;
import org.lampkeeper.message.LinkTokens;
import org.lampkeeper.quantity.Celsius;
import org.lampkeeper.register.By;
import org.lampkeeper.register.CabinetName;
import org.lampkeeper.register.CabinetSheet;
import org.lampkeeper.register.ContentSheet;
import org.lampkeeper.register.HandoverDifferences;
import org.lampkeeper.register.HandoverDifferences.Difference;
import org.lampkeeper.register.HandoverDifferences.Group;
import org.lampkeeper.register.HandoverField;
import org.lampkeeper.register.HandoverField.Section;
import org.lampkeeper.register.HandoverFigures;
import org.lampkeeper.register.HandoverFigures.Placed;
import org.lampkeeper.register.HandoverNotice;
import org.lampkeeper.register.HandoverSheet;
import org.lampkeeper.register.HandoverValue;
import org.lampkeeper.register.HandoverValues;
import org.lampkeeper.register.Handovers;
import org.lampkeeper.register.Handovers.SaveResult;
import org.lampkeeper.register.LimitTables;
import org.lampkeeper.register.NewContent;
import org.lampkeeper.register.Problem;
import org.lampkeeper.register.Register;
import org.lampkeeper.register.Registration;
import org.lampkeeper.register.Sha256;
import org.lampkeeper.supply.ProofTest;

/** Where a hand-over is proven and signed. Each method is one transaction and bears a repeat. */
@ApplicationScoped
@Transactional
public class HandoverDesk {

    /** The width of the column. */
    private static final int LONGEST_REMARK = 2000;

    // Sorted, so that the same record is the same text.
    private static final ObjectMapper JSON = new ObjectMapper().enable(SerializationFeature.ORDER_MAP_ENTRIES_BY_KEYS);

    private final Handovers handovers;
    private final ProofTests tests;
    private final AlarmDesk alarms;
    private final SiteWatches sites;
    private final LimitTables limits;
    private final Register register;
    private final Registration registration;
    private final Deadlines deadlines;
    private final LinkTokens tokens;
    private final Clock clock;

    HandoverDesk(Handovers handovers, ProofTests tests, AlarmDesk alarms, SiteWatches sites, LimitTables limits, Register register, Registration registration,
            Deadlines deadlines, LinkTokens tokens, Clock clock) {
        this.handovers = handovers;
        this.tests = tests;
        this.alarms = alarms;
        this.sites = sites;
        this.limits = limits;
        this.register = register;
        this.registration = registration;
        this.deadlines = deadlines;
        this.tokens = tokens;
        this.clock = clock;
    }

    /** What is behind the link in the message of a test. */
    public sealed interface Behind {

        /** @param isTaken whether the button was pressed */
        record Open(CabinetSheet cabinet, long personId, boolean isTaken) implements Behind {
        }

        record Over() implements Behind {
        }

        record NotOurs() implements Behind {
        }
    }

    /** What became of signing: signed, or the reasons why not. */
    public record Signed(List<Problem> problems) {
        public Signed {
            problems = List.copyOf(problems);
        }

        public boolean isDone() {
            return problems.isEmpty();
        }
    }

    /** Keeps a photo for a field of the record that takes one. */
    public SaveResult savePhoto(long handoverId, HandoverField field, Photo photo, int seen, By by) {
        return handovers.savePhoto(handoverId, field, photo.jpeg(), photo.sha256(), seen, by);
    }

    /** The verdicts of a record; empty while no edition is chosen, or one that this installation has no tables of. */
    public Optional<Limits> limits(HandoverValues values) {
        return values.text(HandoverField.EDITION).flatMap(limits::find);
    }

    public List<String> editions() {
        return limits.editions();
    }

    public List<Placed> figures(HandoverValues values) {
        return limits(values).map(tables -> HandoverFigures.of(values, tables)).orElse(List.of());
    }

    /** The tests of this record, the newest first. */
    public List<ProofTest> tests(long handoverId) {
        return tests.ofHandover(handoverId).stream().map(ProofTests.Kept::test).toList();
    }

    /**
     * Begins a proof test now. Alarms of the cabinet are held back while it lasts; the message of the test is sent all the same.
     *
     * @return what is wrong; empty when it runs, also where it ran already
     */
    public List<Problem> beginTest(long handoverId, By by) {
        Optional<HandoverSheet> found = handovers.find(handoverId);
        Optional<String> closed = found.isEmpty() ? Optional.of("there is no such record") : found.get().closedBecause();
        if (closed.isPresent()) {
            return List.of(new Problem("", closed.get()));
        }
        HandoverSheet sheet = found.get();
        sites.lock(sheet.siteId());
        if (tests.running(sheet.cabinetId()).isPresent()) {
            return List.of();
        }
        ProofTest test = ProofTest.begun(by.at());
        AlarmDesk.WorkResult held = alarms.announce(SuppressionKind.COMMISSIONING, sheet.siteId(), OptionalLong.empty(), OptionalLong.of(sheet.cabinetId()), test.startedAt(),
                test.endsAt(), "proof test of the hand-over", by.personId());
        if (held instanceof AlarmDesk.WorkResult.Refused refused) {
            return refused.problems();
        }
        if (held instanceof AlarmDesk.WorkResult.Announced announced) {
            tests.begin(handoverId, sheet.siteId(), sheet.cabinetId(), announced.work().id(), by.personId().orElseThrow(), test);
            return List.of();
        }
        throw new IllegalStateException("announced work without a rule: " + held.getClass().getName());
    }

    /** Breaks off the test that runs, if one does. */
    public void endTest(long handoverId, By by) {
        handovers.find(handoverId).ifPresent(sheet -> {
            sites.lock(sheet.siteId());
            tests.running(sheet.cabinetId()).filter(it -> it.handoverId() == handoverId).ifPresent(it -> tests.timeIsOver(it.id(), by.at()));
        });
    }

    /** Opening a link changes nothing. */
    public Behind behind(String token) {
        LinkReading reading = tokens.readForTest(token, clock.instant());
        if (reading instanceof LinkReading.Valid link) {
            return tests.find(link.subjectId()).filter(it -> it.test().isRunning() || it.test().takenAt().isPresent())
                    .flatMap(it -> register.findSheet(it.cabinetId()).<Behind>map(cabinet -> new Behind.Open(cabinet, link.personId(), it.test().takenAt().isPresent())))
                    .orElseGet(Behind.Over::new);
        }
        return reading instanceof LinkReading.Expired ? new Behind.Over() : new Behind.NotOurs();
    }

    /** Records that the person behind the link has the message; pressed again it records nothing new. */
    public Behind take(String token) {
        Instant now = clock.instant();
        if (tokens.readForTest(token, now) instanceof LinkReading.Valid link) {
            tests.siteOf(link.subjectId()).ifPresent(sites::lock);
            tests.find(link.subjectId()).ifPresent(kept -> tests.taken(kept, now));
        }
        return behind(token);
    }

    /**
     * What keeps the installer from signing: fields that are missing, cannot be read, or are undecided.
     *
     * @param remark what was decided about figures that are not within, and why there is no proof test where there is none
     */
    public List<Problem> unsigned(HandoverSheet sheet, String remark) {
        List<Problem> problems = new ArrayList<>();
        HandoverValues values = sheet.values();
        values.missing().forEach(field -> problems.add(new Problem(field.key(), field.label() + " is missing")));
        values.problems().forEach((field, problem) -> problems.add(new Problem(field.key(), field.label() + ": " + problem)));
        sheet.undecided().forEach(field -> problems.add(new Problem(field.key(), field.label() + ": two different things were typed, decide which is right")));
        if (values.has(HandoverField.EDITION) && limits(values).isEmpty()) {
            problems.add(new Problem(HandoverField.EDITION.key(), "there are no tables of this edition here, choose one of " + String.join("; ", editions())));
        }
        content(values).ifPresent(content -> content.problems().forEach(problem -> problems.add(new Problem(HandoverField.CONTENT.key(), problem.text()))));
        boolean isToBeDecided = figures(values).stream().anyMatch(it -> it.verdict().grade() != Grade.WITHIN);
        boolean isProven = tests(sheet.id()).stream().anyMatch(ProofTest::isProven);
        if (remark.isBlank() && (isToBeDecided || !isProven)) {
            problems.add(new Problem("remark", "is empty, must say " + (isToBeDecided ? "what was decided about the figures that are not within" : "")
                    + (isToBeDecided && !isProven ? ", and " : "") + (isProven ? "" : "why there is no proof test in which everything happened")));
        } else if (remark.length() > LONGEST_REMARK) {
            problems.add(new Problem("remark", remark.length() + " characters, must be at most " + LONGEST_REMARK));
        }
        return problems;
    }

    /** @param revision that the installer has seen */
    public Signed installerSigns(long handoverId, int revision, String remark, By by) {
        Optional<HandoverSheet> found = handovers.find(handoverId);
        if (found.isEmpty()) {
            return new Signed(List.of(new Problem("", "there is no such record")));
        }
        if (found.get().closedBecause().isPresent()) {
            return new Signed(List.of(new Problem("", found.get().closedBecause().get())));
        }
        List<Problem> problems = unsigned(found.get(), remark);
        if (!problems.isEmpty()) {
            return new Signed(problems);
        }
        String document = document(found.get(), remark, by.at());
        boolean isDone = handovers.installerSigns(handoverId, revision, remark, document, Sha256.hex(document), by);
        return new Signed(isDone ? List.of() : List.of(new Problem("", "somebody has typed something since, or it is signed already; read it again before signing")));
    }

    /**
     * The site takes over what the installer has signed. The register takes the content's dates and limits from it, and from now on what comes due is
     * looked for each morning.
     *
     * @return false where the installer has not signed this document, it is the same person, or it is signed already
     */
    public boolean siteTakesOver(long handoverId, String fingerprint, By by) {
        if (!handovers.siteSigns(handoverId, fingerprint, by)) {
            return false;
        }
        HandoverSheet sheet = handovers.find(handoverId).orElseThrow();
        ContentSheet stored = register.content(sheet.cabinetId()).orElseThrow();
        NewContent known = new NewContent(stored.kind(), stored.limitsAsked(), stored.lowest(), stored.highest(), stored.parts());
        content(sheet.values()).filter(signed -> !signed.equals(known)).ifPresent(signed -> registration.changeContent(sheet.cabinetId(), stored.version(), signed, by));
        deadlines.add(DeadlineKind.DATES, sheet.cabinetId(), 0, DateReminders.next(register.sheet(sheet.cabinetId()).site().zone(), by.at()));
        return true;
    }

    /**
     * Where the version that both signed last and the register say different things; empty for every other version, and for a cabinet out of use.
     */
    public List<Difference> differences(HandoverSheet sheet) {
        boolean isNewest = handovers.ofCabinet(sheet.cabinetId()).stream().filter(HandoverSheet::isSigned).findFirst().filter(it -> it.id() == sheet.id()).isPresent();
        if (!isNewest || !sheet.cabinetInUse()) {
            return List.of();
        }
        CabinetSheet cabinet = register.sheet(sheet.cabinetId());
        return HandoverDifferences.of(sheet.values(), cabinet, register.boardsOfSite(sheet.siteId()), (board, way) -> register.sheetsOnBoard(board.id()).stream()
                .filter(other -> other.cabinetId() != sheet.cabinetId() && other.circuit().way().equals(way)).findFirst()
                // One of another site is not for everybody to know.
                .map(other -> other.site().id() == sheet.siteId() ? other.name() : "a cabinet of another site"));
    }

    /**
     * Has the register say about one group of fields what the signed record says. Pressed again it changes nothing.
     *
     * @param version that the register's cabinet or circuit had when the difference was shown
     * @return why it cannot; empty where it does now
     * @throws org.lampkeeper.register.ChangedMeanwhile when the register says something else than was shown
     */
    public List<Problem> takeIntoRegister(long handoverId, Group group, int version, By by) {
        Optional<Difference> found = handovers.find(handoverId).stream().flatMap(sheet -> differences(sheet).stream()).filter(it -> it.group() == group).findFirst();
        if (found.isEmpty()) {
            return List.of();
        }
        if (!found.get().obstacles().isEmpty()) {
            return found.get().obstacles().stream().map(obstacle -> new Problem("", obstacle)).toList();
        }
        long cabinet = handovers.find(handoverId).orElseThrow().cabinetId();
        HandoverDifferences.Change change = found.get().change();
        if (change instanceof HandoverDifferences.Change.OfCabinet of) {
            registration.changeCabinet(cabinet, version, of.facts(), by);
        } else if (change instanceof HandoverDifferences.Change.OfCircuit of) {
            registration.changeCircuit(cabinet, version, of.circuit(), by);
        } else {
            throw new IllegalStateException("a change without a rule: " + change.getClass().getName());
        }
        return List.of();
    }

    /** As the register takes it; that it can is seen to before the installer signs. */
    private static Optional<NewContent> content(HandoverValues values) {
        return !values.has(HandoverField.STORAGE) ? Optional.empty() : values.text(HandoverField.CONTENT).map(kind -> new NewContent(kind, true,
                celsius(values, HandoverField.LOWEST), celsius(values, HandoverField.HIGHEST), values.parts()));
    }

    private static Optional<Celsius> celsius(HandoverValues values, HandoverField field) {
        return values.has(field) ? Optional.of(new Celsius(values.number(field))) : Optional.empty();
    }

    /** The record as JSON, without people: their names stand beside it, so that they can be erased. {@code handover-record.schema.json}, which is served, describes it. */
    public String document(HandoverSheet sheet, String remark, Instant now) {
        CabinetName cabinet = register.named(sheet.cabinetId()).orElseThrow();
        HandoverValues values = sheet.values();
        TreeMap<String, Object> document = new TreeMap<>();
        document.put("format", "lampkeeper-handover-1");
        document.put("cabinet", new TreeMap<>(java.util.Map.of("code", cabinet.code(), "name", cabinet.name(), "site", cabinet.site().name())));
        document.put("version", sheet.number());
        document.put("at", now.toString());
        document.put("remark", remark);
        document.put("caution", "Arithmetic on typed numbers, not a certificate. A competent person decides; local codes win.");
        TreeMap<String, Object> fields = new TreeMap<>();
        values.given().forEach((field, value) -> {
            if (field.section() != Section.PEOPLE) {
                fields.put(field.key(), field(field, value));
            }
        });
        document.put("fields", fields);
        document.put("verdicts", figures(values).stream().map(it -> verdict(it)).toList());
        limits(values).ifPresent(tables -> document.put("tables", new TreeMap<>(java.util.Map.of("edition", tables.edition(), "remark", tables.remark()))));
        document.put("notices", HandoverNotice.of(values).stream().map(HandoverDesk::notice).toList());
        document.put("proofTests", tests(sheet.id()).stream().filter(it -> !it.isRunning()).map(HandoverDesk::test).toList());
        try {
            return JSON.writeValueAsString(document);
        } catch (JsonProcessingException impossible) {
            throw new IllegalStateException("hand-over " + sheet.id() + " could not be written as JSON", impossible);
        }
    }

    private static TreeMap<String, Object> field(HandoverField field, HandoverValue value) {
        TreeMap<String, Object> written = new TreeMap<>();
        written.put("label", field.label());
        boolean isPhoto = field.shape().kind() == HandoverField.Kind.PHOTO;
        written.put("typed", isPhoto ? "a photo" : value.text());
        if (isPhoto) {
            written.put("sha256", value.text());
        }
        value.number().ifPresent(number -> {
            written.put("value", number);
            written.put("unit", field.shape().unit());
        });
        if (value.orMore()) {
            written.put("lowerBound", true);
        }
        return written;
    }

    private static TreeMap<String, Object> verdict(Placed placed) {
        TreeMap<String, Object> written = new TreeMap<>();
        written.put("part", placed.part().name());
        written.put("stage", placed.stage().words());
        written.put("what", placed.verdict().what());
        written.put("grade", placed.verdict().grade().name());
        written.put("says", placed.verdict().says());
        written.put("formula", placed.verdict().formula());
        written.put("inputs", placed.verdict().inputs());
        placed.verdict().limit().ifPresent(limit -> written.put("limit", limit));
        written.put("edition", placed.verdict().edition());
        written.put("source", placed.verdict().source());
        written.put("advice", placed.verdict().advice());
        return written;
    }

    private static TreeMap<String, Object> notice(HandoverNotice notice) {
        TreeMap<String, Object> written = new TreeMap<>();
        written.put("regulation", notice.regulation());
        written.put("place", notice.place());
        written.put("text", notice.text());
        notice.only().ifPresent(only -> written.put("only", only));
        return written;
    }

    private static TreeMap<String, Object> test(ProofTest test) {
        TreeMap<String, Object> written = new TreeMap<>();
        written.put("startedAt", test.startedAt().toString());
        written.put("proven", test.isProven());
        test.lostAt().ifPresent(at -> written.put("lostAt", at.toString()));
        test.heardAt().ifPresent(at -> written.put("heardAt", at.toString()));
        test.toldAt().ifPresent(at -> written.put("toldAt", at.toString()));
        test.takenAt().ifPresent(at -> written.put("takenAt", at.toString()));
        test.backHeard().ifPresent(at -> written.put("backHeardAt", at.toString()));
        test.endedAt().ifPresent(at -> written.put("endedAt", at.toString()));
        written.put("lines", test.lines());
        return written;
    }
}
