package org.lampkeeper.watch;

import java.awt.image.BufferedImage;
import java.nio.charset.StandardCharsets;
import java.time.Duration;
import java.time.Instant;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalInt;
import java.util.function.DoubleUnaryOperator;
import java.util.stream.IntStream;

import jakarta.inject.Inject;
import jakarta.mail.internet.MimeMessage;
import jakarta.persistence.EntityManager;

import io.quarkus.narayana.jta.QuarkusTransaction;
import io.quarkus.test.junit.QuarkusTest;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;

import org.lampkeeper.alarm.Attendance;
import org.lampkeeper.alarm.Attendance.Content;
import org.lampkeeper.alarm.Attendance.Fit;
import org.lampkeeper.message.PersonChannels;
import org.lampkeeper.quantity.Celsius;
import org.lampkeeper.register.By;
import org.lampkeeper.register.NewContent;
import org.lampkeeper.register.NewWarmth;
import org.lampkeeper.register.Register;
import org.lampkeeper.register.Registration;
import org.lampkeeper.register.SensorKey;
import org.lampkeeper.telemetry.Arrival;
import org.lampkeeper.testing.MailParts;
import org.lampkeeper.testing.MailServer;
import org.lampkeeper.testing.MovedClock;
import org.lampkeeper.thermal.Learned;
import org.lampkeeper.watch.CoolingBook.LastLearned;
import org.lampkeeper.watch.WatchFixture.Place;
import org.lampkeeper.watch.WatchFixture.Raised;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.tuple;
import static org.assertj.core.api.Assertions.within;
import static org.awaitility.Awaitility.await;
import static org.lampkeeper.watch.WatchFixture.NOON;

/**
 * What a lost supply means for the content: told in the message, climbed by, raised when it has come, and learnt from. The cabinet is an example of
 * ours, 0.45 × 0.35 × 0.25 m with 7,490 J/K, of which 20 mm of PU lose 0.737 W/K and bare steel 4.205 (U by EN ISO 6946).
 */
@QuarkusTest
class WarmthFlowTest {

    private static final double PU = 0.737;
    private static final double BARE_STEEL = 4.205;
    private static final double JOULE_PER_KELVIN = 7490;
    private static final Duration QUARTER = Duration.ofMinutes(15);

    @Inject
    WatchFixture fixture;

    @Inject
    WarmthWatch watch;

    @Inject
    WarmthBook warmth;

    @Inject
    CoolingBook cooling;

    @Inject
    AlarmDesk alarms;

    @Inject
    AttendanceDesk attendance;

    @Inject
    AttendanceCauses causes;

    @Inject
    Registration registration;

    @Inject
    Register register;

    @Inject
    PersonChannels channels;

    @Inject
    MovedClock clock;

    @Inject
    EntityManager entities;

    private Place place;
    private SensorKey sensor;

    @BeforeEach
    void noon() {
        fixture.atNoonListening();
        place = fixture.place(1);
        sensor = place.first();
        limits(Optional.of(new Celsius(0)));
    }

    /** By hand: τ = 7,490 / 0.737 s = 2.823 h; early 1.4115 h · ln(14.5 / 7), late 5.646 h · ln(11.5 / 3), with leeways of 0.5 and 2 K. */
    @Test
    void messageOfALostSupplySaysWhenTheContentIsTooCold() {
        keepsWarm(PU, false, false);
        lostAt(8, -5);

        assertThat(fixture.told(place)).singleElement().satisfies(told -> {
            assertThat(told.subject()).contains("Below 0 °C 13:00-19:40.");
            assertThat(told.body()).contains("Inside it was 8.0 °C at 12:00.",
                    "Content below 0 °C between 13:00 and 19:40 if nothing changes (rough: no cool-down on record yet).", "Act on the early end.");
        });
    }

    /** 8 W/m²K · 29 mm / 0.25 W/mK: a Biot number of 0.93, at which one temperature does not stand for all of it (Incropera, ch. 5). */
    @Test
    void messageSaysWhereOneTemperatureDoesNotStandForAllOfTheContent() {
        keepsWarm(PU, false, false);
        QuarkusTransaction.requiringNew().run(() -> {
            NewWarmth said = register.warmth(sensor.cabinetId()).said();
            registration.changeWarmth(sensor.cabinetId(), register.warmth(sensor.cabinetId()).version(), new NewWarmth(said.setPoint(), said.heaterWatt(),
                    said.wattPerKelvin(), said.joulePerKelvin(), said.coldest(), false, false,
                    new NewWarmth.Body(Optional.of(8.0), Optional.of(29.0), Optional.of(0.25))), By.nobody(NOON));
        });
        lostAt(8, -5);

        assertThat(fixture.told(place)).singleElement().satisfies(told -> assertThat(told.body()).contains("Content below 0 °C between 13:00 and 19:40 if nothing"
                + " changes (rough: no cool-down on record yet, and the outside of so thick a content gets there sooner)."));
    }

