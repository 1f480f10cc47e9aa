package org.lampkeeper.watch;

import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Duration;
import java.time.Instant;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.HashMap;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Optional;
import java.util.PriorityQueue;
import java.util.Random;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import java.util.stream.Collectors;

import jakarta.inject.Inject;
import jakarta.persistence.EntityManager;

import io.quarkus.narayana.jta.QuarkusTransaction;
import io.quarkus.test.junit.QuarkusTest;
import org.awaitility.Awaitility;
import org.jboss.logging.Logger;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.condition.EnabledIfSystemProperty;

import org.lampkeeper.register.Rows;
import org.lampkeeper.register.SensorKey;
import org.lampkeeper.telemetry.Arrival;
import org.lampkeeper.testing.MailServer;
import org.lampkeeper.testing.MovedClock;
import org.lampkeeper.watch.WatchFixture.Place;
import org.lampkeeper.watch.WatchFixture.Raised;

import static org.assertj.core.api.Assertions.assertThat;

/**
 * Years of many cabinets in moved time, with faults by lot: losses, dips, floods of a whole site, silent sensors, silent sites, times in which the service
 * does nothing while reports wait for it, and a clock that steps. What happened is written down here as it is made up, and at the end every loss must have
 * been raised once, told, and ended; every silence likewise. Only on demand: {@code -Dsoak.cabinets=1000 -Dsoak.days=365} for a thousand
 * cabinet-years, {@code -Dsoak.seed=} for others. The table is printed, and written to {@code target/soak}.
 */
@QuarkusTest
@EnabledIfSystemProperty(named = "soak.cabinets", matches = "\\d+")
class SoakTest {

    private static final Logger LOG = Logger.getLogger(SoakTest.class);
    private static final int PER_SITE = 5;
    private static final int CABINETS = Integer.getInteger("soak.cabinets", 10);
    private static final int DAYS = Integer.getInteger("soak.days", 10);
    private static final long SEED = Long.getLong("soak.seed", 14);
    /** So that a few days have some of everything, and years have what years have. */
    private static final double OFTEN = DAYS < 100 ? 12 : 1;
    private static final double DAYS_A_YEAR = 365.25;

    private static final Duration REPORT_EVERY = Duration.ofDays(1);
    private static final Duration PROMISE = Duration.ofHours(25);
    /** What the service must be told in time to call it a loss: the confirmation, and what a clock may be off. */
    private static final int SHORTEST_LOSS_MINUTES = 12;
    private static final Duration FURTHEST_BEHIND = Duration.ofMinutes(1);
    private static final Pattern SINCE = Pattern.compile("\"since\":\"([^\"]+)\"");

    @Inject
    WatchFixture fixture;
    @Inject
    AlarmDesk desk;
    @Inject
    EntityManager entities;
    @Inject
    MovedClock clock;

    private final Random random = new Random(SEED);
    private final PriorityQueue<Act> acts = new PriorityQueue<>(Comparator.comparing(Act::at).thenComparing(Act::order));
    private final Map<String, Long> table = new LinkedHashMap<>();
    private final List<Loss> losses = new ArrayList<>();
    private final List<Silence> silences = new ArrayList<>();
    private final List<Silence> siteSilences = new ArrayList<>();
    private final List<Arrival> waiting = new ArrayList<>();
    private final Map<SensorKey, Boolean> supplied = new HashMap<>();
    private final Map<SensorKey, List<Instant[]>> busy = new HashMap<>();
    private long order;
    private long said;
    private boolean isDown;
    /** How far the machine's clock is ahead of the truth, in which everything here happens. */
    private Duration ahead = Duration.ZERO;

    /** What happens at a moment of true time. */
    private record Act(Instant at, long order, Runnable what) {
    }

    private record Loss(SensorKey sensor, Instant from, Instant until) {
    }

    /** {@code id}: of the cabinet, or of the site. */
    private record Silence(long id, Instant from, Instant until) {
    }

