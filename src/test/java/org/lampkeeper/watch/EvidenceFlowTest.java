package org.lampkeeper.watch;

import java.io.ByteArrayInputStream;
import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.security.MessageDigest;
import java.time.Duration;
import java.time.Instant;
import java.time.ZoneId;
import java.time.format.DateTimeFormatter;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.HexFormat;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.zip.ZipEntry;
import java.util.zip.ZipInputStream;
import java.util.zip.ZipOutputStream;

import jakarta.inject.Inject;

import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectMapper;
import com.fasterxml.jackson.databind.node.ObjectNode;
import io.quarkus.narayana.jta.QuarkusTransaction;
import io.quarkus.test.junit.QuarkusTest;
import org.apache.pdfbox.Loader;
import org.apache.pdfbox.pdmodel.PDDocument;
import org.apache.pdfbox.text.PDFTextStripper;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.TestInstance;
import org.junit.jupiter.api.io.TempDir;

import org.lampkeeper.access.Role;
import org.lampkeeper.journal.Entry;
import org.lampkeeper.journal.Head;
import org.lampkeeper.journal.Journal;
import org.lampkeeper.testing.MovedClock;
import org.lampkeeper.testing.SignedIn;
import org.lampkeeper.watch.WatchFixture.Place;

import static org.assertj.core.api.Assertions.assertThat;
import static org.awaitility.Awaitility.await;
import static org.hamcrest.Matchers.containsString;

/** A loss, its evidence, and a stranger who checks it with the program of the documentation, and nothing else of ours. */
@QuarkusTest
@TestInstance(TestInstance.Lifecycle.PER_CLASS)
class EvidenceFlowTest {

    private static final DateTimeFormatter TYPED = DateTimeFormatter.ofPattern("uuuu-MM-dd'T'HH:mm");
    private static final ZoneId LONDON = ZoneId.of("Europe/London");
    private static final ObjectMapper JSON = new ObjectMapper();

    @Inject
    WatchFixture fixture;
    @Inject
    AlarmDesk desk;
    @Inject
    Journal journal;
    @Inject
    MovedClock clock;
    @TempDir
    Path folder;

    private Place place;
    private SignedIn responsible;
    private Head before;
    private Instant lost;
    private Instant noon;
    private Instant end;

    /** Once for all: nothing here changes it. */
    @BeforeAll
    void aLossThatIsOver() throws Exception {
        fixture.atNoonListening();
        noon = fixture.now();
        place = fixture.place(2);
        responsible = SignedIn.as(Role.RESPONSIBLE_PERSON, place.siteId());
        place.sensors().forEach(fixture::saysHealthy);
        before = aMailLeaves("first-mail");
        fixture.passesWhileAllSay(place, true, Duration.ofMinutes(5));
        lost = fixture.now();
        fixture.saysLost(place.first());
        fixture.passesWhileAllSay(place, sensor -> sensor != place.first(), Duration.ofMinutes(7));
        desk.take(fixture.openAlarms(place).get(0).id(), place.people().get(0));
        fixture.passes(Duration.ofSeconds(5));
        fixture.saysHealthy(place.first());
        fixture.passesWhileAllSay(place, true, Duration.ofMinutes(5));
        end = fixture.now();
    }

    @BeforeEach
    void afterIt() {
        clock.stopAt(end);
    }

    @Test
    void archiveIsWhatHappenedAndAStrangerFindsItAsItWasMade() throws Exception {
        Map<String, byte[]> files = archive(place.first().cabinetId());

        Answer alone = check(files);
        assertThat(alone.output()).contains("as it was made: Heron Steps", "compared with no head that was kept");
        assertThat(alone.exit()).isZero();
        assertThat(check(files, kept(before)).output()).contains("compared with the kept heads of the entries " + before.number());

        List<JsonNode> shown = lines(files).stream().filter(line -> line.has("body")).toList();
        assertThat(shown).extracting(line -> line.get("kind").asText()).contains("loss-confirmed", "alarm-raised", "alarm-acknowledged", "supply-returned");
        // Of the neighbour there is nothing but digests.
        assertThat(shown).allSatisfy(line -> assertThat(line.path("cabinet").asLong(place.first().cabinetId())).isEqualTo(place.first().cabinetId()));
        assertThat(lines(files)).anySatisfy(line -> assertThat(line.fieldNames()).toIterable().containsExactly("number", "hash", "digest"));
        assertThat(text(files, "record.csv")).contains("circuit,rating-a,16", "circuit,cable,\"3-core 2.5 mm² SWA, 30 m\"", "\"Board A\"");
        assertThat(text(files, "alarms.csv")).contains("SUPPLY_LOST").contains(lost.toString());
        assertThat(text(files, "messages.csv")).contains("has no supply since").doesNotContain("gate code", "/a/");
        assertThat(text(files, "people.json")).contains("M. Teal");
    }

