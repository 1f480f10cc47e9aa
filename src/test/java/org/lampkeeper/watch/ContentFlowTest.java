package org.lampkeeper.watch;

import java.nio.charset.StandardCharsets;
import java.time.Duration;
import java.time.Instant;
import java.time.ZoneId;
import java.util.List;
import java.util.Locale;
import java.util.Optional;

import jakarta.inject.Inject;
import jakarta.persistence.EntityManager;

import io.quarkus.narayana.jta.QuarkusTransaction;
import io.quarkus.test.junit.QuarkusTest;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;

import org.lampkeeper.quantity.Celsius;
import org.lampkeeper.register.By;
import org.lampkeeper.register.NewContent;
import org.lampkeeper.register.NewWarmth;
import org.lampkeeper.register.Register;
import org.lampkeeper.register.Registration;
import org.lampkeeper.register.SensorKey;
import org.lampkeeper.simulator.HeatedCabinet;
import org.lampkeeper.telemetry.Arrival;
import org.lampkeeper.testing.MovedClock;
import org.lampkeeper.thermal.Learned;
import org.lampkeeper.thermal.Nodes;
import org.lampkeeper.thermal.Outcome;
import org.lampkeeper.watch.CoolingBook.LastPair;
import org.lampkeeper.watch.WatchFixture.Place;
import org.lampkeeper.watch.WatchFixture.Raised;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.within;
import static org.lampkeeper.watch.WatchFixture.NOON;

/**
 * A cabinet whose content is measured beside its air: stored, learnt from and forecast as two bodies, and judged by the content. What it does comes from
 * the simulator's cabinet, which shares no code with what is tested. The cabinet is ours: 2.5 h as a whole, half of it content, 40 minutes behind its air.
 */
@QuarkusTest
class ContentFlowTest {

    private static final Duration QUARTER = Duration.ofMinutes(15);
    private static final Duration TAU = Duration.ofMinutes(150);
    private static final HeatedCabinet.Content HALF = new HeatedCabinet.Content(Duration.ofMinutes(40), 0.5);

    @Inject
    WatchFixture fixture;

    @Inject
    WarmthWatch watch;

    @Inject
    WarmthBook warmth;

    @Inject
    CoolingBook cooling;

    @Inject
    DayRollUp days;

    @Inject
    Registration registration;