    @AfterEach
    void nothingIsLeft() {
        run("UPDATE outgoing_message SET state = 'NOT_NEEDED', next_attempt_at = NULL, leased_until = NULL WHERE state = 'WAITING'");
        run("DELETE FROM sensor_status");
        fixture.atNoonListening();
    }

    @Test
    void everyLossIsRaisedOnceToldAndEndedWhateverHappensBesides() throws IOException {
        fixture.atNoonListening();
        // What other tests have sensors for would be silent all the time.
        run("DELETE FROM sensor_status");
        Instant begin = fixture.now();
        Instant end = begin.plus(Duration.ofDays(DAYS));
        List<Place> places = new ArrayList<>();
        for (int i = 0; i < CABINETS / PER_SITE; i++) {
            Place place = fixture.place(PER_SITE);
            places.add(place);
            place.sensors().forEach(sensor -> supplied.put(sensor, true));
        }
        long first = number("SELECT COALESCE(MAX(id), 0) FROM journal_entry");
        long firstMessage = number("SELECT COALESCE(MAX(id), 0) FROM outgoing_message");
        long started = System.nanoTime();
        planReports(places, begin, end);
        planFaults(places, begin, end);
        while (!acts.isEmpty()) {
            Act act = acts.poll();
            passesUntil(act.at());
            act.what().run();
        }
        passesUntil(end.plus(Duration.ofHours(12)));
        Awaitility.await().atMost(Duration.ofMinutes(10)).until(() -> number("SELECT COUNT(*) FROM outgoing_message WHERE state = 'WAITING' AND id > " + firstMessage) == 0);
        long seconds = (System.nanoTime() - started) / 1_000_000_000L;

        count(places, first, firstMessage);
        String told = told(seconds);
        LOG.info(told);
        Files.createDirectories(Path.of("target/soak"));
        Files.writeString(Path.of("target/soak/seed-" + SEED + "-" + CABINETS + "x" + DAYS + ".txt"), told);
        assertThat(table).as(told).containsEntry("losses not raised", 0L).containsEntry("losses raised more than once", 0L).containsEntry("raised without a loss", 0L)
                .containsEntry("losses nobody was told of", 0L).containsEntry("losses that did not end", 0L).containsEntry("silences not raised", 0L)
                .containsEntry("silences raised more than once", 0L).containsEntry("silent sites not raised", 0L).containsEntry("silent sites raised more than once", 0L);
        assertThat(table.get("losses")).isPositive();
    }

    // What is to happen

    private void planReports(List<Place> places, Instant begin, Instant end) {
        int hours = (int) REPORT_EVERY.toHours();
        for (int hour = 0; hour < hours; hour++) {
            List<SensorKey> own = new ArrayList<>();
            for (int i = hour; i < places.size(); i += hours) {
                own.addAll(places.get(i).sensors());
            }
            if (!own.isEmpty()) {
                List<SensorKey> group = List.copyOf(own);
                act(begin.plusSeconds(1), () -> report(group));
                for (Instant at = begin.plus(Duration.ofHours(hour)).plusSeconds(60); at.isBefore(end.plus(Duration.ofHours(12))); at = at.plus(REPORT_EVERY)) {
                    act(at, () -> report(group));
                }
            }
        }
    }

