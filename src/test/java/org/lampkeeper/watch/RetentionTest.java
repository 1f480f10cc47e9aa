package org.lampkeeper.watch;

import java.time.Duration;
import java.time.Instant;
import java.util.List;
import java.util.concurrent.Callable;
import java.util.concurrent.CompletableFuture;

import jakarta.enterprise.inject.Instance;
import jakarta.inject.Inject;
import jakarta.persistence.EntityManager;
import jakarta.persistence.Query;

import io.micrometer.core.instrument.simple.SimpleMeterRegistry;
import io.quarkus.narayana.jta.QuarkusTransaction;
import io.quarkus.test.junit.QuarkusTest;
import io.smallrye.config.SmallRyeConfigBuilder;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.ValueSource;

import org.lampkeeper.register.Rows;
import org.lampkeeper.telemetry.Quarters;
import org.lampkeeper.watch.WatchFixture.Place;

import static org.assertj.core.api.Assertions.assertThat;
import static org.lampkeeper.watch.WatchFixture.NOON;

/** What is kept long enough goes, in batches, the oldest first; what is younger, still open, or the journal's stays. */
@QuarkusTest
class RetentionTest {

    private static final Duration DAY = Duration.ofDays(1);
    /** Clear of what other tests write. */
    private static final long SENSOR = 7_700_000;
    private static final long ID = 7_700_000;

    @Inject
    WatchFixture fixture;
    @Inject
    Instance<Retained> kinds;
    @Inject
    Deadlines deadlines;
    @Inject
    Retention retention;
    @Inject
    EntityManager entities;

    @BeforeEach
    void noon() {
        fixture.atNoonListening();
        clean();
    }

    @AfterEach
    void clean() {
        for (String table : List.of("refused_report", "csv_import", "api_answer", "outgoing_message", "webhook_delivery", "sensor_quarter", "sensor_day", "reply_part")) {
            run("DELETE FROM " + table);
        }
    }

    @ParameterizedTest
    @CsvSource({"temperatures, 400", "messages, 400", "webhook-deliveries, 400", "refused-reports, 90", "api-answers, 1", "imports, 1", "reply-parts, 1"})
    void rowsGoOnceTheyAreOlderThanStated(String what, int days) {
        Instant limit = NOON.minus(DAY.multipliedBy(days));
        for (int i = 1; i <= 5; i++) {
            add(what, i, limit.minus(Duration.ofMinutes(30L * i)));
        }
        add(what, 6, limit.plus(Duration.ofMinutes(20)));
        add(what, 7, NOON);

        assertThat(remove(what, 3)).isEqualTo(3);
        assertThat(left(what)).as("the oldest went first").containsExactly(1, 2, 6, 7);
        assertThat(remove(what, 3)).isEqualTo(2);
        assertThat(remove(what, 3)).isZero();
        assertThat(left(what)).containsExactly(6, 7);
    }

    @Test
    void everyKindIsAskedEachNight() {
        assertThat(kinds.stream().map(Retained::what)).containsExactlyInAnyOrder("temperatures", "messages", "webhook-deliveries", "refused-reports", "api-answers",
                "imports", "reply-parts", "days of temperatures");
        for (Retained kind : kinds) {
            // Days of temperatures are kept for ten years.
            add(kind.what(), 1, NOON.minus(DAY.multipliedBy(4000)));
            add(kind.what(), 2, NOON);
        }
        due(NOON);

        fixture.work();

        for (Retained kind : kinds) {
            assertThat(left(kind.what())).as(kind.what()).containsExactly(2);
        }
        assertThat(nextDue()).as("the following night").isEqualTo(Instant.parse("2026-12-02T03:20:00Z"));
    }

    @Test
    void wholeDaysGoOnceTheyAreOlderThanStated() {
        for (int i = 1; i <= 3; i++) {
            add("days of temperatures", i, NOON.minus(DAY.multipliedBy(3659 + i)));
        }

        assertThat(remove("days of temperatures", 1)).isEqualTo(1);
        assertThat(left("days of temperatures")).as("the oldest went first").containsExactly(1, 2);
        assertThat(remove("days of temperatures", 9)).isEqualTo(1);
        assertThat(left("days of temperatures")).as("the day of the limit itself is kept").containsExactly(1);
    }

    @Test
    void batchOfManySensorsEndsWithinAQuarter() {
        long quarter = Quarters.of(NOON.minus(DAY.multipliedBy(401)));
        for (int i = 1; i <= 7; i++) {
            run("INSERT INTO sensor_quarter (sensor_id, quarter, observed_at, reading) VALUES (?1, ?2, ?3, 'HEALTHY')", SENSOR + i, quarter,
                    Quarters.beginning(quarter));
        }

        assertThat(List.of(remove("temperatures", 3), remove("temperatures", 3), remove("temperatures", 3))).containsExactly(3, 3, 1);
    }

