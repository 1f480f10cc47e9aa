package org.lampkeeper.watch;

import java.nio.charset.StandardCharsets;
import java.sql.SQLException;
import java.time.Duration;
import java.time.Instant;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.HashMap;
import java.util.HashSet;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.PriorityQueue;
import java.util.Random;
import java.util.Set;
import java.util.concurrent.CompletableFuture;
import java.util.function.Supplier;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import java.util.stream.Collectors;
import java.util.stream.Stream;

import jakarta.persistence.EntityManager;

import io.quarkus.narayana.jta.QuarkusTransaction;

import org.lampkeeper.message.MailNow;
import org.lampkeeper.register.Rows;
import org.lampkeeper.register.SensorKey;
import org.lampkeeper.telemetry.Arrival;
import org.lampkeeper.testing.MailSink;
import org.lampkeeper.testing.MovedClock;
import org.lampkeeper.testing.TestDatabase;
import org.lampkeeper.watch.WatchFixture.Place;
import org.lampkeeper.watch.WatchFixture.Raised;

/**
 * So many cabinets in so many days, with faults by the lot of one seed: losses, dips, floods of a whole site, silent sensors, silent sites, times in which
 * the service does nothing while reports wait for it, a clock that steps, reports that come twice, and on a database that allows it connections that
 * break in the middle of the work. What happens is written down as it is made up, and at the end every loss must have been raised once, told, and ended;
 * every silence likewise; and nothing else. Time passes from one moment at which something is made up, or falls due in the database, to the next.
 */
final class SoakLife {

    static final double DAYS_A_YEAR = 365.25;

    private static final int PER_SITE = 5;
    private static final Duration REPORT_EVERY = Duration.ofDays(1);
    private static final Duration PROMISE = Duration.ofHours(25);
    /** So many moments a day at which some of the sites report, so that not all of them fall due at once. */
    private static final int GROUPS = 6;
    /** What the service must be told in time to call it a loss: the confirmation, and what a clock may be off. */
    private static final int SHORTEST_LOSS_MINUTES = 12;
    private static final Duration FURTHEST_BEHIND = Duration.ofMinutes(1);
    /** A promise, its grace, the longest time without the service and what a clock is off come to less. */
    private static final Duration SHORTEST_SILENCE = Duration.ofHours(30);
    /** Well within the time after which a channel counts as unproven, so that the climb is that of people who can be reached. */
    private static final Duration PROVEN_EVERY = Duration.ofDays(60);
    /** What the settings allow in one transaction of the intake. */
    private static final int BATCH = 1_000;
    /** A pool of connections that have all been broken is new after fewer tries. */
    private static final int TRIES = 60;
    private static final Pattern SINCE = Pattern.compile("\"since\":\"([^\"]+)\"");

    private final int cabinets;
    private final int days;
    /** So that a few days have some of everything, and years have what years have. */
    private final double often;
    private final Random random;
    private final WatchFixture fixture;
    private final AlarmDesk desk;
    private final DeadlineHandler deadlines;
    private final DeadlineLoop deadlineLoop;
    private final SilenceSweep sweep;
    private final Listening listening;
    private final MailNow mail;
    private final EntityManager entities;
    private final MovedClock clock;
    private final Optional<TestDatabase> breaking;

    private final PriorityQueue<Act> acts = new PriorityQueue<>(Comparator.comparing(Act::at).thenComparing(Act::order));
    private final Map<String, Long> table = new LinkedHashMap<>();
    private final List<String> wrong = new ArrayList<>();
    private final List<Place> places = new ArrayList<>();
    private final List<Loss> losses = new ArrayList<>();
    private final List<Silence> silences = new ArrayList<>();
    private final List<Silence> siteSilences = new ArrayList<>();
    private final List<Arrival> waiting = new ArrayList<>();
    private final Map<SensorKey, Boolean> supplied = new HashMap<>();
    private final Map<SensorKey, List<Span>> busy = new HashMap<>();
    private final List<Span> down = new ArrayList<>();
    private final List<Instant> steps = new ArrayList<>();
    private final Set<String> mails = new HashSet<>();
    private long order;
    private long said;
    private boolean isDown;
    /** How far the machine's clock is ahead of the truth, in which everything here happens. */
    private Duration ahead = Duration.ZERO;