    @Inject
    Register register;

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
        QuarkusTransaction.requiringNew().run(() -> registration.changeContent(sensor.cabinetId(), register.content(sensor.cabinetId()).orElseThrow().version(),
                new NewContent("defibrillator", true, Optional.of(new Celsius(0)), Optional.empty(), List.of()), By.nobody(NOON)));
    }

    @Test
    void contentIsStoredWithTheOthersAndSoAreItsLeastAndMostAndItsDay() {
        report(true, 8, 7, 2);
        passes(Duration.ofMinutes(5));
        report(true, 8, 5.5, 2);
        passes(Duration.ofMinutes(5));
        report(true, 8, 6, 2);
        assertThat(row("SELECT content_c, content_least_c, content_most_c FROM sensor_status WHERE sensor_id = :id")).containsExactly(6.0, 5.5, 7.0);

        passes(QUARTER);
        report(true, 8, 6.5, 2);
        assertThat(row("SELECT content_c, content_least_c, content_most_c FROM sensor_quarter WHERE sensor_id = :id")).containsExactly(6.0, 5.5, 7.0);
        assertThat(row("SELECT content_c, content_least_c, content_most_c FROM sensor_status WHERE sensor_id = :id")).containsExactly(6.5, 6.5, 6.5);

        passes(QUARTER);
        report(true, 8, 6.5, 2);
        days.roll(fixture.now().plus(Duration.ofDays(1)));
        assertThat(row("SELECT content_min_c, content_mean_c, content_max_c FROM sensor_day WHERE sensor_id = :id")).containsExactly(5.5, 6.25, 7.0);
    }

    /** What a sensor kept back comes late, and widens the quarter that it belongs to. */
    @Test
    void lateContentWidensItsQuarter() {
        Instant first = fixture.now();
        report(true, 8, 6, 2);
        passes(QUARTER);
        report(true, 8, 6, 2);
        take(true, Optional.of(8.0), Optional.of(3.5), 2, first.plusSeconds(1));

        assertThat(row("SELECT content_least_c FROM sensor_quarter WHERE sensor_id = :id")).containsExactly(3.5);
    }

    @Test
    void airAndContentAreLearntApartFromTheNightsAndForecastAsTwoBodies() {
        coolDown(-4);
        assertThat(cooling.pairOfCabinet(sensor.cabinetId())).hasValueSatisfying(pair -> assertThat(pair.doubt()).hasValue(Learned.Doubt.TOO_FEW_COOL_DOWNS));
        assertThat(outlook().situation().nodes()).as("until then as one body, which nothing is known of").isEmpty();

        coolDown(-7);

        LastPair pair = cooling.pairOfCabinet(sensor.cabinetId()).orElseThrow();
        assertThat(pair.used()).isEqualTo(2);
        // By hand: t1 = 2.5 h / 2, t2 = t3 = 40 min; 1/τ is the smaller root of x² − (1/t1 + 2/t3)·x + 1/(t1·t3).
        assertThat(pair.range().orElseThrow().likely().toMillis() / 3_600_000.0).isCloseTo(slowest(1.25, 2 / 3.0, 2 / 3.0), within(0.05));
        assertThat(pair.behind().orElseThrow().toMinutes()).isBetween(37L, 43L);
        assertThat(pair.words(ZoneId.of("UTC"), fixture.now())).contains("behind the air, from 2 of 2 times without supply");

        HeatedCabinet cabinet = cabinet(-6);
        cabinet.pass(Duration.ofMinutes(3));
        report(true, cabinet);
        passes(Duration.ofSeconds(10));
        cabinet.supply(false);
        report(false, cabinet);
        fixture.passes(Duration.ofSeconds(30));
        Instant lost = fixture.now();

        assertThat(outlook().situation().nodes()).hasValueSatisfying(nodes -> assertThat(nodes).isInstanceOf(Nodes.TwoNodes.class));
        assertThat(fixture.told(place)).anySatisfy(told -> assertThat(told.body()).contains("The content was at 8.0 °C at ", ", the air around it at 7.",
                "Content below 0 °C between ").doesNotContain("rough"));
        Outcome.Expected expected = (Outcome.Expected) outlook().forecast().tooCold();
        int minutes = 0;
        for (; cabinet.content() >= 0; minutes++) {
            cabinet.pass(Duration.ofMinutes(1));
        }
        assertThat(lost.plus(Duration.ofMinutes(minutes))).isBetween(expected.early(), expected.late().orElseThrow());
        assertThat(Duration.between(expected.likely().orElseThrow(), lost.plus(Duration.ofMinutes(minutes))).abs()).isLessThan(Duration.ofMinutes(5));
    }

    /** Half a kelvin below 0 °C in the air, and the content is still at 3 °C: what would be an alarm without the second thermometer is none. */
    @Test
    void contentDecidesWhetherItIsTooColdAndNotTheAir() {
        report(true, -0.5, 3, -5);
        watch.look(fixture.now());
        assertThat(fixture.openAlarms(place)).isEmpty();

        passes(Duration.ofMinutes(5));
        report(true, 6, -0.5, -5);
        watch.look(fixture.now());

        assertThat(fixture.openAlarms(place)).extracting(Raised::kind).containsExactly("CONTENT_TOO_COLD");
        assertThat(outlook().sentences(fixture.now())).singleElement().asString().startsWith("Content below 0 °C already: -0.5 °C at ");
    }

    @Test
    void airDecidesWhereTheProbeOfTheContentHasFailed() {
        report(true, 5, 3, -5);
        for (int quarter = 0; quarter < 5; quarter++) {
            passes(QUARTER);
            take(true, Optional.of(-0.5), Optional.empty(), -5, fixture.now());
        }
        watch.look(fixture.now());

        assertThat(fixture.openAlarms(place)).extracting(Raised::kind).containsExactly("CONTENT_TOO_COLD");
        assertThat(outlook().situation().inside().orElseThrow().device()).isEmpty();
    }

    @Test
    void contentAloneIsEnoughForAForecast() {
        drawings();
        take(true, Optional.empty(), Optional.of(8.0), -5, fixture.now());

        assertThat(outlook().situation().inside().orElseThrow().device()).hasValue(new Celsius(8));
        assertThat(outlook().sentences(fixture.now())).singleElement().asString().contains("below 0 °C between", "(rough: no cool-down on record yet)");
    }

    /**
     * By hand: τ = 7,490 / 0.737 s = 2.823 h as one body, from 5 °C between the content at 8 and its air at 2; early 1.4115 h · ln(11.5 / 7), late
     * 5.646 h · ln(8.5 / 3), with leeways of 0.5 and 2 K.
     */
    @Test
    void untilBothAreLearntItIsReckonedAsOneBodyBetweenThemAndSaysThatItIsRough() {
        drawings();
        report(true, 2, 8, -5);
        Outcome.Expected expected = (Outcome.Expected) outlook().forecast().tooCold();

        assertThat(Duration.between(fixture.now(), expected.early()).toMinutes()).isEqualTo((long) (1.4115 * Math.log(11.5 / 7) * 60));
        assertThat(Duration.between(fixture.now(), expected.late().orElseThrow()).toMinutes()).isEqualTo((long) (5.6459 * Math.log(8.5 / 3) * 60));
        assertThat(outlook().sentences(fixture.now())).singleElement().asString().contains("(rough: no cool-down on record yet)");
    }

    private static double slowest(double t1, double t2, double t3) {
        double sum = 1 / t1 + 1 / t2 + 1 / t3;
        return 2 / (sum - Math.sqrt(sum * sum - 4 / (t1 * t3)));
    }

    private ContentOutlook outlook() {
        return warmth.outlook(sensor.cabinetId(), fixture.now()).orElseThrow();
    }

    private void drawings() {
        QuarkusTransaction.requiringNew().run(() -> registration.changeWarmth(sensor.cabinetId(), register.warmth(sensor.cabinetId()).version(),
                new NewWarmth(Optional.of(new Celsius(8)), Optional.of(30.0), Optional.of(0.737), Optional.of(7490.0), Optional.of(new Celsius(-12)), false, false),
                By.nobody(NOON)));
    }

    private static HeatedCabinet cabinet(double outside) {
        return new HeatedCabinet(8, outside, TAU, Optional.of(HALF));
    }

    /** A night without supply, four hours long, after which the deadline to learn from it comes. */
    private void coolDown(double outside) {
        HeatedCabinet cabinet = cabinet(outside);
        passes(QUARTER);
        report(true, cabinet);
        passes(QUARTER);
        cabinet.supply(false);
        for (int quarter = 0; quarter <= 16; quarter++) {
            report(false, cabinet);
            passes(QUARTER);
            cabinet.pass(QUARTER);
        }
        for (int quarter = 0; quarter < 2; quarter++) {
            report(true, 8, 8, outside);
            passes(QUARTER);
        }
    }

    private void report(boolean supplied, HeatedCabinet cabinet) {
        report(supplied, cabinet.inside(), cabinet.content(), cabinet.outside());
    }

    private void report(boolean supplied, double inside, double content, double outside) {
        take(supplied, Optional.of(inside), Optional.of(content), outside, fixture.now());
    }

    private void take(boolean supplied, Optional<Double> inside, Optional<Double> content, double outside, Instant at) {
        StringBuilder pack = new StringBuilder(String.format(Locale.ROOT, "[{\"bn\":\"%s\",\"bt\":%d,\"n\":\"supply\",\"vb\":%b,\"ut\":1200},"
                + "{\"n\":\"outside\",\"u\":\"Cel\",\"v\":%.4f}", sensor.baseName(), at.getEpochSecond(), supplied, outside));
        inside.ifPresent(it -> pack.append(String.format(Locale.ROOT, ",{\"n\":\"inside\",\"u\":\"Cel\",\"v\":%.4f}", it)));
        content.ifPresent(it -> pack.append(String.format(Locale.ROOT, ",{\"n\":\"content\",\"u\":\"Cel\",\"v\":%.4f}", it)));
        fixture.take(new Arrival("lampkeeper/v1/" + sensor.deviceId() + "/report", pack.append(']').toString().getBytes(StandardCharsets.UTF_8), fixture.now(), false));
    }

    /** In one step, listened to. */
    private void passes(Duration time) {
        clock.advance(time);
        fixture.listened();
        fixture.work();
    }

    /** One row of doubles, or one of them. Least and most of a quarter are empty where the newest is it, so the newest has to be another here. */
    private List<Double> row(String sql) {
        return QuarkusTransaction.requiringNew().call(() -> {
            Object row = entities.createNativeQuery(sql).setParameter("id", sensor.sensorId()).getSingleResult();
            return (row instanceof Object[] many ? List.of(many) : List.of(row)).stream().map(each -> ((Number) each).doubleValue()).toList();
        });
    }
}
