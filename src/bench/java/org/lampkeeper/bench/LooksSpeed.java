package org.lampkeeper.bench;

import java.nio.file.Files;
import java.nio.file.Path;
import java.sql.SQLException;
import java.time.Duration;
import java.time.Instant;
import java.time.ZoneOffset;
import java.time.temporal.ChronoUnit;
import java.util.ArrayList;
import java.util.Collections;
import java.util.HashMap;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.concurrent.atomic.AtomicLong;

import org.lampkeeper.testing.TestDatabase;

/**
 * Looks at many lamps that all open at the same minute: when the last of them has, when the last was asked for, and how long meanwhile a
 * loss takes to its mail, beside what it takes when nothing opens. As on any other morning the program has opened looks before: a part of as many, which are not measured.
 */
final class LooksSpeed {

    /** More than a start takes, with the losses before that nothing opens beside; and for each look, to write it into the tables first. */
    private static final Duration OPENS_AFTER = Duration.ofSeconds(75);
    private static final Duration WRITTEN_WITHIN = Duration.ofMillis(1);
    /** The morning before: one look for so many, and no more time than a program takes for each that was just started. */
    private static final int BEFORE_EACH = 10;
    private static final Duration BEFORE_WITHIN = Duration.ofMillis(8);
    /** The letters of the morning before leave in it, and the losses that nothing opens beside are told. */
    private static final Duration QUIET = Duration.ofSeconds(60);
    private static final int LOSSES_BEFORE = 40;
    private static final long BETWEEN_LOSSES = 250_000_000L;
    private static final long SECOND = 1_000_000_000L;
    private static final long LONGEST = 900 * SECOND;
    private static final String OPENED_TOGETHER = "lampkeeper_looks_opened_together_total";
    private static final String HANDLED = "lampkeeper_looks_handled_total";

    private LooksSpeed() {
    }