    SoakLife(int cabinets, int days, long seed, WatchFixture fixture, AlarmDesk desk, DeadlineHandler deadlines, DeadlineLoop deadlineLoop, SilenceSweep sweep, Listening listening,
            MailNow mail, EntityManager entities, MovedClock clock, Optional<TestDatabase> breaking) {
        if (cabinets < 2 * PER_SITE || days < 5) {
            throw new IllegalArgumentException("a life of " + cabinets + " cabinets and " + days + " days has no room for a silence, at least 10 and 5 are needed");
        }
        this.cabinets = cabinets;
        this.days = days;
        this.often = days < 100 ? 12 : 1;
        this.random = new Random(seed);
        this.fixture = fixture;
        this.desk = desk;
        this.deadlines = deadlines;
        this.deadlineLoop = deadlineLoop;
        this.sweep = sweep;
        this.listening = listening;
        this.mail = mail;
        this.entities = entities;
        this.clock = clock;
        this.breaking = breaking;
    }

    /** What happens at a moment of true time. */
    private record Act(Instant at, long order, Runnable what) {
    }

    private record Span(Instant from, Instant until) {
        private boolean meets(Instant begin, Instant end) {
            return begin.isBefore(until) && end.isAfter(from);
        }

        private Span wider(Duration by) {
            return new Span(from.minus(by), until.plus(by));
        }
    }

    private record Loss(SensorKey sensor, Instant from, Instant until) {
    }

    /** {@code id}: of the cabinet, or of the site. */
    private record Silence(long id, long siteId, Instant from, Instant until) {
        /** Within its time, and what a clock may be off. */
        private boolean has(Instant at) {
            return !at.isBefore(from.minusSeconds(300)) && !at.isAfter(until.plusSeconds(300));
        }
    }

    /** From the moment that the clock shows on; returns what came of it, in the order in which it is told. */
    Map<String, Long> live() {
        for (int i = 0; i < cabinets / PER_SITE; i++) {
            Place place = fixture.placeOfNow(PER_SITE);
            places.add(place);
            place.sensors().forEach(sensor -> supplied.put(sensor, true));
        }
        Instant begin = clock.instant().plusSeconds(60);
        Instant end = begin.plus(Duration.ofDays(days));
        long first = number("SELECT COALESCE(MAX(id), 0) FROM journal_entry");
        long firstMessage = number("SELECT COALESCE(MAX(id), 0) FROM outgoing_message");
        long firstAlarm = number("SELECT COALESCE(MAX(id), 0) FROM alarm");
        long notRecorded = mail.notRecorded();
        MailSink.shared().takeMessageIds();
        run("INSERT INTO deadline (id, due_at, kind, subject_id, subject_version, attempts) VALUES (nextval('deadline_seq'), '" + begin + "', 'RETENTION', 0, 0, 0)");
        planReports(begin, end);
        planFaults(begin, end);
        while (!acts.isEmpty()) {
            Act act = acts.poll();
            passesUntil(act.at());
            act.what().run();
            if (!isDown) {
                sendMail();
            }
        }
        passesUntil(end.plus(Duration.ofHours(13)));
        mailsSoFar();
        add("mails sent without their outcome on record", mail.notRecorded() - notRecorded);

        count(first, firstMessage, firstAlarm);
        return table;
    }

    /** A line for each of the first of what was not as it should be; empty: all was. */
    List<String> wrong() {
        return List.copyOf(wrong);
    }

    // What is to happen

    private void planReports(Instant begin, Instant end) {
        act(begin, () -> report(supplied.keySet().stream().sorted(Comparator.comparing(SensorKey::sensorId)).toList()));
        for (int number = 0; number < GROUPS; number++) {
            List<SensorKey> group = new ArrayList<>();
            for (int i = number; i < places.size(); i += GROUPS) {
                group.addAll(places.get(i).sensors());
            }
            if (!group.isEmpty()) {
                for (Instant at = begin.plus(REPORT_EVERY.dividedBy(GROUPS).multipliedBy(number)).plusSeconds(60); at.isBefore(end.plus(Duration.ofHours(13))); at = at.plus(REPORT_EVERY)) {
                    act(at, () -> report(group));
                }
            }
        }
    }