    @Test
    void paperSaysHowLongItWasWithoutSupplyAndWhoTookIt() throws Exception {
        byte[] paper = responsible.request().accept("application/pdf").queryParams(span()).get("/cabinets/" + place.first().cabinetId() + "/evidence.pdf").then()
                .statusCode(200).extract().asByteArray();

        try (PDDocument document = Loader.loadPDF(paper)) {
            assertThat(new PDFTextStripper().getText(document)).contains("was without supply for 7 min", "has no supply since", "takes the alarm",
                    "follow from each other", "It is no certificate", "circuit, rating (A): 16").doesNotContain("gate code 2468");
        }
    }

    /** Whoever goes there has to know that the way is at another place. */
    @Test
    void boardOfAnotherSiteIsNamedWithItsSite() throws Exception {
        Place across = fixture.place(1);
        long fed = fixture.fedFrom(place, across).cabinetId();
        fixture.passes(Duration.ofSeconds(5));

        String record = text(archive(SignedIn.as(Role.RESPONSIBLE_PERSON), fed), "record.csv");
        assertThat(record).contains("circuit,way,X", "circuit,board," + place.boardId(), "board " + place.boardId() + "\",name,\"Board A\"", "\"of the site\",\"Heron Steps");
    }

    @Test
    void oneChangedByteInAnyFileIsNoticed() throws Exception {
        Map<String, byte[]> files = archive(place.first().cabinetId());

        for (String name : files.keySet()) {
            Map<String, byte[]> changed = new LinkedHashMap<>(files);
            byte[] bytes = files.get(name).clone();
            int at = name.endsWith(".json") ? new String(bytes, StandardCharsets.ISO_8859_1).indexOf("hash") + 10 : bytes.length / 2;
            bytes[at] = (byte) (bytes[at] == '1' ? '2' : '1');
            changed.put(name, bytes);

            assertThat(check(changed)).as(name).satisfies(answer -> {
                assertThat(answer.exit()).isEqualTo(1);
                assertThat(answer.output()).startsWith("not as it was made");
            });
        }
    }

    /** Whoever has the archive writes its list of files anew, too. */
    @Test
    void entryThatIsLeftOutIsNoticedThoughEverySumWasMadeAnew() throws Exception {
        Map<String, byte[]> files = archive(place.first().cabinetId());
        List<String> rows = new ArrayList<>(text(files, "journal.jsonl").lines().toList());
        int left = rows.indexOf(rows.stream().filter(row -> row.contains("loss-confirmed")).findFirst().orElseThrow());
        long number = JSON.readTree(rows.remove(left)).get("number").asLong();
        files.put("journal.jsonl", (String.join("\n", rows) + "\n").getBytes(StandardCharsets.UTF_8));

        assertThat(check(resummed(files)).output()).isEqualTo("not as it was made: entry " + number + " is missing");
    }