    private void planFaults(List<Place> places, Instant begin, Instant end) {
        Instant last = end.minus(Duration.ofDays(1));
        // The service first: what happens to a cabinet ends when it can hear again.
        List<Instant[]> down = new ArrayList<>();
        for (Instant at = next(begin, 6); at.isBefore(last); at = next(at.plus(Duration.ofHours(4)), 6)) {
            Instant up = at.plus(Duration.ofMinutes(5 + random.nextInt(115)));
            down.add(new Instant[] {at, up});
            act(at, () -> isDown = true);
            act(up, this::comesBack);
            add("times the service did nothing", 1);
        }
        for (Instant at = next(begin, 4); at.isBefore(last); at = next(at.plus(Duration.ofHours(30)), 4)) {
            Duration by = Duration.ofSeconds(random.nextInt(180) - FURTHEST_BEHIND.toSeconds());
            Instant back = at.plus(Duration.ofHours(1 + random.nextInt(24)));
            act(at, () -> ahead = by);
            act(back, () -> ahead = Duration.ZERO);
            add("steps of the clock, there and back", 1);
        }
        for (Instant at = begin.plus(Duration.ofDays(30)); at.isBefore(end); at = at.plus(Duration.ofDays(30))) {
            act(at, MailServer.shared()::forget);
        }
        for (Place place : places) {
            for (Instant at = next(begin, 2); at.isBefore(last); at = next(at, 2)) {
                flood(place, at, down);
            }
            for (Instant at = next(begin, 1); at.isBefore(last); at = next(at, 1)) {
                silentSite(place, at, down);
            }
            for (SensorKey sensor : place.sensors()) {
                for (Instant at = next(begin, 4); at.isBefore(last); at = next(at, 4)) {
                    Instant from = at;
                    Instant until = heard(at.plus(Duration.ofMinutes(SHORTEST_LOSS_MINUTES + random.nextInt(600))), down);
                    ifFree(sensor, from, until, () -> lose(place, sensor, from, until));
                }
                for (Instant at = next(begin, 6); at.isBefore(last); at = next(at, 6)) {
                    Instant from = at;
                    ifFree(sensor, from, from.plusSeconds(60), () -> dip(sensor, from, down));
                }
                for (Instant at = next(begin, 2); at.isBefore(last.minus(Duration.ofDays(3))); at = next(at, 2)) {
                    Instant from = at;
                    Instant until = from.plus(Duration.ofDays(3));
                    ifFree(sensor, from, until, () -> silent(sensor, from, until));
                }
            }
        }
    }

    private void lose(Place place, SensorKey sensor, Instant from, Instant until) {
        losses.add(new Loss(sensor, from, until));
        act(from, () -> says(sensor, false));
        act(until, () -> says(sensor, true));
        takenSomeTime(place, from);
    }

    /** Somebody takes what is open; seldom, nobody does for long, and it climbs. */
    private void takenSomeTime(Place place, Instant from) {
        Duration after = random.nextInt(20) == 0 ? Duration.ofMinutes(90) : Duration.ofSeconds(60 + random.nextInt(900));
        long person = place.people().get(random.nextInt(place.people().size()));
        act(from.plus(after), () -> {
            if (!isDown) {
                for (Raised alarm : fixture.openAlarms(place)) {
                    desk.take(alarm.id(), person);
                }
            }
        });
    }

    private void dip(SensorKey sensor, Instant from, List<Instant[]> down) {
        if (down.stream().anyMatch(each -> from.isAfter(each[0].minusSeconds(60)) && from.isBefore(each[1].plusSeconds(60)))) {
            return;
        }
        act(from, () -> says(sensor, false));
        act(from.plusSeconds(3 + random.nextInt(12)), () -> says(sensor, true));
        add("dips", 1);
    }

    private void silent(SensorKey sensor, Instant from, Instant until) {
        silences.add(new Silence(sensor.cabinetId(), from, until));
        act(from, () -> supplied.remove(sensor));
        act(until, () -> says(sensor, true));
    }

    private void flood(Place place, Instant at, List<Instant[]> down) {
        Instant until = heard(at.plus(Duration.ofMinutes(30 + random.nextInt(300))), down);
        if (place.sensors().stream().allMatch(sensor -> isFree(sensor, at, until))) {
            add("floods of a site", 1);
            for (SensorKey sensor : place.sensors()) {
                keepBusy(sensor, at, until);
                lose(place, sensor, at.plusSeconds(random.nextInt(30)), until.plusSeconds(random.nextInt(60)));
            }
        }
    }