    private void planFaults(Instant begin, Instant end) {
        Instant last = end.minus(Duration.ofDays(1));
        for (Instant at = begin.plus(Duration.ofDays(30)); at.isBefore(end); at = at.plus(Duration.ofDays(30))) {
            act(at, this::mailsSoFar);
        }
        for (Instant at = begin.plus(PROVEN_EVERY); at.isBefore(end); at = at.plus(PROVEN_EVERY)) {
            act(at, () -> places.forEach(place -> place.people().forEach(person -> stubborn(() -> {
                fixture.prove(person);
                return 0;
            }))));
        }
        // The service first: what happens to a cabinet ends when it can hear again.
        for (Instant at = next(begin, 6); at.isBefore(last); at = next(at.plus(Duration.ofHours(4)), 6)) {
            Instant up = at.plus(Duration.ofMinutes(5 + random.nextInt(115)));
            down.add(new Span(at, up));
            act(at, () -> isDown = true);
            act(up, this::comesBack);
            add("times the service did nothing", 1);
        }
        for (Instant at = next(begin, 4); at.isBefore(last); at = next(at.plus(Duration.ofHours(30)), 4)) {
            Duration by = Duration.ofSeconds(random.nextInt(180) - FURTHEST_BEHIND.toSeconds());
            Instant back = at.plus(Duration.ofHours(1 + random.nextInt(24)));
            steps.addAll(List.of(at, back));
            act(at, () -> ahead = by);
            act(back, () -> ahead = Duration.ZERO);
            add("steps of the clock, there and back", 1);
        }
        if (breaking.isPresent()) {
            for (Instant at = next(begin, 400); at.isBefore(last); at = next(at, 400)) {
                act(at, () -> breakConnections(breaking.get()));
            }
        }
        // One of each in every life, whatever the lot says.
        silent(places.get(0), places.get(0).first(), begin.plus(Duration.ofDays(1)));
        silentSite(places.get(1), begin.plus(Duration.ofDays(2)));
        for (Place place : places) {
            for (Instant at = next(begin, 2); at.isBefore(last); at = next(at, 2)) {
                flood(place, at);
            }
            for (Instant at = next(begin, 1); at.isBefore(last); at = next(at, 1)) {
                silentSite(place, at);
            }
            for (SensorKey sensor : place.sensors()) {
                for (Instant at = next(begin, 4); at.isBefore(last); at = next(at, 4)) {
                    Instant until = heard(at.plus(Duration.ofMinutes(SHORTEST_LOSS_MINUTES + random.nextInt(600))));
                    if (isFree(sensor, at, until)) {
                        keepBusy(sensor, at, until);
                        lose(place, sensor, at, until);
                    }
                }
                for (Instant at = next(begin, 6); at.isBefore(last); at = next(at, 6)) {
                    dip(sensor, at);
                }
                for (Instant at = next(begin, 2); at.isBefore(last.minus(Duration.ofDays(2))); at = next(at, 2)) {
                    silent(place, sensor, at);
                }
            }
        }
    }

    private void lose(Place place, SensorKey sensor, Instant from, Instant until) {
        losses.add(new Loss(sensor, from, until));
        act(from, () -> says(sensor, false));
        act(until, () -> says(sensor, true));
        takenAfterSomeTime(place, from);
    }

    /** Somebody takes what is open; seldom, nobody does for long, and it climbs. */
    private void takenAfterSomeTime(Place place, Instant from) {
        Duration after = random.nextInt(20) == 0 ? Duration.ofMinutes(90) : Duration.ofSeconds(60 + random.nextInt(900));
        long person = place.people().get(random.nextInt(place.people().size()));
        act(from.plus(after), () -> take(place, person));
    }

    /** Whoever finds the service away tries again. */
    private void take(Place place, long person) {
        if (isDown) {
            act(clock.instant().minus(ahead).plus(Duration.ofMinutes(10)), () -> take(place, person));
            return;
        }
        for (Raised alarm : stubborn(() -> fixture.openAlarms(place))) {
            stubborn(() -> desk.take(alarm.id(), person));
        }
    }