    static void run(Settings settings, Results results, Database.Place place, Path folder) throws Exception {
        Path here = Files.createDirectories(folder.resolve("looks"));
        TestDatabase database = place.empty("looks");
        int looks = settings.looks();
        int looksBefore = looks / BEFORE_EACH;
        Fleet.seed(database, looks + looksBefore, Instant.now());
        Instant opensBefore = Instant.now().plus(OPENS_AFTER).plus(WRITTEN_WITHIN.multipliedBy(looks + looksBefore)).truncatedTo(ChronoUnit.SECONDS);
        Instant opens = opensBefore.plus(BEFORE_WITHIN.multipliedBy(looksBefore)).plus(QUIET).truncatedTo(ChronoUnit.SECONDS);
        seedLooks(database, looks, opens, looksBefore, opensBefore);
        try (Mosquitto broker = new Mosquitto(here); SmtpSink mail = new SmtpSink()) {
            Map<String, String> more = new HashMap<>(IngestSpeed.at(broker));
            more.put("lampkeeper.watch.confirm", "0s");
            more.put("lampkeeper.message.from", "lampkeeper@hallow-water.example");
            more.put("quarkus.mailer.host", "127.0.0.1");
            more.put("quarkus.mailer.port", Integer.toString(mail.port()));
            more.put("quarkus.mailer.start-tls", "DISABLED");
            try (Service service = Service.start(settings, here, database, more); Gateway losing = new Gateway(broker.port(), "losing")) {
                Thread.sleep(Duration.between(Instant.now(), opensBefore).toMillis());
                awaitLetters(service, mail, looksBefore, opens);
                Losses losses = new Losses(losing, mail, looks / Fleet.PER_SITE);
                losses.during(() -> losses.count() >= LOSSES_BEFORE);
                List<Double> before = losses.millis(LOSSES_BEFORE / 2);
                if (!Instant.now().isBefore(opens)) {
                    throw new IllegalStateException("the looks opened at " + opens + " before the service was warm: the machine is too slow for this");
                }
                Thread.sleep(Duration.between(Instant.now(), opens).toMillis());
                int first = losses.count();
                long openedBefore = service.figure(OPENED_TOGETHER);
                long began = System.nanoTime();
                AtomicLong openedAt = new AtomicLong();
                losses.during(() -> {
                    long handled = service.figure(HANDLED) - looksBefore;
                    // Nobody is asked for those that were opened together until all of them are.
                    if (service.figure(OPENED_TOGETHER) - openedBefore + handled >= looks) {
                        openedAt.compareAndSet(0, System.nanoTime());
                    }
                    return handled >= looks || System.nanoTime() - began > LONGEST;
                });
                double seconds = (System.nanoTime() - began) / 1e9;
                long handled = service.figure(HANDLED) - looksBefore;
                if (handled < looks) {
                    throw new IllegalStateException("only " + handled + " of " + looks + " looks were opened in " + seconds + " s");
                }
                List<Double> meanwhile = losses.millis(first);
                Map<String, Object> figures = new LinkedHashMap<>();
                figures.put("looks", looks);
                figures.put("opened_after_s", Results.rounded((openedAt.get() - began) / 1e9));
                figures.put("asked_for_after_s", Results.rounded(seconds));
                figures.put("messages_sent_by_then", mail.looks() - looksBefore);
                figures.put("losses_meanwhile", meanwhile.size());
                figures.put("loss_p50_before_ms", Results.rounded(Results.median(before)));
                figures.put("loss_p50_ms", Results.rounded(Results.median(meanwhile)));
                figures.put("loss_longest_before_ms", Results.rounded(Results.quantile(before, 1)));
                figures.put("loss_p99_ms", Results.rounded(Results.quantile(meanwhile, 0.99)));
                figures.put("loss_longest_ms", Results.rounded(Results.quantile(meanwhile, 1)));
                figures.put("longest_lost_after_s", Results.rounded((losses.publishedAt(first + meanwhile.indexOf(Collections.max(meanwhile))) - began) / 1e9));
                results.keep("looks", place.kind().title(), figures, "all open within 30 s, no loss more than 1 s later for it");
            }
        }
    }

    private static void awaitLetters(Service service, SmtpSink mail, int looks, Instant until) throws Exception {
        while (service.figure(HANDLED) < looks || mail.looks() < looks) {
            if (!Instant.now().isBefore(until)) {
                throw new IllegalStateException("only " + mail.looks() + " of " + looks + " were asked for before the next opened: the machine is too slow for this");
            }
            Thread.sleep(100);
        }
    }

    /** Losses at an even pace, each at a site of its own. */
    private static final class Losses {
        private final Gateway losing;
        private final SmtpSink mail;
        private final int sites;
        private final List<Long> publishedAt = new ArrayList<>();

        private Losses(Gateway losing, SmtpSink mail, int sites) {
            this.losing = losing;
            this.mail = mail;
            this.sites = sites;
        }

        private interface Until {
            boolean isOver() throws Exception;
        }

        void during(Until until) throws Exception {
            do {
                if (publishedAt.size() == sites) {
                    throw new IllegalStateException("a loss at each of " + sites + " sites, and it is not over");
                }
                long at = System.nanoTime();
                int sensor = publishedAt.size() * Fleet.PER_SITE + 1;
                losing.publish(IngestSpeed.TOPICS + Fleet.deviceId(sensor) + "/report", Fleet.report(sensor, false, 1, System.currentTimeMillis()));
                losing.flush();
                publishedAt.add(at);
                long left = BETWEEN_LOSSES - (System.nanoTime() - at);
                if (left > 0) {
                    Thread.sleep(left / 1_000_000);
                }
            } while (!until.isOver());
        }

        int count() {
            return publishedAt.size();
        }

        long publishedAt(int which) {
            return publishedAt.get(which);
        }

