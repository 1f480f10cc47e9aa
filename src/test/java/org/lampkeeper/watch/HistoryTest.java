package org.lampkeeper.watch;

import java.nio.charset.StandardCharsets;
import java.time.Duration;
import java.time.Instant;
import java.util.Arrays;
import java.util.List;
import java.util.Locale;
import java.util.stream.Collectors;

import jakarta.inject.Inject;
import jakarta.persistence.EntityManager;

import io.quarkus.narayana.jta.QuarkusTransaction;
import io.quarkus.test.junit.QuarkusTest;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;

import org.lampkeeper.register.Rows;
import org.lampkeeper.register.SensorKey;
import org.lampkeeper.telemetry.Arrival;
import org.lampkeeper.telemetry.Quarters;

import static org.assertj.core.api.Assertions.assertThat;
import static org.lampkeeper.watch.WatchFixture.NOON;

/** What stays of the temperatures: the newest of each quarter of an hour that is over, whatever came in which order and how often. */
@QuarkusTest
class HistoryTest {

    private static final Instant QUARTER_PAST = NOON.plusSeconds(900);

    @Inject
    WatchFixture fixture;

    @Inject
    EntityManager entities;

    @Inject
    DayRollUp roll;

    @Inject
    OldDays old;

    private SensorKey sensor;

    @BeforeEach
    void noon() {
        fixture.atNoonListening();
        sensor = fixture.place(1).first();
    }

    @Test
    void newestOfAQuarterIsKeptOnceAReportOpensTheNext() {
        says(NOON, 9.0);
        says(NOON.plusSeconds(300), 8.5);
        says(NOON.plusSeconds(800), 8.0);

        assertThat(history()).isEmpty();

        says(QUARTER_PAST, 7.0);

        assertThat(history()).containsExactly("12:00 8.0");
    }

    @Test
    void packThatIsDeliveredTwiceChangesNothing() {
        says(NOON, 9.0);
        says(QUARTER_PAST.plusSeconds(10), 7.0);
        says(QUARTER_PAST.plusSeconds(10), 7.0);
        says(NOON, 9.0);

        assertThat(history()).containsExactly("12:00 9.0");
    }

    @Test
    void manyQuartersOfOneBatchAreAllKept() {
        says(NOON, 9.0);
        fixture.passes(Duration.ofHours(1));

        fixture.take(arrival(NOON.plusSeconds(600), 8.8), arrival(QUARTER_PAST, 8.0), arrival(QUARTER_PAST.plusSeconds(60), 7.9),
                arrival(NOON.plusSeconds(1800), 7.0), arrival(fixture.now(), 6.0));

        assertThat(history()).containsExactly("12:00 8.8", "12:15 7.9", "12:30 7.0");
    }

    @Test
    void lateReportFillsTheQuarterThatIsMissingAndOnlyThat() {
        says(NOON, 9.0);
        fixture.passes(Duration.ofMinutes(45).plusSeconds(30));
        says(fixture.now(), 6.0);

        fixture.take(arrival(NOON.minusSeconds(60), 9.5), arrival(QUARTER_PAST.plusSeconds(30), 8.0), arrival(fixture.now().minusSeconds(20), 5.0));

        assertThat(history()).containsExactly("11:45 9.5", "12:00 9.0", "12:15 8.0");
    }

    @Test
    void changeOfSupplyClosesItsQuarterToo() {
        says(NOON, 9.0);
        fixture.passes(Duration.ofSeconds(900));
        fixture.saysLost(sensor);

        assertThat(history()).containsExactly("12:00 9.0");
    }

    /** Steady reports one by one, several at once, and the change that closes the quarter: all come to the same. */
    @Test
    void leastAndMostOfAQuarterStandBesideItsNewest() {
        says(NOON, 9.0);
        says(NOON.plusSeconds(100), 4.0);
        fixture.passes(Duration.ofSeconds(500));
        fixture.take(arrival(NOON.plusSeconds(200), 9.5), arrival(NOON.plusSeconds(300), 7.0), arrival(NOON.plusSeconds(400), 8.0));
        assertThat(extremes()).isEmpty();

        says(QUARTER_PAST, 6.0);
        says(QUARTER_PAST.plusSeconds(300), 5.5);
        fixture.passes(Duration.ofSeconds(600));
        fixture.saysLost(sensor);

        assertThat(extremes()).containsExactly("12:00 4.0 8.0 9.5", "12:15 5.5 5.5 6.0");
    }

    @Test
    void lateReportWidensItsQuarterAndTheSameAgainChangesNothing() {
        says(NOON, 9.0);
        fixture.passes(Duration.ofMinutes(16));
        says(fixture.now(), 6.0);
        Instant present = fixture.now();
        fixture.passes(Duration.ofMinutes(1));

        for (int again = 0; again < 2; again++) {
            fixture.take(arrival(NOON.minusSeconds(30), 12.0), arrival(NOON.plusSeconds(60), 3.0), arrival(present.minusSeconds(20), 1.0));
        }
        assertThat(extremes()).containsExactly("11:45 12.0 12.0 12.0", "12:00 3.0 3.0 9.0");

        fixture.passes(Duration.ofMinutes(20));
        says(fixture.now(), 5.0);
        assertThat(extremes()).contains("12:15 1.0 6.0 6.0");
    }