    private void dip(SensorKey sensor, Instant from) {
        Instant until = from.plusSeconds(3 + random.nextInt(12));
        boolean isHeardAtOnce = down.stream().noneMatch(each -> each.wider(Duration.ofMinutes(1)).meets(from, until));
        // A clock that gains two minutes in a dip has seen it last for two minutes.
        boolean isTimeEven = steps.stream().noneMatch(each -> new Span(each, each).wider(Duration.ofMinutes(5)).meets(from, until));
        if (isHeardAtOnce && isTimeEven && isFree(sensor, from, until)) {
            keepBusy(sensor, from, until);
            act(from, () -> says(sensor, false));
            act(until, () -> says(sensor, true));
            add("dips", 1);
        }
    }

    private void silent(Place place, SensorKey sensor, Instant from) {
        Instant until = from.plus(SHORTEST_SILENCE).plus(Duration.ofMinutes(random.nextInt(600)));
        if (isFree(sensor, from, until)) {
            keepBusy(sensor, from, until);
            silences.add(new Silence(sensor.cabinetId(), place.siteId(), from, until));
            act(from, () -> supplied.remove(sensor));
            act(until, () -> says(sensor, true));
            for (Instant at = from.plus(Duration.ofMinutes(90)); at.isBefore(until); at = at.plus(Duration.ofHours(3))) {
                takenAfterSomeTime(place, at);
            }
        }
    }

    private void flood(Place place, Instant at) {
        Instant until = heard(at.plus(Duration.ofMinutes(30 + random.nextInt(300))));
        if (place.sensors().stream().allMatch(sensor -> isFree(sensor, at, until))) {
            add("floods of a site", 1);
            for (SensorKey sensor : place.sensors()) {
                keepBusy(sensor, at, until);
                lose(place, sensor, at.plusSeconds(random.nextInt(30)), until.plusSeconds(random.nextInt(60)));
            }
        }
    }

    private void silentSite(Place place, Instant at) {
        Instant until = heard(at.plus(Duration.ofMinutes(10 + random.nextInt(50))));
        boolean isHeard = down.stream().noneMatch(each -> each.wider(Duration.ofMinutes(5)).meets(at, at));
        if (isHeard && place.sensors().stream().allMatch(sensor -> isFree(sensor, at, until))) {
            siteSilences.add(new Silence(place.siteId(), place.siteId(), at, until));
            for (SensorKey sensor : place.sensors()) {
                keepBusy(sensor, at, until);
                act(at.plusSeconds(random.nextInt(20)), () -> {
                    supplied.remove(sensor);
                    link(sensor, "down");
                });
                act(until.plusSeconds(random.nextInt(20)), () -> {
                    link(sensor, "up");
                    says(sensor, true);
                });
            }
            takenAfterSomeTime(place, at.plusSeconds(120));
        }
    }

    private boolean isFree(SensorKey sensor, Instant from, Instant until) {
        return busy.getOrDefault(sensor, List.of()).stream().noneMatch(each -> each.meets(from, until));
    }

    /** What comes within six hours before or after would be another matter for whoever takes it. */
    private void keepBusy(SensorKey sensor, Instant from, Instant until) {
        busy.computeIfAbsent(sensor, any -> new ArrayList<>()).add(new Span(from, until).wider(Duration.ofHours(6)));
    }

    /** Not while nothing is heard, nor soon after it. */
    private Instant heard(Instant at) {
        return down.stream().filter(each -> at.isAfter(each.from().minusSeconds(60)) && at.isBefore(each.until().plus(Duration.ofMinutes(SHORTEST_LOSS_MINUTES)))).findFirst()
                .map(each -> each.until().plus(Duration.ofMinutes(SHORTEST_LOSS_MINUTES + 1))).orElse(at);
    }

    /** The next of a kind of which there are so many a year. */
    private Instant next(Instant after, double aYear) {
        double later = -Math.log(1 - random.nextDouble()) * DAYS_A_YEAR / (aYear * often);
        return after.plusSeconds(1 + (long) (later * 86_400));
    }

    // What happens

    private void act(Instant at, Runnable what) {
        acts.add(new Act(at, order++, what));
    }

    /** From one stored time to the next; whatever is due is done at its own moment, as the machine's clock has it. */
    private void passesUntil(Instant trueTime) {
        Instant end = trueTime.plus(ahead);
        Instant worked = Instant.MIN;
        while (!isDown) {
            Optional<Instant> due = nextDue();
            if (due.isEmpty()) {
                break;
            }
            Instant at = due.get().isAfter(clock.instant()) ? due.get() : clock.instant();
            // What waits for something else, as silence for a backlog that has to be in first, is looked at again a little later.
            Instant moment = at.isAfter(worked) ? at : worked.plusSeconds(5);
            if (moment.isAfter(end)) {
                break;
            }
            clock.stopAt(moment);
            work();
            worked = moment;
        }
        clock.stopAt(end);
    }