        /** From publishing to the mail server's acceptance, of all from number {@code first} on. Every loss must have been told. */
        List<Double> millis(int first) throws InterruptedException {
            long until = System.nanoTime() + 120 * SECOND;
            List<Double> millis = new ArrayList<>();
            for (int i = first; i < publishedAt.size(); i++) {
                String cabinet = Fleet.cabinet(i * Fleet.PER_SITE + 1);
                while (!mail.acceptedAt(cabinet).isPresent()) {
                    if (System.nanoTime() > until) {
                        throw new IllegalStateException("no mail about the loss of " + cabinet);
                    }
                    Thread.sleep(20);
                }
                millis.add((mail.acceptedAt(cabinet).getAsLong() - publishedAt.get(i)) / 1e6);
            }
            return millis;
        }
    }

    /**
     * A plan for each cabinet that asks whoever is on as site duty, a shift of one person at each site, and today's look, of which the last
     * ones open at the morning before, and all others at the same moment; as the planner writes them.
     */
    private static void seedLooks(TestDatabase database, int looks, Instant opens, int looksBefore, Instant opensBefore) throws SQLException {
        int all = looks + looksBefore;
        String each = Fleet.numbers(database, all);
        int sites = (all + Fleet.PER_SITE - 1) / Fleet.PER_SITE;
        String site = Fleet.numbers(database, sites);
        String now = Fleet.time(Instant.now());
        database.run("INSERT INTO person (id, reference, salt, name, mail, version) SELECT 1000 + n, 'staff' || n, 'bench', 'Staff ' || n, 's' || n"
                + " || '@hallow-water.example', 0 FROM " + site);
        database.run("INSERT INTO person_channel (id, person_id, kind, address, place, follows_sign_in, added_at, proven_at, version) SELECT 1000 + n, 1000 + n,"
                + " 'MAIL', 's' || n || '@hallow-water.example', 1, TRUE, " + now + ", " + now + ", 0 FROM " + site);
        database.run("INSERT INTO duty_shift (id, site_id, role, person_id, weekdays, from_minute, to_minute, every_weeks, valid_from, version)"
                + " SELECT n, n, 'SITE_DUTY', 1000 + n, 127, 0, 0, 1, DATE '2026-01-01', 0 FROM " + site);
        database.run("INSERT INTO check_plan (id, site_id, cabinet_id, kind, rule, first_day, opens_minute, closes_minute, grace_minutes, when_closed, asked_role,"
                + " sensor_counts, planned_until, changed_at, version) SELECT n, (n - 1) / " + Fleet.PER_SITE + " + 1, n, 'LAMP', 'FREQ=DAILY', DATE '2026-01-01', 540,"
                + " 660, 30, 'SKIP', 'SITE_DUTY', FALSE, DATE '2999-01-01', " + now + ", 0 FROM " + each);
        String at = "CASE WHEN n > " + looks + " THEN " + Fleet.time(opensBefore) + " ELSE " + Fleet.time(opens) + " END";
        database.run("INSERT INTO check_due (id, plan_id, site_id, cabinet_id, kind, on_day, opens_at, closes_at, missed_at, by_somebody_else, state, version)"
                + " SELECT n, n, (n - 1) / " + Fleet.PER_SITE + " + 1, n, 'LAMP', DATE '" + opens.atOffset(ZoneOffset.UTC).toLocalDate() + "', "
                + at + ", " + Fleet.time(opens.plus(Duration.ofHours(2))) + ", " + Fleet.time(opens.plus(Duration.ofMinutes(150)))
                + ", FALSE, 'OPEN', 0 FROM " + each);
        database.run("INSERT INTO deadline (id, due_at, kind, subject_id, subject_version, attempts) SELECT nextval('deadline_seq'), " + at
                + ", 'CHECK', n, 0, 0 FROM " + each);
        database.run(database.isPostgresql() ? "VACUUM ANALYZE" : "ANALYZE");
        database.close();
    }
}