    @Test
    void whatWasForecastIsOnRecordAndProgramsOutsideHearIt() {
        keepsWarm(PU, false, false);
        lostAt(8, -5);

        assertThat(raisedEntry()).contains("\"forecast\":\"Content below 0 °C between 13:00 and 19:40", "\"past-limit-early\":\"2026-12-01T13:01:");
    }

    /** 8 °C inside, limit 0 and -5 °C outside: whatever the scale, the lines lie 8 to 5 apart. By SMTP to a real server. */
    @Test
    void mailOfALostSupplyShowsHowItWasAndWhatIsToBeExpected() throws Exception {
        keepsWarm(PU, false, false);
        quarters(24, hours -> 8, -5, Optional.empty());
        lostAt(8, -5);
        String address = channels.of(place.people().get(0)).get(0).address();
        await().atMost(Duration.ofSeconds(20)).until(() -> !MailServer.shared().receivedBy(address).isEmpty());

        MimeMessage mail = MailServer.shared().receivedBy(address).get(0);
        assertThat(MailParts.types(mail)).containsExactly("text/plain", "text/html", "image/png");
        assertThat(MailParts.text(mail)).startsWith(fixture.told(place).get(0).body().split("\n-- \n")[0])
                .contains("IN THE PICTURE", "the last day and what is to be expected, as known at 18:00", "Inside from 8.0 °C to 8.0 °C.", "A forecast follows.");
        assertThat(mail.getSize()).isLessThan(60_000);
        BufferedImage image = MailParts.image(mail).orElseThrow();
        assertThat(image.getWidth()).isEqualTo(720);
        assertThat(image.getHeight()).isEqualTo(584);
        // Of the day and a half between 34 and 346 of 360, three hours ago.
        int column = (int) Math.round((34 + 312 * 21 / 36.0) * 2);
        double inside = rowOf(image, column, 0x1c2126);
        double limit = rowOf(image, column, 0xb3201b);
        double outside = rowOf(image, column, 0x57606a);
        assertThat((outside - limit) / (limit - inside)).isCloseTo(5 / 8.0, within(0.03));
    }

    /** The middle of what has this colour in the plot, in a few columns: a dashed line has gaps. */
    private static double rowOf(BufferedImage image, int column, int colour) {
        return IntStream.range(column - 16, column + 16).boxed().flatMap(x -> IntStream.range(60, 440).filter(y -> isLike(image.getRGB(x, y), colour)).boxed())
                .mapToInt(Integer::intValue).average().orElseThrow(() -> new AssertionError("nothing is drawn in " + Integer.toHexString(colour)));
    }

    private static boolean isLike(int one, int other) {
        return IntStream.of(0, 8, 16).allMatch(shift -> Math.abs((one >> shift & 0xff) - (other >> shift & 0xff)) < 12);
    }

    /** Two sites with a day of weather each on record, one of them colder. */
    @Test
    void manyAreForecastAtOnceAsEachIsAlone() {
        Place other = fixture.place(1);
        keepsWarm(PU, false, false);
        register(other.first(), BARE_STEEL, false, false);
        for (int hour = 0; hour < 3; hour++) {
            says(true, 8, -5);
            saysOf(other.first(), true, Optional.of(7.0), -9 + hour);
            passes(QUARTER);
        }
        says(true, 8, -5);
        saysOf(other.first(), true, Optional.of(7.0), -9);
        long nobody = other.first().cabinetId() + 1_000_000;

        Map<Long, List<String>> together = warmth.sentences(List.of(sensor.cabinetId(), other.first().cabinetId(), nobody), fixture.now());

        assertThat(together).containsOnlyKeys(sensor.cabinetId(), other.first().cabinetId());
        assertThat(together.get(sensor.cabinetId())).isEqualTo(outlook().sentences(fixture.now())).singleElement().asString().contains("below 0 °C between");
        assertThat(together.get(other.first().cabinetId())).isEqualTo(warmth.outlook(other.first().cabinetId(), fixture.now()).orElseThrow().sentences(fixture.now()))
                .isNotEqualTo(together.get(sensor.cabinetId()));
        assertThat(warmth.sentences(List.of(), fixture.now())).isEmpty();
    }

