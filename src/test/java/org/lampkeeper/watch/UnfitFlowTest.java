package org.lampkeeper.watch;

import java.io.ByteArrayInputStream;
import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.time.Duration;
import java.time.Instant;
import java.time.LocalDate;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalInt;
import java.util.zip.ZipEntry;
import java.util.zip.ZipInputStream;

import jakarta.inject.Inject;

import io.quarkus.narayana.jta.QuarkusTransaction;
import io.quarkus.test.junit.QuarkusTest;
import io.restassured.path.json.JsonPath;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;

import org.lampkeeper.access.Role;
import org.lampkeeper.alarm.Attendance;
import org.lampkeeper.alarm.Attendance.Content;
import org.lampkeeper.alarm.Attendance.Fit;
import org.lampkeeper.quantity.Celsius;
import org.lampkeeper.register.By;
import org.lampkeeper.register.DatedPart;
import org.lampkeeper.register.NewContent;
import org.lampkeeper.register.NewWarmth;
import org.lampkeeper.register.Register;
import org.lampkeeper.register.Registration;
import org.lampkeeper.register.SensorKey;
import org.lampkeeper.telemetry.Arrival;
import org.lampkeeper.testing.MovedClock;
import org.lampkeeper.testing.PaperPages;
import org.lampkeeper.testing.SignedIn;
import org.lampkeeper.watch.WatchFixture.Place;

import static org.assertj.core.api.Assertions.assertThat;
import static org.hamcrest.Matchers.containsString;
import static org.lampkeeper.watch.WatchFixture.NOON;

/** What was not fit for use, from when to when and why, as the journal has it: on every page and file that says it. */
@QuarkusTest
class UnfitFlowTest {

    private static final String MONTH = "2026-12";

    @Inject
    WatchFixture fixture;
    @Inject
    WarmthWatch watch;
    @Inject
    AlarmDesk desk;
    @Inject
    AttendanceDesk attendance;
    @Inject
    AttendanceCauses causes;
    @Inject
    Registration registration;
    @Inject
    Register register;
    @Inject
    MovedClock clock;

    private Place place;
    private SensorKey sensor;
    private SignedIn reader;

    @BeforeEach
    void noon() {
        fixture.atNoonListening();
        place = fixture.place(2);
        sensor = place.first();
        reader = SignedIn.as(Role.RESPONSIBLE_PERSON);
        QuarkusTransaction.requiringNew().run(() -> {
            registration.changeContent(sensor.cabinetId(), register.content(sensor.cabinetId()).orElseThrow().version(),
                    new NewContent("defibrillator", true, Optional.of(new Celsius(0)), Optional.empty(), List.of()), By.nobody(NOON));
            registration.changeWarmth(sensor.cabinetId(), register.warmth(sensor.cabinetId()).version(), new NewWarmth(Optional.of(new Celsius(8)), Optional.of(30.0),
                    Optional.of(0.737), Optional.of(7_490.0), Optional.of(new Celsius(-12)), false, false), By.nobody(NOON));
        });
    }