    @Test
    void whileThereIsMoreItComesAgainAtOnceAndThenTheNextNight() {
        RetentionConfig three = batchesOf(3);
        Retention small = new Retention(kinds, entities, three, watch("UTC"), new SimpleMeterRegistry());
        for (int i = 1; i <= 4; i++) {
            add("refused-reports", i, NOON.minus(DAY.multipliedBy(100 + i)));
        }

        assertThat(inTransaction(() -> small.removeBatch(NOON))).isEqualTo(NOON);
        assertThat(left("refused-reports")).hasSize(1);
        assertThat(inTransaction(() -> small.removeBatch(NOON))).isEqualTo(Instant.parse("2026-12-02T03:20:00Z"));
        assertThat(left("refused-reports")).isEmpty();
    }

    /** Clocks of Europe/London go from 01:00 to 02:00 on 2026-03-29 and from 02:00 back to 01:00 on 2026-10-25 (IANA tzdata). */
    @ParameterizedTest
    @CsvSource({"UTC, 2026-12-01T03:19:59Z, 2026-12-01T03:20:00Z", "UTC, 2026-12-01T03:20:00Z, 2026-12-02T03:20:00Z",
            "Europe/London, 2026-03-28T12:00:00Z, 2026-03-29T02:20:00Z", "Europe/London, 2026-10-24T12:00:00Z, 2026-10-25T03:20:00Z",
            "America/New_York, 2026-12-01T03:20:00Z, 2026-12-01T08:20:00Z"})
    void comesAtTheStatedTimeOfTheOperatorsClock(String zone, Instant now, Instant next) {
        Retention here = new Retention(kinds, entities, batchesOf(100), watch(zone), new SimpleMeterRegistry());

        assertThat(inTransaction(() -> here.removeBatch(now))).isEqualTo(next);
    }

    @Test
    void messageThatWaitsOrIsOfAnOpenAlarmStaysHoweverOld() {
        Place place = fixture.place(1);
        fixture.saysHealthy(place.first());
        fixture.saysLost(place.first());
        fixture.passes(Duration.ofSeconds(30));
        assertThat(fixture.told(place)).isNotEmpty();
        run("UPDATE outgoing_message SET created_at = ?1, ended_at = ?1, state = 'SENT', next_attempt_at = NULL", NOON.minus(DAY.multipliedBy(500)));
        add("messages", 1, NOON.minus(DAY.multipliedBy(500)));
        add("messages", 2, NOON.minus(DAY.multipliedBy(500)));
        run("UPDATE outgoing_message SET state = 'WAITING', ended_at = NULL WHERE id = ?1", ID + 2);

        remove("messages", 100);

        assertThat(fixture.told(place)).as("of an open alarm").isNotEmpty();
        assertThat(left("messages")).contains(2).doesNotContain(1);

        run("UPDATE alarm SET closed_at = raised_at, live = FALSE, state = 'NORMAL' WHERE site_id = ?1", place.siteId());
        remove("messages", 100);

        assertThat(fixture.told(place)).as("once it is closed").isEmpty();
    }

    /** What a batch is doing is seen by nobody until it is committed, and nobody waits for it. */
    @ParameterizedTest
    @ValueSource(strings = {"temperatures", "refused-reports"})
    void reportsAreTakenInWhileABatchIsUnderWay(String what) throws Exception {
        Place place = fixture.place(1);
        fixture.saysHealthy(place.first());
        add(what, 1, NOON.minus(DAY.multipliedBy(500)));

        QuarkusTransaction.requiringNew().run(() -> {
            SqlWork.on(entities, connection -> kind(what).removeOld(connection, NOON, 10));
            CompletableFuture<Void> meanwhile = CompletableFuture.runAsync(() -> {
                fixture.says(place.first(), true, NOON.minusSeconds(1_000));
                add(what, 2, NOON.minus(DAY.multipliedBy(500)));
            });
            assertThat(meanwhile).succeedsWithin(Duration.ofSeconds(5));
        });

        assertThat(left(what)).containsExactly(2);
    }

    @Test
    void journalIsNeverShortened() {
        Place place = fixture.place(1);
        fixture.saysHealthy(place.first());
        fixture.saysLost(place.first());
        fixture.passes(Duration.ofSeconds(30));
        long newest = number("SELECT MAX(id) FROM journal_entry");
        long before = number("SELECT COUNT(*) FROM journal_entry WHERE id <= " + newest);

        retention(NOON.plus(DAY.multipliedBy(36_500)));

        // Loops of the service go on to journal what they do.
        assertThat(number("SELECT COUNT(*) FROM journal_entry WHERE id <= " + newest)).isEqualTo(before).isPositive();
    }

    private void retention(Instant at) {
        inTransaction(() -> retention.removeBatch(at));
    }