    /** A new chain over changed entries fits in itself: only a head that somebody kept says that it is another. */
    @Test
    void chainThatWasWrittenAnewIsNoticedByAHeadThatWasKept() throws Exception {
        Map<String, byte[]> files = archive(place.first().cabinetId());
        List<JsonNode> lines = lines(files);
        long keptNumber = lines.get(lines.size() - 1).get("number").asLong();
        Head kept = new Head(keptNumber, lines.get(lines.size() - 1).get("hash").asText());
        Map<String, byte[]> forged = rebuilt(files);

        assertThat(check(forged).exit()).as("consistent in itself").isZero();
        assertThat(check(forged, kept(kept)).output()).isEqualTo("not as it was made: a head that was kept says otherwise of entry " + keptNumber
                + ": the journal was written anew");
        Path mail = Files.writeString(folder.resolve("kept.eml"), "Subject: a kept mail\r\nX-Lampkeeper-Journal: " + kept.number() + " " + kept.hash() + "\r\n\r\nLost.\r\n");
        assertThat(check(forged, mail.toString()).output()).contains("the journal was written anew");
    }

    @Test
    void timeThatCannotBeIsSaidBesideItsField() {
        responsible.browser().queryParams(Map.of("from", "yesterday", "until", TYPED.format(noon.atZone(LONDON)))).get("/cabinets/" + place.first().cabinetId() + "/evidence.pdf").then()
                .statusCode(422).body(containsString("is not a day and a time")).body(containsString("yesterday"));
        responsible.browser().queryParams(Map.of("from", "2026-01-01T00:00", "until", "2026-03-01T00:00")).get("/cabinets/" + place.first().cabinetId() + "/evidence.pdf").then()
                .statusCode(422).body(containsString("more than 31 days later"));
    }

    @Test
    void alarmLeadsToTheTimeAroundIt() {
        long alarm = fixture.alarms(place).get(0).id();

        responsible.browser().get("/alarms/" + alarm).then().body(containsString("/cabinets/" + place.first().cabinetId() + "/evidence?alarm=" + alarm));
        responsible.browser().get("/cabinets/" + place.first().cabinetId() + "/evidence?alarm=" + alarm).then().statusCode(200)
                .body(containsString(TYPED.format(lost.minus(Duration.ofHours(24)).atZone(LONDON))));
    }

    private Map<String, String> span() {
        return Map.of("from", TYPED.format(noon.minusSeconds(60).atZone(LONDON)), "until", TYPED.format(end.plusSeconds(60).atZone(LONDON)));
    }

    private Map<String, byte[]> archive(long cabinet) throws IOException {
        return archive(responsible, cabinet);
    }

    private Map<String, byte[]> archive(SignedIn by, long cabinet) throws IOException {
        byte[] zip = by.request().accept("application/zip").redirects().follow(false).contentType("application/x-www-form-urlencoded").formParams(span())
                .post("/cabinets/" + cabinet + "/evidence.zip").then().statusCode(200).extract().asByteArray();
        Map<String, byte[]> files = new LinkedHashMap<>();
        try (ZipInputStream in = new ZipInputStream(new ByteArrayInputStream(zip))) {
            for (ZipEntry entry = in.getNextEntry(); entry != null; entry = in.getNextEntry()) {
                files.put(entry.getName(), in.readAllBytes());
            }
        }
        return files;
    }

    /** As the outbox writes it down once a mail server has taken a mail that has the head in it. */
    private Head aMailLeaves(String key) {
        long unsealedBefore = journal.head().number();
        QuarkusTransaction.requiringNew().run(() -> journal.append(Entry.of(fixture.now(), "note-written").site(place.siteId())));
        await().until(() -> journal.head().number() > unsealedBefore);
        Head head = journal.head();
        QuarkusTransaction.requiringNew().run(() -> journal.append(Entry.of(fixture.now(), "message-sent").site(place.siteId()).with("message", key)
                .with("journal-number", head.number())));
        return head;
    }

    private static String kept(Head head) {
        return head.number() + ":" + head.hash();
    }

    private static List<JsonNode> lines(Map<String, byte[]> files) throws IOException {
        List<JsonNode> lines = new ArrayList<>();
        for (String row : text(files, "journal.jsonl").lines().toList()) {
            lines.add(JSON.readTree(row));
        }
        return lines;
    }

    private static String text(Map<String, byte[]> files, String name) {
        return new String(files.get(name), StandardCharsets.UTF_8);
    }