    private void silentSite(Place place, Instant at, List<Instant[]> down) {
        Instant until = heard(at.plus(Duration.ofMinutes(10 + random.nextInt(50))), down);
        boolean isHeard = down.stream().noneMatch(each -> at.isAfter(each[0].minusSeconds(300)) && at.isBefore(each[1].plusSeconds(300)));
        if (isHeard && place.sensors().stream().allMatch(sensor -> isFree(sensor, at, until))) {
            siteSilences.add(new Silence(place.siteId(), at, until));
            for (SensorKey sensor : place.sensors()) {
                keepBusy(sensor, at, until);
                act(at.plusSeconds(random.nextInt(20)), () -> link(sensor, "down"));
                act(until.plusSeconds(random.nextInt(20)), () -> {
                    link(sensor, "up");
                    says(sensor, true);
                });
            }
            takenSomeTime(place, at.plusSeconds(120));
        }
    }

    private boolean isFree(SensorKey sensor, Instant from, Instant until) {
        return busy.getOrDefault(sensor, List.of()).stream().noneMatch(each -> from.isBefore(each[1]) && until.isAfter(each[0]));
    }

    /** What comes within six hours before or after would be another matter for whoever takes it. */
    private void keepBusy(SensorKey sensor, Instant from, Instant until) {
        busy.computeIfAbsent(sensor, any -> new ArrayList<>()).add(new Instant[] {from.minus(Duration.ofHours(6)), until.plus(Duration.ofHours(6))});
    }

    private void ifFree(SensorKey sensor, Instant from, Instant until, Runnable plan) {
        if (isFree(sensor, from, until)) {
            keepBusy(sensor, from, until);
            plan.run();
        }
    }

    /** Not while nothing is heard, nor soon after it. */
    private static Instant heard(Instant at, List<Instant[]> down) {
        return down.stream().filter(each -> at.isAfter(each[0].minusSeconds(60)) && at.isBefore(each[1].plus(Duration.ofMinutes(SHORTEST_LOSS_MINUTES)))).findFirst()
                .map(each -> each[1].plus(Duration.ofMinutes(SHORTEST_LOSS_MINUTES + 1))).orElse(at);
    }

    /** The next of a kind of which there are so many a year. */
    private Instant next(Instant after, double aYear) {
        double days = -Math.log(1 - random.nextDouble()) * DAYS_A_YEAR / (aYear * OFTEN);
        return after.plusSeconds(1 + (long) (days * 86_400));
    }

    // What happens

    private void act(Instant at, Runnable what) {
        acts.add(new Act(at, order++, what));
    }

    /** From one stored time to the next; whatever is due is done at its own moment, as the machine's clock has it. */
    private void passesUntil(Instant trueTime) {
        Instant end = trueTime.plus(ahead);
        if (isDown) {
            clock.stopAt(end);
            return;
        }
        Instant worked = Instant.MIN;
        for (Optional<Instant> next = nextDue(end); next.isPresent(); next = nextDue(end)) {
            Instant at = next.get().isAfter(clock.instant()) ? next.get() : clock.instant();
            // What waits for something else, as silence for a backlog that has to be in first, is looked at again a little later.
            Instant moment = at.isAfter(worked) ? at : worked.plusSeconds(5);
            if (moment.isAfter(end)) {
                break;
            }
            clock.stopAt(moment);
            listenedAllAlong();
            fixture.work();
            worked = moment;
        }
        clock.stopAt(end);
        listenedAllAlong();
    }

    /** What the loop for it would have said every few seconds: nothing was missed since the moment before. */
    private void listenedAllAlong() {
        fixture.listened();
        QuarkusTransaction.requiringNew().run(() -> entities.createNativeQuery("UPDATE listening SET last_listened_at = :now WHERE id = 1").setParameter("now", clock.instant())
                .executeUpdate());
    }