    /** What no form takes, as an old row or a hand in the database may have it: two years to cool. */
    @Test
    void lossIsToldWhateverIsStoredOfItsCabinet() {
        keepsWarm(PU, false, false);
        QuarkusTransaction.requiringNew().run(() -> entities.createNativeQuery("UPDATE warmth SET watt_per_kelvin = 0.01, joule_per_kelvin = 1000000 WHERE cabinet_id = :id")
                .setParameter("id", sensor.cabinetId()).executeUpdate());

        lostAt(8, -5);

        assertThat(fixture.openAlarms(place)).singleElement().satisfies(raised -> assertThat(raised.kind()).isEqualTo("SUPPLY_LOST"));
        assertThat(fixture.told(place)).singleElement().satisfies(told -> assertThat(told.body()).contains("Board").doesNotContain("°C between"));
    }

    @Test
    void messageSaysWhyThereIsNoForecast() {
        keepsWarm(PU, false, false);
        limits(Optional.empty());
        lostAt(8, -5);

        assertThat(fixture.told(place)).singleElement().satisfies(told -> {
            assertThat(told.subject()).doesNotContain("°C");
            assertThat(told.body()).contains("No forecast: no limit.");
        });
    }

    @Test
    void failedThermometerIsNoTemperatureHoweverOftenTheSensorReports() {
        keepsWarm(PU, false, false);
        says(true, 8, -5);
        for (int quarter = 0; quarter < 5; quarter++) {
            passes(QUARTER);
            fixture.take(new Arrival("lampkeeper/v1/" + sensor.deviceId() + "/report", ("[{\"bn\":\"" + sensor.baseName() + "\",\"bt\":"
                    + fixture.now().getEpochSecond() + ",\"n\":\"supply\",\"vb\":true,\"ut\":900}]").getBytes(StandardCharsets.UTF_8), fixture.now(), false));
        }

        assertThat(outlook().sentences(fixture.now())).containsExactly("No forecast: the last temperature is too old.");
    }

    /** Early end after 0.2474 h · ln(14.5 / 7) = 10.8 min; half of that for a list that takes 20 minutes. */
    @Test
    void listIsClimbedFasterWhereThereIsLittleTime() {
        keepsWarm(BARE_STEEL, false, false);
        lostAt(8, -5);
        waits(Duration.ofMinutes(4));

        assertThat(fixture.called(place)).containsExactly(place.people().get(0), place.people().get(1));
    }

    @Test
    void listIsClimbedAsItSaysWhereThereIsTime() {
        keepsWarm(PU, false, false);
        lostAt(8, 12);
        waits(Duration.ofMinutes(9));
        assertThat(fixture.called(place)).containsExactly(place.people().get(0));

        waits(Duration.ofMinutes(2));
        assertThat(fixture.called(place)).containsExactly(place.people().get(0), place.people().get(1));
    }

    @Test
    void ownersChoiceTellsTheNextLaterOnAWarmNightAndOnlyWithAForecast() {
        keepsWarm(PU, false, true);
        lostAt(8, 12);
        waits(Duration.ofMinutes(11));
        assertThat(fixture.called(place)).as("chosen, and not expected to be too cold").containsExactly(place.people().get(0));

        Place other = fixture.place(1);
        register(other.first(), PU, false, true);
        saysOf(other.first(), true, Optional.empty(), 12);
        fixture.passes(Duration.ofSeconds(10));
        saysOf(other.first(), false, Optional.empty(), 12);
        waits(Duration.ofMinutes(11));
        assertThat(fixture.called(other)).as("chosen, and no temperature").hasSize(2);
    }

    @Test
    void whoeverHasItIsCalledAgainBeforeTheEarlyEnd() {
        keepsWarm(PU, false, false);
        lostAt(8, -5);
        alarms.take(fixture.openAlarms(place).get(0).id(), place.people().get(0));
        waits(Duration.ofMinutes(28));
        assertThat(fixture.journalKinds(place)).doesNotContain("alarm-called-again");

        waits(Duration.ofMinutes(4));
        assertThat(fixture.journalKinds(place)).contains("alarm-called-again");
    }