    /** With the sums in contents.json as the files now are. */
    private static Map<String, byte[]> resummed(Map<String, byte[]> files) throws Exception {
        ObjectNode contents = (ObjectNode) JSON.readTree(files.get("contents.json"));
        for (JsonNode file : contents.get("files")) {
            ((ObjectNode) file).put("sha256", sha256(files.get(file.get("name").asText()))).put("bytes", files.get(file.get("name").asText()).length);
        }
        files.put("contents.json", JSON.writeValueAsBytes(contents));
        return files;
    }

    /** Every digest that is known of changed words, every hash, every sum and the entry of its making: what a forger with our layout can do. */
    private static Map<String, byte[]> rebuilt(Map<String, byte[]> original) throws Exception {
        Map<String, byte[]> files = new LinkedHashMap<>(original);
        ObjectNode contents = (ObjectNode) JSON.readTree(files.get("contents.json"));
        String hash = contents.at("/journal/from/hash").asText();
        StringBuilder rows = new StringBuilder();
        for (JsonNode line : lines(files)) {
            ObjectNode forged = (ObjectNode) line;
            if (line.path("kind").asText().equals("loss-confirmed")) {
                forged.put("kind", "dip-ended");
                forged.put("digest", digest(forged));
            }
            hash = seal(hash, forged);
            rows.append(forged.put("hash", hash)).append('\n');
        }
        files.put("journal.jsonl", rows.toString().getBytes(StandardCharsets.UTF_8));
        ((ObjectNode) contents.at("/journal/until")).put("hash", hash);
        files.put("contents.json", JSON.writeValueAsBytes(contents));
        resummed(files);
        ObjectNode made = (ObjectNode) JSON.readTree(files.get("made.json"));
        ObjectNode entry = (ObjectNode) made.get("entry");
        ObjectNode body = (ObjectNode) JSON.readTree(entry.get("body").asText());
        entry.put("body", body.put("contents", sha256(files.get("contents.json"))).toString());
        entry.put("digest", digest(entry));
        entry.put("hash", seal(made.at("/previous/hash").asText(), entry));
        files.put("made.json", JSON.writeValueAsBytes(made));
        return files;
    }

    /** Layout 2 of docs/journal.md, once more. */
    private static String digest(JsonNode line) throws Exception {
        StringBuilder hex = new StringBuilder(line.get("salt").asText()).append(number(line.get("micros").asLong())).append(text(line.get("kind").asText()));
        for (String name : List.of("site", "cabinet", "alarm")) {
            hex.append(line.has(name) ? "01" + number(line.get(name).asLong()) : "00" + number(0));
        }
        return sha256(HexFormat.of().parseHex(hex.append(text(line.get("body").asText()))));
    }

    private static String seal(String previous, JsonNode line) throws Exception {
        return sha256(HexFormat.of().parseHex("4c4b4a32" + previous + number(line.get("number").asLong()) + line.get("digest").asText()));
    }

    private static String number(long value) {
        return String.format("%016x", value);
    }

    private static String text(String value) {
        byte[] bytes = value.getBytes(StandardCharsets.UTF_8);
        return String.format("%08x", bytes.length) + HexFormat.of().formatHex(bytes);
    }

    private static String sha256(byte[] bytes) throws Exception {
        return HexFormat.of().formatHex(MessageDigest.getInstance("SHA-256").digest(bytes));
    }

    record Answer(int exit, String output) {
    }

    private Answer check(Map<String, byte[]> files, String... kept) throws Exception {
        ByteArrayOutputStream bytes = new ByteArrayOutputStream();
        try (ZipOutputStream zip = new ZipOutputStream(bytes)) {
            for (Map.Entry<String, byte[]> file : files.entrySet()) {
                zip.putNextEntry(new ZipEntry(file.getKey()));
                zip.write(file.getValue());
            }
        }
        Path archive = Files.write(folder.resolve("evidence.zip"), bytes.toByteArray());
        List<String> command = new ArrayList<>(List.of("python3", Path.of("docs", "check_evidence.py").toString(), archive.toString()));
        command.addAll(Arrays.asList(kept));
        Process process = new ProcessBuilder(command).redirectErrorStream(true).start();
        String output = new String(process.getInputStream().readAllBytes(), StandardCharsets.UTF_8).strip();
        return new Answer(process.waitFor(), output);
    }
}