    private void add(String what, int number, Instant at) {
        switch (what) {
            case "temperatures" -> run("INSERT INTO sensor_quarter (sensor_id, quarter, observed_at, reading) VALUES (?1, ?2, ?3, 'HEALTHY')",
                    SENSOR + number, Quarters.of(at), at);
            case "messages" -> {
                Place anybody = fixture.place(1);
                run("""
                        INSERT INTO outgoing_message (id, message_key, purpose, person_id, channel, address, subject, body, created_at, state, attempts, ended_at, telling)
                        VALUES (?1, ?2, 'NOTICE', ?3, 'MAIL', 'someone@hallow.example', 's', 'b', ?4, 'SENT', 1, ?4, ?1)""", ID + number, "retention-" + number,
                        anybody.people().get(0), at);
            }
            case "webhook-deliveries" -> run("""
                    INSERT INTO webhook_delivery (id, message_key, endpoint_id, event, body, created_at, wanted_at, state, attempts, ended_at)
                    VALUES (?1, ?2, 1, 'webhook.test', '{}', ?3, ?3, 'DELIVERED', 1, ?3)""", ID + number, "retention-" + number, at);
            case "refused-reports" -> run("""
                    INSERT INTO refused_report (id, received_at, topic, reason, detail, sample) VALUES (?1, ?2, 't', 'not-json', 'd', 's')""", ID + number, at);
            case "api-answers" -> run("INSERT INTO api_answer (person_id, key_hash, fingerprint, begun_at) VALUES (?1, 'k', 'f', ?2)", ID + number, at);
            case "imports" -> run("""
                    INSERT INTO csv_import (id, person_id, kind, file_name, content, state, sent_at, seen_at, all_rows, rows_done)
                    VALUES (?1, 1, 'SITES', 'sites.csv', 'name', 'SEEN', ?2, ?2, 0, 0)""", ID + number, at);
            case "reply-parts" -> run("""
                    INSERT INTO reply_part (channel, sender, reference, of_parts, number, text, heard_at) VALUES ('SMS', '447700900123', ?1, 2, 1, 't', ?2)""",
                    ID + number, at);
            case "days of temperatures" -> run("""
                    INSERT INTO sensor_day (sensor_id, on_day, quarters, quarters_lost, heater_known, heater_on, door_known, door_open)
                    VALUES (?1, ?2, 96, 0, 0, 0, 0, 0)""", SENSOR + number, DayRollUp.dayOf(at));
            default -> throw new IllegalArgumentException("no rows are known for " + what + "; add them here");
        }
    }

    /** The numbers of the added rows that are still there. */
    private List<Integer> left(String what) {
        String from = switch (what) {
            case "temperatures" -> "sensor_id FROM sensor_quarter";
            case "messages" -> "id FROM outgoing_message";
            case "webhook-deliveries" -> "id FROM webhook_delivery";
            case "refused-reports" -> "id FROM refused_report";
            case "api-answers" -> "person_id FROM api_answer";
            case "imports" -> "id FROM csv_import";
            case "reply-parts" -> "reference FROM reply_part";
            case "days of temperatures" -> "sensor_id FROM sensor_day";
            default -> throw new IllegalArgumentException(what);
        };
        String column = from.substring(0, from.indexOf(' '));
        return QuarkusTransaction.requiringNew().call(() -> {
            List<?> ids = entities.createNativeQuery("SELECT " + from + " WHERE " + column + " > " + ID + " AND " + column + " < " + (ID + 100)
                    + " ORDER BY " + column).getResultList();
            return ids.stream().map(id -> (int) (Rows.number(id) - ID)).toList();
        });
    }

    private int remove(String what, int most) {
        return inTransaction(() -> SqlWork.on(entities, connection -> kind(what).removeOld(connection, NOON, most)));
    }

    private Retained kind(String what) {
        return kinds.stream().filter(kind -> kind.what().equals(what)).findFirst().orElseThrow();
    }

    private void due(Instant at) {
        QuarkusTransaction.requiringNew().run(() -> deadlines.add(DeadlineKind.RETENTION, 0, 0, at));
    }

    private Instant nextDue() {
        return inTransaction(() -> deadlines.earliest().orElseThrow());
    }

    private long number(String sql) {
        return inTransaction(() -> Rows.number(entities.createNativeQuery(sql).getSingleResult()));
    }

    private void run(String sql, Object... values) {
        QuarkusTransaction.requiringNew().run(() -> {
            Query query = entities.createNativeQuery(sql);
            for (int i = 0; i < values.length; i++) {
                query.setParameter(i + 1, values[i]);
            }
            query.executeUpdate();
        });
    }

    private static <T> T inTransaction(Callable<T> work) {
        return QuarkusTransaction.requiringNew().call(work);
    }

    private static RetentionConfig batchesOf(int rows) {
        return new SmallRyeConfigBuilder().withMapping(RetentionConfig.class).addDiscoveredConverters()
                .withDefaultValue("lampkeeper.retention.batch", "" + rows).build().getConfigMapping(RetentionConfig.class);
    }

    private static WatchConfig watch(String zone) {
        return new SmallRyeConfigBuilder().withMapping(WatchConfig.class).addDiscoveredConverters()
                .withDefaultValue("lampkeeper.watch.operator-zone", zone).build().getConfigMapping(WatchConfig.class);
    }
}