    @Test
    void forecastThatGotWorseCallsEarlierThanWhenItWasTaken() {
        keepsWarm(PU, false, false);
        lostAt(8, 12);
        alarms.take(fixture.openAlarms(place).get(0).id(), place.people().get(0));
        waits(Duration.ofMinutes(5));
        says(false, 5, -15);
        watch.look(fixture.now());
        waits(Duration.ofMinutes(20));

        assertThat(fixture.journalKinds(place)).contains("alarm-called-again");
    }

    @Test
    void contentThatWasTooColdStaysAnAlarmUntilSomebodySaysThatItIsFitForUse() {
        says(true, 3, -5);
        says(true, -0.5, -5);
        watch.look(fixture.now());
        watch.look(fixture.now());

        assertThat(fixture.openAlarms(place)).extracting(Raised::kind, Raised::live).containsExactly(tuple("CONTENT_TOO_COLD", true));
        assertThat(fixture.told(place)).singleElement().satisfies(told -> assertThat(told.subject()).contains("is too cold since"));

        waits(Duration.ofMinutes(10));
        says(true, 4, -5);
        watch.look(fixture.now());
        long alarm = fixture.openAlarms(place).get(0).id();
        alarms.take(alarm, place.people().get(0));

        assertThat(fixture.openAlarms(place)).extracting(Raised::live).containsExactly(true);
        assertThat(fixture.journalKinds(place)).contains("content-eased").doesNotContain("alarm-returned");

        Instant seen = fixture.now();
        waits(Duration.ofMinutes(1));
        attendance.save(alarm, 0, record(seen, Fit.NO), place.people().get(0));
        assertThat(fixture.openAlarms(place)).hasSize(1);

        attendance.save(alarm, 1, record(seen, Fit.YES), place.people().get(0));
        assertThat(fixture.openAlarms(place)).isEmpty();
    }

    /** By hand: early 1.4115 h · ln(16.5 / 7), late 5.646 h · ln(13.5 / 3), with leeways of 0.5 and 2 K; and above its limit it is an alarm of its own. */
    @Test
    void contentInTheSunIsForecastAndIsAnAlarmWhenItIsTooHot() {
        keepsWarm(PU, false, false);
        QuarkusTransaction.requiringNew().run(() -> registration.changeContent(sensor.cabinetId(), register.content(sensor.cabinetId()).orElseThrow().version(),
                new NewContent("defibrillator", true, Optional.empty(), Optional.of(new Celsius(40)), List.of()), By.nobody(NOON)));
        lostAt(30, 45);

        assertThat(fixture.told(place)).singleElement()
                .satisfies(told -> assertThat(told.body()).contains("Content above 40 °C between 13:10 and 20:30 if nothing changes (rough"));

        says(false, 40.5, 45);
        watch.look(fixture.now());
        assertThat(fixture.openAlarms(place)).extracting(Raised::kind).contains("CONTENT_TOO_HOT");
    }

    @Test
    void whoeverSaysFitForUseBeforeItIsWarmAgainEndsNothing() {
        says(true, -0.5, -5);
        watch.look(fixture.now());
        long alarm = fixture.openAlarms(place).get(0).id();
        alarms.take(alarm, place.people().get(0));
        Instant seen = fixture.now();
        waits(Duration.ofMinutes(1));

        attendance.save(alarm, 0, record(seen, Fit.YES), place.people().get(0));

        assertThat(fixture.openAlarms(place)).hasSize(1);
    }

    @Test
    void howFastItCoolsIsLearntFromTheTimesWithoutSupplyAndReplacesTheDrawings() {
        keepsWarm(BARE_STEEL, false, false);
        double tau = 2.5;
        coolDown(tau, 9, -3);
        assertThat(cooling.ofCabinet(sensor.cabinetId())).hasValueSatisfying(learned -> assertThat(learned.doubt()).hasValue(Learned.Doubt.TOO_FEW_COOL_DOWNS));

        coolDown(tau, 8, -6);

        LastLearned learned = cooling.ofCabinet(sensor.cabinetId()).orElseThrow();
        assertThat(learned.used()).isEqualTo(2);
        assertThat(learned.range()).hasValueSatisfying(range -> {
            assertThat(range.likely().toSeconds()).isBetween((long) (tau * 3600 * 0.98), (long) (tau * 3600 * 1.02));
            assertThat(range.early()).isLessThanOrEqualTo(range.likely());
        });
        assertThat(fixture.journalKinds(place)).contains("cooling-learned");
        says(true, 8, -5);
        assertThat(outlook().sentences(fixture.now())).singleElement().satisfies(words -> assertThat(words).doesNotContain("rough"));
    }