    private Optional<Instant> nextDue(Instant until) {
        return QuarkusTransaction.requiringNew().call(() -> Optional.ofNullable(entities.createNativeQuery("""
                SELECT MIN(at) FROM (SELECT MIN(due_at) AS at FROM deadline
                                     UNION ALL SELECT MIN(silence_due) FROM sensor_status) ahead""").getSingleResult()).map(Rows::instant)).filter(at -> !at.isAfter(until));
    }

    /** What waited at the broker comes in its order, and only then is silence judged. */
    private void comesBack() {
        isDown = false;
        List<Arrival> backlog = waiting.stream().map(each -> new Arrival(each.topic(), each.payload(), clock.instant(), true)).toList();
        waiting.clear();
        if (!backlog.isEmpty()) {
            fixture.take(backlog.toArray(Arrival[]::new));
        }
        fixture.listened();
        fixture.work();
    }

    private void report(List<SensorKey> group) {
        take(group.stream().filter(supplied::containsKey).map(sensor -> arrival(sensor, supplied.get(sensor))).toList());
        add("reports", group.size());
    }

    private void says(SensorKey sensor, boolean isSupplied) {
        supplied.put(sensor, isSupplied);
        take(List.of(arrival(sensor, isSupplied)));
        add("reports", 1);
    }

    private void link(SensorKey sensor, String word) {
        take(List.of(new Arrival("lampkeeper/v1/" + sensor.deviceId() + "/link", word.getBytes(StandardCharsets.UTF_8), clock.instant(), false)));
    }

    private void take(List<Arrival> arrivals) {
        if (isDown) {
            waiting.addAll(arrivals);
        } else if (!arrivals.isEmpty()) {
            fixture.take(arrivals.toArray(Arrival[]::new));
        }
    }

    /** Sensors have the true time. */
    private Arrival arrival(SensorKey sensor, boolean isSupplied) {
        String pack = "[{\"bn\":\"" + sensor.baseName() + "\",\"bt\":" + clock.instant().minus(ahead).getEpochSecond() + ",\"n\":\"supply\",\"vb\":" + isSupplied + ",\"ut\":"
                + PROMISE.toSeconds() + "},{\"n\":\"seq\",\"v\":" + ++said + "}]";
        return new Arrival("lampkeeper/v1/" + sensor.deviceId() + "/report", pack.getBytes(StandardCharsets.UTF_8), clock.instant(), false);
    }

    // What became of it