    /** When there is something to do, as the tables have it. Silence is what is over its limit, not what is at it. */
    private Optional<Instant> nextDue() {
        Object[] row = stubborn(() -> QuarkusTransaction.requiringNew().call(() -> (Object[]) entities.createNativeQuery("""
                SELECT (SELECT MIN(due_at) FROM deadline), (SELECT MIN(next_attempt_at) FROM outgoing_message), (SELECT MIN(silence_due) FROM sensor_status)""").getSingleResult()));
        return Stream.of(Optional.ofNullable(row[0]).map(Rows::instant), Optional.ofNullable(row[1]).map(Rows::instant),
                Optional.ofNullable(row[2]).map(Rows::instant).map(at -> at.plusMillis(1))).flatMap(Optional::stream).min(Comparator.naturalOrder());
    }

    /** What the loops of the service do, each until it finds nothing more. */
    private void work() {
        stubborn(() -> {
            listenedAllAlong();
            while (sweep.sweep(clock.instant()) > 0) {
                // until nobody is overdue
            }
            return 0;
        });
        stubborn(() -> {
            for (List<Long> due = deadlines.due(64); !due.isEmpty(); due = deadlines.due(64)) {
                due.forEach(deadlineLoop::handleOrPutOff);
            }
            return deadlines.handleLooks(LookLoop.TOGETHER, claimed -> { });
        });
        sendMail();
    }

    /** What the loop for it would have said every few seconds: nothing was missed since the moment before. */
    private void listenedAllAlong() {
        QuarkusTransaction.requiringNew().run(() -> {
            entities.createNativeQuery("UPDATE ingest_slot SET listened_until = :now").setParameter("now", clock.instant()).executeUpdate();
            entities.createNativeQuery("UPDATE listening SET last_listened_at = :now WHERE id = 1").setParameter("now", clock.instant()).executeUpdate();
        });
    }

    private void sendMail() {
        stubborn(() -> {
            mail.sendDue();
            return 0;
        });
    }

    /** What waited at the broker comes in its order, and only then is silence judged. */
    private void comesBack() {
        isDown = false;
        List<Arrival> backlog = waiting.stream().map(each -> new Arrival(each.topic(), each.payload(), clock.instant(), true)).toList();
        waiting.clear();
        take(backlog);
        stubborn(() -> {
            fixture.listened();
            listening.look(clock.instant());
            return 0;
        });
        work();
    }

    private void report(List<SensorKey> group) {
        take(group.stream().filter(supplied::containsKey).map(sensor -> arrival(sensor, supplied.get(sensor))).toList());
    }

    private void says(SensorKey sensor, boolean isSupplied) {
        supplied.put(sensor, isSupplied);
        take(List.of(arrival(sensor, isSupplied)));
    }

    private void link(SensorKey sensor, String word) {
        take(List.of(new Arrival("lampkeeper/v1/" + sensor.deviceId() + "/link", word.getBytes(StandardCharsets.UTF_8), clock.instant(), false)));
    }

    /** All at once, as many as the intake takes in one transaction; now and then a broker has not heard that it was taken, and sends it once more. */
    private void take(List<Arrival> arrivals) {
        add("reports", arrivals.size());
        if (isDown) {
            waiting.addAll(arrivals);
            return;
        }
        for (int from = 0; from < arrivals.size(); from += BATCH) {
            Arrival[] batch = arrivals.subList(from, Math.min(arrivals.size(), from + BATCH)).toArray(Arrival[]::new);
            int times = random.nextInt(20) == 0 ? 2 : 1;
            add("batches of reports that came twice", times - 1L);
            for (int i = 0; i < times; i++) {
                stubborn(() -> {
                    fixture.take(batch);
                    return 0;
                });
            }
        }
    }