    @Test
    void contentThatWasTooColdIsUnfitUntilSomebodySaidOtherwiseAndEverythingSaysTheSame() throws IOException {
        says(true, -0.5, -5);
        Instant cold = fixture.now();
        watch.look(fixture.now());
        passes(Duration.ofMinutes(10));
        says(true, 4, -5);
        watch.look(fixture.now());
        long alarm = fixture.openAlarms(place).get(0).id();
        desk.take(alarm, place.people().get(0));
        passes(Duration.ofMinutes(5));
        Instant seen = fixture.now();
        passes(Duration.ofMinutes(1));
        attendance.save(alarm, 0, record(seen, Fit.NO), place.people().get(0));
        passes(Duration.ofMinutes(30));
        Instant fit = fixture.now();
        attendance.save(alarm, 1, record(seen, Fit.YES), place.people().get(0));
        passes(Duration.ofHours(1));
        says(true, 4, -5);

        Map<String, Object> tooCold = notFit("TOO_COLD");
        assertThat(tooCold).containsEntry("cabinetId", (int) sensor.cabinetId()).containsEntry("from", cold.toString()).containsEntry("until", seen.toString());
        assertThat(notFit("SAID_NOT_FIT")).containsEntry("from", seen.toString()).containsEntry("until", fit.toString());
        assertThat(all().getLong("sites.find { it.siteId == " + place.siteId() + " }.notFitSeconds")).isEqualTo(Duration.between(cold, fit).toSeconds());

        String page = reader.browser().get("/sites/" + place.siteId() + "/month?month=" + MONTH).then().statusCode(200).extract().asString();
        assertThat(page).contains("What was not fit for use", "its content was measured colder than it may be", "whoever was there said that it is not fit for use");
        try (PaperPages paper = new PaperPages(reader.browser().accept("application/pdf").get("/sites/" + place.siteId() + "/month.pdf?month=" + MONTH).then().statusCode(200).extract()
                .asByteArray())) {
            assertThat(paper.text().replaceAll("\\s+", " ")).contains("its content was measured colder than it may be");
        }
        assertThat(file()).contains(Duration.between(cold, fit).toSeconds() + "," + cold + "/" + seen + " TOO_COLD; " + seen + "/" + fit + " SAID_NOT_FIT");
        assertThat(reader.browser().get("/month?month=" + MONTH).then().statusCode(200).extract().asString()).contains("<dt>Not fit for use</dt><dd>one cabinet, ");
        assertThat(evidence()).containsKey("unfit.csv");
        assertThat(new String(evidence().get("unfit.csv"), StandardCharsets.UTF_8)).contains("its content was measured colder than it may be", cold.toString(), fit.toString());
        try (PaperPages paper = new PaperPages(evidence().get("evidence.pdf"))) {
            assertThat(paper.text().replaceAll("\\s+", " ")).contains("Not fit for use. From 1 Dec 2026 12:00", "The whole of it, drawn", "Inside from -0.5 to 4.0 °C.");
        }
    }

    @Test
    void partPastItsDateIsUnfitUntilTheRegisterHasANewOne() {
        content(List.of(new DatedPart("Pads, adult", LocalDate.of(2026, 12, 1))));
        passes(Duration.ofHours(12).plusMinutes(30));
        assertThat(notFit("OUT_OF_DATE")).containsEntry("from", "2026-12-02T00:00:00Z").containsEntry("because", "Pads, adult, until 2026-12-01").doesNotContainKey("until");

        passes(Duration.ofHours(1));
        Instant replaced = fixture.now();
        content(List.of(new DatedPart("Pads, adult", LocalDate.of(2028, 12, 1))));
        passes(Duration.ofMinutes(5));

        assertThat(notFit("OUT_OF_DATE")).containsEntry("from", "2026-12-02T00:00:00Z").containsEntry("until", replaced.toString());
        assertThat(reader.browser().get("/sites/" + place.siteId() + "/month?month=" + MONTH).then().statusCode(200).extract().asString())
                .contains("a part of its content was past its date (Pads, adult, until 2026-12-01).");
    }

    private void content(List<DatedPart> parts) {
        QuarkusTransaction.requiringNew().run(() -> registration.changeContent(sensor.cabinetId(), register.content(sensor.cabinetId()).orElseThrow().version(),
                new NewContent("defibrillator", true, Optional.of(new Celsius(0)), Optional.empty(), parts), By.nobody(fixture.now())));
    }

    /** By hand, as in the test of the message: the early end is an hour and a minute after it was lost. */
    @Test
    void lossThatLastsLongerThanTheForecastIsUnfitUntilSomebodyHasBeenThere() {
        says(true, 8, -5);
        passes(Duration.ofSeconds(10));
        says(false, 8, -5);
        passes(Duration.ofSeconds(30));
        long alarm = fixture.openAlarms(place).get(0).id();
        desk.take(alarm, place.people().get(0));
        for (int quarter = 0; quarter < 8; quarter++) {
            passes(Duration.ofMinutes(15));
            says(false, 8 - quarter, -5);
        }
        says(true, 1, -5);
        passes(Duration.ofMinutes(30));

        assertThat(notFit("WITHOUT_SUPPLY_TOO_LONG").get("from").toString()).startsWith("2026-12-01T13:01:");
        assertThat(notFit("WITHOUT_SUPPLY_TOO_LONG")).as("the supply is back, and nobody has been there").doesNotContainKey("until");

        Instant seen = fixture.now();
        passes(Duration.ofMinutes(1));
        attendance.save(alarm, 0, record(seen, Fit.YES), place.people().get(0));
        assertThat(notFit("WITHOUT_SUPPLY_TOO_LONG")).containsEntry("until", seen.toString());
    }

