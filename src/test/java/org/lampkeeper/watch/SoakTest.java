package org.lampkeeper.watch;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Duration;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Optional;

import jakarta.inject.Inject;
import jakarta.persistence.EntityManager;

import io.quarkus.narayana.jta.QuarkusTransaction;
import io.quarkus.test.junit.QuarkusTest;
import io.quarkus.test.junit.QuarkusTestProfile;
import io.quarkus.test.junit.TestProfile;
import org.awaitility.Awaitility;
import org.eclipse.microprofile.config.inject.ConfigProperty;
import org.jboss.logging.Logger;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.condition.EnabledIfSystemProperty;

import org.lampkeeper.journal.JournalVerifier;
import org.lampkeeper.journal.Verdict;
import org.lampkeeper.message.MailNow;
import org.lampkeeper.register.Rows;
import org.lampkeeper.testing.MailSinkResource;
import org.lampkeeper.testing.MovedClock;
import org.lampkeeper.testing.PostgresResource;
import org.lampkeeper.testing.TestDatabase;

import static org.assertj.core.api.Assertions.assertThat;

/**
 * Years of many cabinets in moved time, with faults by lot ({@link SoakLife}). Only on demand: {@code -Dsoak.cabinets=500 -Dsoak.days=365} for one life of
 * five hundred cabinet-years, {@code -Dsoak.minutes=30} for one life after another, each by the next seed and with cabinets of its own, until half an
 * hour is over, {@code -Dsoak.seed=} for others, {@code -Dsoak.database=postgresql} for one whose connections break. The table of each life is written to
 * {@code target/soak} as soon as it is over, and that of all beside it.
 */
@QuarkusTest
@TestProfile(SoakTest.OwnDatabase.class)
@EnabledIfSystemProperty(named = "soak.cabinets", matches = "\\d+")
class SoakTest {

    private static final Logger LOG = Logger.getLogger(SoakTest.class);
    private static final int CABINETS = Integer.getInteger("soak.cabinets", 10);
    private static final int DAYS = Integer.getInteger("soak.days", 10);
    private static final long SEED = Long.getLong("soak.seed", 14);
    /** No further life is begun when so many minutes are over; there is one in any case. */
    private static final Duration BEGUN_WITHIN = Duration.ofMinutes(Integer.getInteger("soak.minutes", 0));
    private static final boolean IS_POSTGRESQL = System.getProperty("soak.database", "h2").equals("postgresql");
    private static final Path TABLES = Path.of("target/soak");

    @Inject
    WatchFixture fixture;
    @Inject
    AlarmDesk desk;
    @Inject
    DeadlineHandler deadlines;
    @Inject
    DeadlineLoop deadlineLoop;
    @Inject
    SilenceSweep sweep;
    @Inject
    Listening listening;
    @Inject
    MailNow mail;
    @Inject
    JournalVerifier verifier;
    @Inject
    EntityManager entities;
    @Inject
    MovedClock clock;
    @ConfigProperty(name = "quarkus.datasource.jdbc.url")
    String url;

    /** H2 in memory, since nothing here is about what survives a kill; or PostgreSQL. */
    public static class OwnDatabase implements QuarkusTestProfile {
        @Override
        public Map<String, String> getConfigOverrides() {
            Map<String, String> settings = new LinkedHashMap<>(Map.of("quarkus.log.category.\"org.lampkeeper\".level", "ERROR",
                    "quarkus.log.category.\"org.lampkeeper.watch.SoakTest\".level", "INFO"));
            if (!IS_POSTGRESQL) {
                settings.put("quarkus.datasource.jdbc.url",
                        "jdbc:h2:mem:soak;MODE=PostgreSQL;DATABASE_TO_LOWER=TRUE;DEFAULT_NULL_ORDERING=HIGH;LOCK_TIMEOUT=10000;DB_CLOSE_DELAY=-1");
            }
            return settings;
        }