    private void count(List<Place> places, long first, long firstMessage) {
        Map<Loss, Long> raised = new HashMap<>();
        Map<Long, List<Instant>> silent = new HashMap<>();
        Map<Long, List<Instant>> silentSites = new HashMap<>();
        long invented = 0;
        long alarms = 0;
        Map<Long, List<Loss>> known = losses.stream().collect(Collectors.groupingBy(loss -> loss.sensor().cabinetId()));
        for (Object[] row : rows("SELECT cabinet_id, site_id, at, body FROM journal_entry WHERE id > " + first + " AND kind IN ('alarm-raised', 'alarm-raised-again') ORDER BY id")) {
            String body = (String) row[3];
            alarms++;
            if (body.contains("\"SUPPLY_LOST\"")) {
                Matcher since = SINCE.matcher(body);
                assertThat(since.find()).as(body).isTrue();
                Instant began = Instant.parse(since.group(1));
                Optional<Loss> loss = known.getOrDefault(Rows.number(row[0]), List.of()).stream().filter(each -> isItsBeginning(each, began)).findFirst();
                loss.ifPresent(each -> raised.merge(each, 1L, Long::sum));
                invented += loss.isPresent() ? 0 : 1;
            } else if (body.contains("\"NOT_HEARD\"")) {
                silent.computeIfAbsent(Rows.number(row[0]), any -> new ArrayList<>()).add(Rows.instant(row[2]));
            } else if (body.contains("\"PROBABLE_SITE_LOSS\"")) {
                silentSites.computeIfAbsent(Rows.number(row[1]), any -> new ArrayList<>()).add(Rows.instant(row[2]));
            }
        }
        add("cabinets", (long) places.size() * PER_SITE);
        add("losses", losses.size());
        add("silences", silences.size());
        add("silent sites", siteSilences.size());
        add("alarms raised", alarms);
        add("losses not raised", losses.stream().filter(loss -> !raised.containsKey(loss)).count());
        add("losses raised more than once", raised.values().stream().filter(times -> times > 1).count());
        add("raised without a loss", invented);
        add("losses nobody was told of", number("SELECT COUNT(*) FROM alarm a WHERE a.kind = 'SUPPLY_LOST' AND a.raised_at >= '" + WatchFixture.NOON + "' AND a.id IN (SELECT j.alarm_id FROM"
                + " journal_entry j WHERE j.id > " + first + " AND j.kind = 'alarm-raised') AND NOT EXISTS (SELECT 1 FROM outgoing_message m WHERE m.call_out_id = a.call_out_id)"));
        add("losses that did not end", number("SELECT COUNT(*) FROM alarm a WHERE a.kind = 'SUPPLY_LOST' AND a.live AND a.id IN (SELECT j.alarm_id FROM journal_entry j WHERE j.id > "
                + first + " AND j.kind = 'alarm-raised')"));
        countSilences("silences", silences, silent);
        countSilences("silent sites", siteSilences, silentSites);
        add("messages", number("SELECT COUNT(*) FROM outgoing_message WHERE id > " + firstMessage));
        add("messages not delivered", number("SELECT COUNT(*) FROM outgoing_message WHERE state = 'UNDELIVERED' AND id > " + firstMessage));
        add("entries of the journal", number("SELECT COUNT(*) FROM journal_entry WHERE id > " + first));
    }

    /** Within the time of a silence, and what a clock may be off; a sensor whose site is silent may be called silent besides. */
    private void countSilences(String what, List<Silence> all, Map<Long, List<Instant>> raised) {
        long none = 0;
        long several = 0;
        for (Silence silence : all) {
            long times = raised.getOrDefault(silence.id(), List.of()).stream().filter(at -> !at.isBefore(silence.from().minusSeconds(300)) && !at.isAfter(silence.until().plusSeconds(300)))
                    .count();
            none += times == 0 ? 1 : 0;
            several += times > 1 ? 1 : 0;
        }
        add(what + " not raised", none);
        add(what + " raised more than once", several);
    }

    private String told(long seconds) {
        StringBuilder words = new StringBuilder(String.format(Locale.ROOT, "%d cabinets for %d days, %.1f cabinet-years, seed %d, in %d s%n", CABINETS, DAYS, CABINETS * DAYS / DAYS_A_YEAR,
                SEED, seconds));
        table.forEach((what, times) -> words.append(String.format(Locale.ROOT, "%10d  %s%n", times, what)));
        return words.toString();
    }

    private void add(String what, long times) {
        table.merge(what, times, Long::sum);
    }

    /** A report from ahead of the machine's clock is dated by that: a loss then began as much earlier as the clock is behind. */
    private static boolean isItsBeginning(Loss loss, Instant since) {
        return !since.isAfter(loss.from()) && !since.isBefore(loss.from().minus(FURTHEST_BEHIND));
    }

    private void run(String sql) {
        QuarkusTransaction.requiringNew().run(() -> entities.createNativeQuery(sql).executeUpdate());
    }

    private long number(String sql) {
        return QuarkusTransaction.requiringNew().call(() -> Rows.number(entities.createNativeQuery(sql).getSingleResult()));
    }

    private List<Object[]> rows(String sql) {
        return QuarkusTransaction.requiringNew().call(() -> ((List<?>) entities.createNativeQuery(sql).getResultList()).stream().map(row -> (Object[]) row).toList());
    }
}