    @Test
    void lossThatIsOverBeforeThatIsNot() {
        says(true, 8, -5);
        passes(Duration.ofSeconds(10));
        says(false, 8, -5);
        passes(Duration.ofMinutes(10));
        says(true, 7, -5);
        passes(Duration.ofHours(3));

        assertThat(all().getList("sites.find { it.siteId == " + place.siteId() + " }.notFit")).isEmpty();
        reader.browser().get("/sites/" + place.siteId() + "/month?month=" + MONTH).then().body(containsString("Nothing is on record as not fit for use."));
    }

    @Test
    void cabinetOutOfUseIsNamedThoughItIsOnNoListOfThoseInUse() {
        long other = place.second().cabinetId();
        passes(Duration.ofMinutes(20));
        Instant out = fixture.now();
        registration.takeOutOfUse(other, register.sheet(other).version(), "quay rebuilt", By.person(place.people().get(0), out));
        passes(Duration.ofMinutes(20));

        assertThat(notFit("OUT_OF_USE")).containsEntry("cabinetId", (int) other).containsEntry("from", out.toString()).containsEntry("because", "quay rebuilt").doesNotContainKey("until");
        assertThat(file()).contains("1200," + out + "/.. OUT_OF_USE");
        reader.browser().get("/sites/" + place.siteId() + "/month?month=" + MONTH).then().body(containsString("it was out of use (quay rebuilt)."));
    }

    private JsonPath all() {
        return reader.request().accept("application/json").get("/api/availability?month=" + MONTH).then().statusCode(200).extract().jsonPath();
    }

    private Map<String, Object> notFit(String reason) {
        List<Map<String, Object>> all = all().getList("sites.find { it.siteId == " + place.siteId() + " }.notFit");
        return all.stream().filter(each -> each.get("reason").equals(reason)).findFirst().orElseThrow(() -> new AssertionError(reason + " is not in " + all));
    }

    private String file() {
        return reader.request().accept("text/csv").get("/month/cabinets.csv?month=" + MONTH).then().statusCode(200).extract().asString();
    }

    private Map<String, byte[]> evidence() throws IOException {
        byte[] zip = reader.request().accept("application/zip").redirects().follow(false).contentType("application/x-www-form-urlencoded")
                .formParams(Map.of("from", "2026-12-01T11:00", "until", "2026-12-01T16:00")).post("/cabinets/" + sensor.cabinetId() + "/evidence.zip").then().statusCode(200).extract()
                .asByteArray();
        Map<String, byte[]> files = new java.util.HashMap<>();
        try (ZipInputStream in = new ZipInputStream(new ByteArrayInputStream(zip))) {
            for (ZipEntry entry = in.getNextEntry(); entry != null; entry = in.getNextEntry()) {
                files.put(entry.getName(), in.readAllBytes());
            }
        }
        return files;
    }

    private Attendance record(Instant seen, Fit fit) {
        return new Attendance(Optional.of(seen), causes.find("switched-off"), "inspected", "", false, OptionalInt.empty(), Optional.of(Content.INSPECTED), "", true, Optional.of(fit), "");
    }

    private void passes(Duration time) {
        clock.advance(time);
        fixture.listened();
        fixture.work();
    }

    private void says(boolean supplied, double inside, double outside) {
        passes(Duration.ofSeconds(1));
        String pack = "[{\"bn\":\"" + sensor.baseName() + "\",\"bt\":" + fixture.now().getEpochSecond() + ",\"n\":\"supply\",\"vb\":" + supplied + ",\"ut\":1200}"
                + String.format(Locale.ROOT, ",{\"n\":\"inside\",\"u\":\"Cel\",\"v\":%.4f},{\"n\":\"outside\",\"u\":\"Cel\",\"v\":%.4f}]", inside, outside);
        fixture.take(new Arrival("lampkeeper/v1/" + sensor.deviceId() + "/report", pack.getBytes(StandardCharsets.UTF_8), fixture.now(), false));
    }
}