    @Test
    void dayHoldsWhatItsQuartersHeld() {
        fixture.take(arrival(NOON, 8.0));
        fixture.passesDeaf(Duration.ofMinutes(5));
        fixture.take(arrival(fixture.now(), 2.0));
        fixture.passesDeaf(Duration.ofMinutes(5));
        fixture.take(arrival(fixture.now(), 8.5));
        fixture.passesDeaf(Duration.ofHours(12));
        fixture.take(arrival(fixture.now(), 5.0));
        roll.roll(NOON.plus(Duration.ofHours(13)));

        assertThat(days()).containsExactly("1 0 2.0 8.5 8.5");
    }

    @Test
    void dayThatIsOverIsOneRowWithItsLowestItsMeanAndItsHighestHoweverOftenItIsMade() {
        for (int quarter = 0; quarter < 4; quarter++) {
            fixture.take(arrival(fixture.now(), 6.0 + quarter));
            fixture.passesDeaf(Duration.ofMinutes(15));
        }
        roll.roll(NOON.plus(Duration.ofHours(1)));
        assertThat(days()).as("a day that is not over").isEmpty();

        fixture.passesDeaf(Duration.ofHours(11));
        fixture.take(arrival(fixture.now(), 5.0));
        roll.roll(NOON.plus(Duration.ofHours(13)));
        roll.roll(NOON.plus(Duration.ofHours(14)));

        assertThat(days()).containsExactly("4 0 6.0 7.5 9.0");
    }

    @Test
    void daysAreKeptForAsLongAsIsSaid() {
        dayThatIsOverIsOneRowWithItsLowestItsMeanAndItsHighestHoweverOftenItIsMade();

        assertThat(removed(NOON.plus(Duration.ofDays(3660)))).isZero();
        assertThat(removed(NOON.plus(Duration.ofDays(3662)))).isPositive();
        assertThat(days()).isEmpty();
    }

    private int removed(Instant now) {
        return QuarkusTransaction.requiringNew().call(() -> SqlWork.on(entities, connection -> old.removeOld(connection, now, 5000)));
    }

    private List<String> days() {
        return QuarkusTransaction.requiringNew().call(() -> {
            List<?> rows = entities.createNativeQuery("""
                    SELECT quarters, quarters_lost, inside_min_c, inside_mean_c, inside_max_c FROM sensor_day WHERE sensor_id = :sensor ORDER BY on_day""")
                    .setParameter("sensor", sensor.sensorId()).getResultList();
            return rows.stream().map(row -> Arrays.stream((Object[]) row).map(String::valueOf).collect(Collectors.joining(" "))).toList();
        });
    }

    private void says(Instant at, double inside) {
        if (fixture.now().isBefore(at)) {
            fixture.passes(Duration.between(fixture.now(), at));
        }
        fixture.take(arrival(at, inside));
    }

    private Arrival arrival(Instant at, double inside) {
        String pack = String.format(Locale.ROOT, "[{\"bn\":\"%s\",\"bt\":%d,\"n\":\"supply\",\"vb\":true,\"ut\":3600},"
                + "{\"n\":\"inside\",\"u\":\"Cel\",\"v\":%.1f}]", sensor.baseName(), at.getEpochSecond(), inside);
        return new Arrival("lampkeeper/v1/" + sensor.deviceId() + "/report", pack.getBytes(StandardCharsets.UTF_8), fixture.now(), false);
    }

    /** Quarter, least, newest, most. */
    private List<String> extremes() {
        return QuarkusTransaction.requiringNew().call(() -> {
            List<?> rows = entities.createNativeQuery("""
                    SELECT quarter, COALESCE(inside_least_c, inside_c), inside_c, COALESCE(inside_most_c, inside_c) FROM sensor_quarter
                     WHERE sensor_id = :sensor ORDER BY quarter""").setParameter("sensor", sensor.sensorId()).getResultList();
            return rows.stream().map(row -> (Object[]) row).map(row -> Quarters.beginning(Rows.number(row[0])).toString().substring(11, 16) + " " + row[1] + " " + row[2]
                    + " " + row[3]).toList();
        });
    }

    private List<String> history() {
        return QuarkusTransaction.requiringNew().call(() -> {
            List<?> rows = entities.createNativeQuery("SELECT quarter, inside_c FROM sensor_quarter WHERE sensor_id = :sensor ORDER BY quarter")
                    .setParameter("sensor", sensor.sensorId()).getResultList();
            return rows.stream().map(row -> (Object[]) row)
                    .map(row -> Quarters.beginning(Rows.number(row[0])).toString().substring(11, 16) + " " + row[1]).toList();
        });
    }
}