    /** Sensors have the true time. */
    private Arrival arrival(SensorKey sensor, boolean isSupplied) {
        String pack = "[{\"bn\":\"" + sensor.baseName() + "\",\"bt\":" + clock.instant().minus(ahead).getEpochSecond() + ",\"n\":\"supply\",\"vb\":" + isSupplied + ",\"ut\":"
                + PROMISE.toSeconds() + "},{\"n\":\"seq\",\"v\":" + ++said + "}]";
        return new Arrival("lampkeeper/v1/" + sensor.deviceId() + "/report", pack.getBytes(StandardCharsets.UTF_8), clock.instant(), false);
    }

    /** While the next report of all is taken, another thread ends every connection of the service to its database. */
    private void breakConnections(TestDatabase database) {
        add("times the connections to the database broke", 1);
        CompletableFuture<Void> broken = CompletableFuture.runAsync(() -> {
            try {
                database.ask("SELECT COUNT(pg_terminate_backend(pid)) FROM pg_stat_activity WHERE pid <> pg_backend_pid() AND datname = current_database()");
            } catch (SQLException failed) {
                throw new IllegalStateException("connections could not be broken", failed);
            }
        });
        report(places.get(random.nextInt(places.size())).sensors());
        broken.join();
    }

    /** As the loops and the slots of the service: what failed is done again, and nothing of it was kept. */
    private <T> T stubborn(Supplier<T> work) {
        for (int failed = 0;; failed++) {
            try {
                return work.get();
            } catch (RuntimeException broken) {
                if (breaking.isEmpty() || failed == TRIES) {
                    throw broken;
                }
                add("work that failed and was done again", 1);
            }
        }
    }

    // What became of it

    /** What the server has accepted since it was asked last. */
    private void mailsSoFar() {
        List<String> accepted = MailSink.shared().takeMessageIds();
        add("mails accepted by their server", accepted.size());
        add("mails accepted more than once", accepted.stream().filter(id -> !mails.add(id)).count());
    }