    /** At 2 °C outside a heater of 8 °C must heat, and the inside makes for the outside all the same. */
    @Test
    void heaterThatDoesNotHeatThoughTheSupplyIsThereIsAnAlarm() {
        keepsWarm(PU, false, false);
        says(true, 5, 2);
        quarters(16, hours -> 2 + 3 * Math.exp(-hours / 2.823), 2, Optional.empty());
        watch.lookAtHeaters(fixture.now());

        assertThat(fixture.openAlarms(place)).extracting(Raised::kind).containsExactly("HEATER_NOT_HEATING");
        assertThat(fixture.told(place).get(0).body()).contains("The supply is there, and the inside follows the outside all the same.", "Electrician only:");
    }

    @Test
    void openDoorIsNoticedAndIsNoFaultOfTheHeater() {
        keepsWarm(PU, false, false);
        says(true, 5, 2);
        quarters(16, hours -> 2 + 3 * Math.exp(-hours / 0.3), 2, Optional.of(true));
        watch.lookAtHeaters(fixture.now());

        assertThat(fixture.openAlarms(place)).extracting(Raised::kind).containsExactly("DOOR_OPEN");

        passes(QUARTER);
        report(sensor, true, Optional.of(5.0), 2, Optional.of(false), Optional.empty());
        watch.lookAtHeaters(fixture.now());
        assertThat(fixture.openAlarms(place)).extracting(Raised::live).containsExactly(false);
    }

    /** Since the door was closed the inside goes with half an hour in place of nearly three: air and walls are all there is to warm. */
    @Test
    void emptiedCabinetIsNoticedAndIsNoFaultOfTheHeater() {
        keepsWarm(PU, false, false);
        says(true, 5, -6);
        quarters(2, hours -> -4, -6, Optional.of(true));
        quarters(12, hours -> 2 - 6 * Math.exp(-hours / 0.5), -6, Optional.of(false));
        watch.lookAtHeaters(fixture.now());

        assertThat(fixture.openAlarms(place)).extracting(Raised::kind).containsExactly("LOOKS_EMPTIED");
    }

    @Test
    void heaterThatNeverStopsIsAnAlarmAndOneThatHoldsIsNone() {
        keepsWarm(PU, false, false);
        says(true, 8, -2);
        for (int quarter = 0; quarter < 12; quarter++) {
            passes(QUARTER);
            report(sensor, true, Optional.of(8.2), -2, Optional.of(false), Optional.of(true));
        }
        watch.lookAtHeaters(fixture.now());
        assertThat(fixture.openAlarms(place)).isEmpty();

        for (int quarter = 0; quarter < 12; quarter++) {
            passes(QUARTER);
            report(sensor, true, Optional.of(18.0), -2, Optional.of(false), Optional.of(true));
        }
        watch.lookAtHeaters(fixture.now());
        assertThat(fixture.openAlarms(place)).extracting(Raised::kind).containsExactly("HEATER_NEVER_STOPS");
    }

    /** A lift of 9 K holds 8 °C down to -1 °C, and the place reckons with -12. */
    @Test
    void heaterThatIsTooSmallForTheWinterIsNoticedAndCallsNobodyOut() {
        keepsWarm(PU, false, false);
        says(true, 5, -6);
        quarters(24, hours -> 3 + 2 * Math.exp(-hours / 2.823), -6, Optional.of(false));
        watch.lookAtHeaters(fixture.now());

        assertThat(fixture.openAlarms(place)).extracting(Raised::kind).containsExactly("HEATER_TOO_SMALL");
        assertThat(fixture.told(place)).isEmpty();
    }

    private Attendance record(Instant seen, Fit fit) {
        return new Attendance(Optional.of(seen), causes.find("switched-off"), "inspected",
               "", false, OptionalInt.empty(), Optional.of(Content.INSPECTED), "", true, Optional.of(fit), "");
    }

    private String raisedEntry() {
        return QuarkusTransaction.requiringNew().call(() -> (String) entities.createNativeQuery(
                "SELECT body FROM journal_entry WHERE site_id = :site AND kind = 'alarm-raised'").setParameter("site", place.siteId()).getSingleResult());
    }

    private ContentOutlook outlook() {
        return warmth.outlook(sensor.cabinetId(), fixture.now()).orElseThrow();
    }