        @Override
        public List<TestResourceEntry> testResources() {
            TestResourceEntry sink = new TestResourceEntry(MailSinkResource.class);
            return IS_POSTGRESQL ? List.of(sink, new TestResourceEntry(PostgresResource.class)) : List.of(sink);
        }
    }

    @AfterEach
    void nothingIsLeft() {
        run("UPDATE outgoing_message SET state = 'NOT_NEEDED', next_attempt_at = NULL, leased_until = NULL WHERE state = 'WAITING'");
        run("DELETE FROM sensor_status");
        fixture.atNoonListening();
    }

    @Test
    void everyLossIsRaisedOnceToldAndEndedWhateverHappensBesides() throws IOException, InterruptedException {
        mail.alone();
        fixture.atNoonListening();
        Optional<TestDatabase> breaking = IS_POSTGRESQL ? Optional.of(new TestDatabase(url, "postgres", "")) : Optional.empty();
        Map<String, Long> sum = new LinkedHashMap<>();
        List<String> wrong = new ArrayList<>();
        long begun = System.nanoTime();
        long seed = SEED;
        do {
            // What lived before would be silent from here on.
            run("DELETE FROM sensor_status");
            run("DELETE FROM deadline");
            long began = System.nanoTime();
            SoakLife life = new SoakLife(CABINETS, DAYS, seed, fixture, desk, deadlines, deadlineLoop, sweep, listening, mail, entities, clock, breaking);
            Map<String, Long> table = life.live();
            table.forEach((what, times) -> sum.merge(what, times, Long::sum));
            wrong.addAll(life.wrong());
            String told = told(CABINETS + " cabinets for " + DAYS + " days", "seed " + seed, 1, began, table, life.wrong());
            LOG.info(told);
            Files.createDirectories(TABLES);
            Files.writeString(TABLES.resolve("seed-" + seed + "-" + CABINETS + "x" + DAYS + ".txt"), told);
            seed++;
            Files.writeString(TABLES.resolve("all-" + SEED + "-" + CABINETS + "x" + DAYS + ".txt"),
                    told(seed - SEED + " lives of " + CABINETS + " cabinets for " + DAYS + " days", "seeds " + SEED + " to " + (seed - 1), seed - SEED, begun, sum, wrong));
        } while (System.nanoTime() - begun < BEGUN_WITHIN.toNanos());

        Awaitility.await().atMost(Duration.ofMinutes(10)).until(() -> number("SELECT COUNT(*) FROM journal_entry WHERE seal_number IS NULL") == 0);
        assertThat(verifier.verify(List.of())).isInstanceOf(Verdict.Intact.class);
        assertThat(wrong).as(sum.toString()).isEmpty();
        assertThat(sum).containsKeys("losses", "silences", "silent sites");
        assertThat(sum.get("losses")).isPositive();
        assertThat(sum.get("silences")).isPositive();
        assertThat(sum.get("silent sites")).isPositive();
    }

    private static String told(String what, String seeds, long lives, long begun, Map<String, Long> table, List<String> wrong) {
        StringBuilder words = new StringBuilder(String.format(Locale.ROOT, "%s, %.1f cabinet-years, %s, on %s, in %d s%n", what, CABINETS * DAYS / SoakLife.DAYS_A_YEAR * lives, seeds,
                IS_POSTGRESQL ? "PostgreSQL" : "H2 in memory", (System.nanoTime() - begun) / 1_000_000_000L));
        table.forEach((name, times) -> words.append(String.format(Locale.ROOT, "%10d  %s%n", times, name)));
        wrong.forEach(each -> words.append(each).append('\n'));
        return words.toString();
    }

    private void run(String sql) {
        QuarkusTransaction.requiringNew().run(() -> entities.createNativeQuery(sql).executeUpdate());
    }

    private long number(String sql) {
        return QuarkusTransaction.requiringNew().call(() -> Rows.number(entities.createNativeQuery(sql).getSingleResult()));
    }
}