    private void count(long first, long firstMessage, long firstAlarm) {
        Map<Loss, Long> raised = new HashMap<>();
        Map<Silence, Long> silent = new HashMap<>();
        Map<Long, List<Loss>> known = losses.stream().collect(Collectors.groupingBy(loss -> loss.sensor().cabinetId()));
        Map<Long, List<Silence>> ofCabinet = silences.stream().collect(Collectors.groupingBy(Silence::id));
        Map<Long, List<Silence>> ofSite = siteSilences.stream().collect(Collectors.groupingBy(Silence::id));
        List<String> invented = new ArrayList<>();
        List<Object[]> all = rows("SELECT cabinet_id, site_id, at, body, id FROM journal_entry WHERE id > " + first + " AND kind IN ('alarm-raised', 'alarm-raised-again') ORDER BY id");
        for (Object[] row : all) {
            String body = (String) row[3];
            Instant at = Rows.instant(row[2]);
            List<Silence> site = ofSite.getOrDefault(Rows.number(row[1]), List.of()).stream().filter(each -> each.has(at)).toList();
            if (body.contains("\"SUPPLY_LOST\"")) {
                Matcher since = SINCE.matcher(body);
                Instant began = since.find() ? Instant.parse(since.group(1)) : Instant.MIN;
                Optional<Loss> loss = known.getOrDefault(Rows.number(row[0]), List.of()).stream().filter(each -> isItsBeginning(each, began)).findFirst();
                loss.ifPresentOrElse(each -> raised.merge(each, 1L, Long::sum), () -> invented.add(at + " cabinet " + row[0] + " " + body));
            } else if (body.contains("\"NOT_HEARD\"")) {
                Optional<Silence> own = ofCabinet.getOrDefault(Rows.number(row[0]), List.of()).stream().filter(each -> each.has(at)).findFirst();
                own.ifPresent(each -> silent.merge(each, 1L, Long::sum));
                if (own.isEmpty() && site.isEmpty()) {
                    invented.add(at + " cabinet " + row[0] + " " + body);
                }
            } else if (body.contains("\"PROBABLE_SITE_LOSS\"")) {
                site.forEach(each -> silent.merge(each, 1L, Long::sum));
                // Two sensors of one site that promised the same moment and are silent both are a probable loss as well.
                if (site.isEmpty() && silences.stream().filter(each -> each.siteId() == Rows.number(row[1]) && each.has(at)).count() < 2) {
                    invented.add(at + " site " + row[1] + " " + body);
                }
            }
        }
        add("cabinets", cabinets);
        add("losses", losses.size());
        add("silences", silences.size());
        add("silent sites", siteSilences.size());
        add("alarms raised", all.size());
        mustBeNone("losses not raised", losses.stream().filter(loss -> !raised.containsKey(loss)).map(Loss::toString).toList());
        mustBeNone("losses raised more than once", raised.entrySet().stream().filter(each -> each.getValue() > 1).map(Object::toString).toList());
        mustBeNone("silences not raised", Stream.concat(silences.stream(), siteSilences.stream()).filter(each -> !silent.containsKey(each)).map(Silence::toString).toList());
        mustBeNone("silences raised more than once", silent.entrySet().stream().filter(each -> each.getValue() > 1).map(Object::toString).toList());
        mustBeNone("raised without anything", invented);
        mustBeNone("alarms nobody was told of", lines("SELECT a.id, a.kind, a.raised_at, a.cabinet_id FROM alarm a WHERE a.id > " + firstAlarm
                + " AND a.kind IN ('SUPPLY_LOST', 'NOT_HEARD', 'PROBABLE_SITE_LOSS')"
                + " AND NOT EXISTS (SELECT 1 FROM outgoing_message m WHERE m.call_out_id = a.call_out_id AND m.state = 'SENT')"));
        mustBeNone("alarms that did not end", lines("SELECT a.id, a.kind, a.raised_at, a.cabinet_id FROM alarm a WHERE a.id > " + firstAlarm
                + " AND a.kind IN ('SUPPLY_LOST', 'NOT_HEARD', 'PROBABLE_SITE_LOSS') AND a.live = TRUE"));
        add("messages", number("SELECT COUNT(*) FROM outgoing_message WHERE id > " + firstMessage));
        mustBeNone("messages not delivered", lines("SELECT id, purpose, state, last_error FROM outgoing_message WHERE id > " + firstMessage + " AND state IN ('UNDELIVERED', 'WAITING')"));
        mustBeNone("messages made twice", lines("SELECT call_out_id, person_id, created_at, COUNT(*) FROM outgoing_message WHERE id > " + firstMessage
                + " AND call_out_id IS NOT NULL GROUP BY call_out_id, person_id, channel_id, created_at, subject, body HAVING COUNT(*) > 1"));
        long sent = number("SELECT COUNT(*) FROM outgoing_message WHERE id > " + firstMessage + " AND state = 'SENT'");
        long repeats = table.getOrDefault("mails accepted more than once", 0L);
        mustBeNone("mails on record that no server has, or the other way round", sent == mails.size() ? List.of() : List.of(sent + " on record, " + mails.size() + " accepted"));
        mustBeNone("mails that came twice though their outcome was on record",
                repeats <= table.getOrDefault("mails sent without their outcome on record", 0L) ? List.of() : List.of(repeats + " repeats"));
        add("entries of the journal", number("SELECT COUNT(*) FROM journal_entry WHERE id > " + first));
    }

    private void mustBeNone(String what, List<String> found) {
        add(what, found.size());
        found.stream().limit(10).forEach(each -> wrong.add(what + ": " + each));
    }

    /** A report from ahead of the machine's clock is dated by that: a loss then began as much earlier as the clock is behind. */
    private static boolean isItsBeginning(Loss loss, Instant since) {
        return !since.isAfter(loss.from()) && !since.isBefore(loss.from().minus(FURTHEST_BEHIND));
    }

    private void add(String what, long times) {
        table.merge(what, times, Long::sum);
    }

    private void run(String sql) {
        QuarkusTransaction.requiringNew().run(() -> entities.createNativeQuery(sql).executeUpdate());
    }

    private long number(String sql) {
        return stubborn(() -> QuarkusTransaction.requiringNew().call(() -> Rows.number(entities.createNativeQuery(sql).getSingleResult())));
    }

    private List<String> lines(String sql) {
        return rows(sql).stream().map(row -> Stream.of(row).map(String::valueOf).collect(Collectors.joining(" "))).toList();
    }

    private List<Object[]> rows(String sql) {
        return stubborn(() -> QuarkusTransaction.requiringNew().call(() -> ((List<?>) entities.createNativeQuery(sql).getResultList()).stream().map(row -> (Object[]) row).toList()));
    }
}