    private void limits(Optional<Celsius> lowest) {
        QuarkusTransaction.requiringNew().run(() -> registration.changeContent(sensor.cabinetId(), register.content(sensor.cabinetId()).orElseThrow().version(),
                new NewContent("defibrillator", true, lowest, Optional.empty(), List.of()), By.nobody(NOON)));
    }

    private void keepsWarm(double wattPerKelvin, boolean needsSupply, boolean slower) {
        register(sensor, wattPerKelvin, needsSupply, slower);
    }

    private void register(SensorKey of, double wattPerKelvin, boolean needsSupply, boolean slower) {
        QuarkusTransaction.requiringNew().run(() -> {
            registration.changeWarmth(of.cabinetId(), register.warmth(of.cabinetId()).version(), new NewWarmth(Optional.of(new Celsius(8)), Optional.of(30.0),
                    Optional.of(wattPerKelvin), Optional.of(JOULE_PER_KELVIN), Optional.of(new Celsius(-12)), needsSupply, slower), By.nobody(NOON));
            registration.changeContent(of.cabinetId(), register.content(of.cabinetId()).orElseThrow().version(),
                    new NewContent("defibrillator", true, Optional.of(new Celsius(0)), Optional.empty(), List.of()), By.nobody(NOON));
        });
    }

    private void lostAt(double inside, double outside) {
        says(true, inside, outside);
        fixture.passes(Duration.ofSeconds(10));
        says(false, inside, outside);
        fixture.passes(Duration.ofSeconds(30));
    }

    /** A night without supply, four hours long, after which the deadline to learn from it comes. */
    private void coolDown(double tauHours, double from, double outside) {
        passes(QUARTER);
        report(sensor, true, Optional.of(from), outside, Optional.empty(), Optional.empty());
        passes(QUARTER);
        for (int quarter = 0; quarter <= 16; quarter++) {
            report(sensor, false, Optional.of(outside + (from - outside) * Math.exp(-quarter / 4.0 / tauHours)), outside, Optional.empty(), Optional.empty());
            passes(QUARTER);
        }
        report(sensor, true, Optional.of(from), outside, Optional.empty(), Optional.empty());
        passes(QUARTER);
        report(sensor, true, Optional.of(from), outside, Optional.empty(), Optional.empty());
        passes(QUARTER);
    }

    private void quarters(int many, DoubleUnaryOperator insideAfterHours, double outside, Optional<Boolean> door) {
        for (int quarter = 1; quarter <= many; quarter++) {
            passes(QUARTER);
            report(sensor, true, Optional.of(insideAfterHours.applyAsDouble(quarter / 4.0)), outside, door, Optional.empty());
        }
    }

    /** In steps of half a minute: people are told by the minute here. */
    private void waits(Duration time) {
        for (Instant end = fixture.now().plus(time); fixture.now().isBefore(end);) {
            passes(Duration.ofSeconds(30));
        }
    }

    /** In one step, listened to. */
    private void passes(Duration time) {
        clock.advance(time);
        fixture.listened();
        fixture.work();
    }

    private void says(boolean supplied, double inside, double outside) {
        passes(Duration.ofSeconds(1));
        saysOf(sensor, supplied, Optional.of(inside), outside);
    }

    private void saysOf(SensorKey of, boolean supplied, Optional<Double> inside, double outside) {
        report(of, supplied, inside, outside, Optional.empty(), Optional.empty());
    }

    private void report(SensorKey of, boolean supplied, Optional<Double> inside, double outside, Optional<Boolean> door, Optional<Boolean> heater) {
        StringBuilder pack = new StringBuilder("[{\"bn\":\"" + of.baseName() + "\",\"bt\":" + fixture.now().getEpochSecond()
                + ",\"n\":\"supply\",\"vb\":" + supplied + ",\"ut\":1200}");
        inside.ifPresent(it -> pack.append(String.format(Locale.ROOT, ",{\"n\":\"inside\",\"u\":\"Cel\",\"v\":%.4f}", it)));
        pack.append(String.format(Locale.ROOT, ",{\"n\":\"outside\",\"u\":\"Cel\",\"v\":%.4f}", outside));
        door.ifPresent(it -> pack.append(",{\"n\":\"door\",\"vb\":").append(it).append('}'));
        heater.ifPresent(it -> pack.append(",{\"n\":\"heater\",\"vb\":").append(it).append('}'));
        fixture.take(new Arrival("lampkeeper/v1/" + of.deviceId() + "/report", pack.append(']').toString().getBytes(StandardCharsets.UTF_8), fixture.now(), false));
    }
}
