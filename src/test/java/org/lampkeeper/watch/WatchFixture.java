package org.lampkeeper.watch;

import java.nio.charset.StandardCharsets;
import java.time.Duration;
import java.time.Instant;
import java.time.ZoneId;
import java.time.temporal.ChronoUnit;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.OptionalInt;
import java.util.concurrent.atomic.AtomicInteger;
import java.util.function.Predicate;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.persistence.EntityManager;

import io.micrometer.core.instrument.MeterRegistry;
import io.quarkus.narayana.jta.QuarkusTransaction;
import org.eclipse.microprofile.config.inject.ConfigProperty;

import org.lampkeeper.callout.CallOutList;
import org.lampkeeper.callout.Turn;
import org.lampkeeper.electrical.Curve;
import org.lampkeeper.message.PersonChannels;
import org.lampkeeper.message.ProofAnswer;
import org.lampkeeper.register.By;
import org.lampkeeper.register.DeviceKind;
import org.lampkeeper.register.Electrician;
import org.lampkeeper.register.NewBoard;
import org.lampkeeper.register.NewCabinet;
import org.lampkeeper.register.NewCircuit;
import org.lampkeeper.register.NewPerson;
import org.lampkeeper.register.NewSensor;
import org.lampkeeper.register.NewSite;
import org.lampkeeper.register.Registration;
import org.lampkeeper.register.Rows;
import org.lampkeeper.register.SensorKey;
import org.lampkeeper.telemetry.Arrival;
import org.lampkeeper.telemetry.Reason;
import org.lampkeeper.testing.MovedClock;

/** Sites of a test's own, what their sensors say, and time that passes only when the test says so. */
@ApplicationScoped
public class WatchFixture {

    static final Instant NOON = Instant.parse("2026-12-01T12:00:00Z");
    private static final By BY = By.nobody(NOON);
    static final int PROMISE_SECONDS = 900;

    private static final AtomicInteger NUMBER = new AtomicInteger();

    private final MovedClock clock;
    private final ReportIntake intake;
    private final DeadlineHandler deadlines;
    private final SilenceSweep sweep;
    private final Listening listening;
    private final Registration registration;
    private final EntityManager entities;
    private final MeterRegistry meters;
    private final PersonChannels channels;
    private final boolean isDemo;

    WatchFixture(MovedClock clock, ReportIntake intake, DeadlineHandler deadlines, SilenceSweep sweep, Listening listening,
            Registration registration, EntityManager entities, MeterRegistry meters, PersonChannels channels,
            @ConfigProperty(name = "lampkeeper.demo", defaultValue = "false") boolean isDemo) {
        this.clock = clock;
        this.intake = intake;
        this.deadlines = deadlines;
        this.sweep = sweep;
        this.listening = listening;
        this.registration = registration;
        this.entities = entities;
        this.meters = meters;
        this.channels = channels;
        this.isDemo = isDemo;
    }

    /** A site with its cabinets, each with a sensor, all on one board, and three people with proven channels who are told 0, 10 and 10 minutes on. */
    record Place(long siteId, long boardId, List<SensorKey> sensors, List<Long> people) {

        SensorKey first() {
            return sensors.get(0);
        }

        SensorKey second() {
            return sensors.get(1);
        }
    }

    /** A message as it stands in the outbox. */
    record Told(long personId, String purpose, String subject, String body) {
    }

    /** An alarm as it stands in its table. */
    record Raised(long id, String kind, String state, boolean live, boolean open) {
    }

    /** A test that is run once more finds the sites of before in the database, but not in this class, which was loaded anew. */
    private int nextNumber() {
        int number = NUMBER.incrementAndGet();
        while (!QuarkusTransaction.requiringNew().call(() -> entities.createNativeQuery("SELECT id FROM site WHERE name = :name")
                .setParameter("name", "Heron Steps " + NUMBER.get()).getResultList()).isEmpty()) {
            number = NUMBER.incrementAndGet();
        }
        return number;
    }

    Place place(int cabinets) {
        return place(cabinets, BY);
    }

    /** The same, registered at the moment that the clock shows: what comes each month begins there, too. */
    Place placeOfNow(int cabinets) {
        return place(cabinets, By.nobody(clock.instant()));
    }

    private Place place(int cabinets, By by) {
        if (isDemo) {
            throw new IllegalStateException("cabinets of a test would be counted by the tests of the demo's pages: use the default profile");
        }
        int number = nextNumber();
        String name = "Heron Steps " + number;
        long site = registration.addSite(new NewSite(name, "1 Shore Lane", ZoneId.of("Europe/London"), "gate code 2468", "meter cupboard",
                Optional.of(new Electrician("B. Marsh", Optional.of("01632 960123")))), by).id();
        long board = registration.addBoard(new NewBoard(site, "Board A", "quay kiosk", "key 7"), by).id();
        List<SensorKey> sensors = new ArrayList<>();
        for (int i = 1; i <= cabinets; i++) {
            long cabinet = registration.addCabinet(new NewCabinet(site, "H" + number + "-" + i, name + " cabinet " + i, "by the steps",
                    "defibrillator", "below the door", new NewCircuit(board, String.valueOf(2 + i), DeviceKind.RCBO, Curve.C, 16,
                            OptionalInt.of(30), "3-core 2.5 mm² SWA, 30 m", 3, "below the cabinet")), by).cabinetId();
            sensors.add(registration.addSensor(new NewSensor(cabinet, "heron-" + number + "-" + i,
                    "urn:dev:ow:heron" + number + "x" + i + ":"), by).key());
        }
        List<Long> people = new ArrayList<>();
        for (String person : List.of("M. Teal", "R. Osk", "A. Wren")) {
            people.add(registration.addPerson(new NewPerson(person, Optional.of("p" + number + "." + people.size() + "@hallowwater.example"),
                    Optional.empty()), by).personId());
        }
        people.forEach(this::prove);
        registration.setCallOutList(site, new CallOutList(List.of(new Turn(people.get(0), Duration.ZERO),
                new Turn(people.get(1), Duration.ofMinutes(10)), new Turn(people.get(2), Duration.ofMinutes(10))), Duration.ofMinutes(30)), by);
        return new Place(site, board, List.copyOf(sensors), List.copyOf(people));
    }

    /** They show now that each of their channels reaches them. */
    void prove(long person) {
        channels.of(person).forEach(channel -> channels.proven(channel, ProofAnswer.ARRIVED, By.person(person, clock.instant())));
    }

    /** One more cabinet with its sensor at {@code across}, on the board of {@code near}. */
    SensorKey fedFrom(Place near, Place across) {
        long cabinet = registration.addCabinet(new NewCabinet(across.siteId(), "X" + across.siteId(), "Across", "quay", "telephone", "below",
                new NewCircuit(near.boardId(), "X" + across.siteId() % 1000, DeviceKind.MCB, Curve.B, 6, OptionalInt.empty(), "cable", 3, "below")),
                BY).cabinetId();
        return registration.addSensor(new NewSensor(cabinet, "across-" + cabinet, "urn:dev:ow:across" + cabinet + ":"), BY).key();
    }

    /** Stops the clock at noon, with an installation that has been listening for an hour. */
    void atNoonListening() {
        clock.stopAt(NOON);
        QuarkusTransaction.requiringNew().run(() -> {
            entities.createNativeQuery("DELETE FROM deadline").executeUpdate();
            entities.createNativeQuery("UPDATE alarm SET closed_at = raised_at, live = FALSE, state = 'NORMAL' WHERE closed_at IS NULL")
                    .executeUpdate();
            entities.createNativeQuery("DELETE FROM ingest_slot").executeUpdate();
            entities.createNativeQuery("INSERT INTO ingest_slot (slot, listened_until) VALUES (0, :now)").setParameter("now", NOON)
                    .executeUpdate();
            entities.createNativeQuery("UPDATE listening SET listening_since = :since, last_listened_at = :now WHERE id = 1")
                    .setParameter("since", NOON.minusSeconds(3600)).setParameter("now", NOON).executeUpdate();
        });
    }

    /** Time passes while the installation listens; whatever comes due on the way is handled at its own moment. */
    void passes(Duration time) {
        Instant end = clock.instant().plus(time);
        if (clock.instant().isBefore(end)) {
            // Shows whether it had been listening before.
            clock.stopAt(earlier(clock.instant().plusSeconds(5), end));
            listened();
            work();
        }
        while (clock.instant().isBefore(end)) {
            clock.stopAt(earlier(nextMoment(clock.instant()), end));
            listenedThroughout();
            work();
        }
    }

    private static Instant earlier(Instant one, Instant other) {
        return one.isBefore(other) ? one : other;
    }

    /** When something comes due next, or a minute later. */
    private Instant nextMoment(Instant now) {
        return QuarkusTransaction.requiringNew().call(() -> {
            Instant next = now.plusSeconds(60);
            Object due = entities.createNativeQuery("SELECT MIN(due_at) FROM deadline WHERE due_at > :now").setParameter("now", now).getSingleResult();
            if (due != null) {
                next = earlier(Rows.instant(due), next);
            }
            Object silence = entities.createNativeQuery("SELECT MIN(silence_due) FROM sensor_status WHERE silence_due >= :now").setParameter("now", now).getSingleResult();
            // At its very limit a report is still in time.
            return silence == null ? next : earlier(Rows.instant(silence).plus(1, ChronoUnit.MICROS), next);
        });
    }

    /** The same, while every sensor of the place keeps its promise and says the same again. */
    void passesWhileAllSay(Place place, boolean supplied, Duration time) {
        passesWhileAllSay(place, sensor -> supplied, time);
    }

    /** The same, while each of them says what is true of it. */
    void passesWhileAllSay(Place place, Predicate<SensorKey> supplied, Duration time) {
        Instant end = clock.instant().plus(time);
        while (clock.instant().isBefore(end)) {
            Duration left = Duration.between(clock.instant(), end);
            passes(left.compareTo(Duration.ofMinutes(5)) < 0 ? left : Duration.ofMinutes(5));
            place.sensors().forEach(sensor -> says(sensor, supplied.test(sensor), clock.instant()));
        }
    }

    /** Time passes and nothing is listened to. */
    void passesDeaf(Duration time) {
        clock.advance(time);
        work();
    }

    void listened() {
        QuarkusTransaction.requiringNew().run(() -> entities.createNativeQuery("UPDATE ingest_slot SET listened_until = :now")
                .setParameter("now", clock.instant()).executeUpdate());
    }

    /** Time has passed in one step, and all the while it was listened: else each step would be an outage of our own, with a call-out of its own. */
    void listenedThroughout() {
        QuarkusTransaction.requiringNew().run(() -> entities.createNativeQuery("UPDATE listening SET last_listened_at = :now WHERE id = 1")
                .setParameter("now", clock.instant()).executeUpdate());
        listened();
    }

    void work() {
        listening.look(clock.instant());
        while (sweep.sweep(clock.instant()) > 0) {
            // until nobody is overdue
        }
        workOnDeadlines();
    }

    /** What is due is handled, and nobody asks whether anything is listened to. */
    void workOnDeadlines() {
        do {
            for (List<Long> due = deadlines.due(64); !due.isEmpty(); due = deadlines.due(64)) {
                due.forEach(id -> deadlines.handle(id, claimed -> { }));
            }
        } while (deadlines.handleLooks(LookLoop.TOGETHER, claimed -> { }) > 0);
    }

    Instant now() {
        return clock.instant();
    }

    void saysHealthy(SensorKey sensor) {
        says(sensor, true, clock.instant());
    }

    void saysLost(SensorKey sensor) {
        says(sensor, false, clock.instant());
    }

    void says(SensorKey sensor, boolean supplied, Instant at) {
        take(arrival(sensor, supplied, at, false));
    }

    Arrival arrival(SensorKey sensor, boolean supplied, Instant at, boolean mayHaveWaited) {
        String pack = "[{\"bn\":\"" + sensor.baseName() + "\",\"bt\":" + at.getEpochSecond() + ",\"n\":\"supply\",\"vb\":" + supplied
                + ",\"ut\":" + PROMISE_SECONDS + "},{\"n\":\"inside\",\"u\":\"Cel\",\"v\":8.5}]";
        return new Arrival("lampkeeper/v1/" + sensor.deviceId() + "/report", pack.getBytes(StandardCharsets.UTF_8), clock.instant(),
                mayHaveWaited);
    }

    void retire(SensorKey sensor) {
        registration.retireSensor(sensor.deviceId(), By.nobody(clock.instant()));
    }

    /** How many reports of sensors that are not in use were refused since the start. */
    double refusedAsUnknown() {
        return meters.counter("lampkeeper.reports.refused", "reason", Reason.UNKNOWN_SENSOR.word()).count();
    }

    void link(SensorKey sensor, String word) {
        take(new Arrival("lampkeeper/v1/" + sensor.deviceId() + "/link", word.getBytes(StandardCharsets.UTF_8), clock.instant(), false));
    }

    void take(Arrival... arrivals) {
        intake.take(List.of(arrivals));
    }

    List<Raised> alarms(Place place) {
        return alarms(place.siteId());
    }

    List<Raised> alarms(long siteId) {
        return rows("SELECT id, kind, state, live, closed_at FROM alarm WHERE site_id = :site ORDER BY id", siteId).stream()
                .map(row -> new Raised(Rows.number(row[0]), (String) row[1], (String) row[2], (Boolean) row[3], row[4] == null)).toList();
    }

    List<Raised> openAlarms(Place place) {
        return alarms(place).stream().filter(Raised::open).toList();
    }

    List<Told> told(Place place) {
        return rows("""
                SELECT m.person_id, m.purpose, m.subject, m.body FROM outgoing_message m JOIN alarm a ON a.id = m.alarm_id
                 WHERE a.site_id = :site ORDER BY m.id""", place.siteId()).stream()
                .map(row -> new Told(Rows.number(row[0]), (String) row[1], (String) row[2], (String) row[3])).toList();
    }

    /** Who was told of an alarm, in order. */
    List<Long> called(Place place) {
        return told(place).stream().filter(each -> each.purpose().equals("ALARM")).map(Told::personId).toList();
    }

    List<String> journalKinds(Place place) {
        return rows("SELECT kind, id FROM journal_entry WHERE site_id = :site ORDER BY id", place.siteId()).stream()
                .map(row -> (String) row[0]).toList();
    }

    String reading(SensorKey sensor) {
        return (String) rows("SELECT reading, sensor_id FROM sensor_status WHERE sensor_id = :site", sensor.sensorId()).get(0)[0];
    }

    private List<Object[]> rows(String query, long id) {
        return QuarkusTransaction.requiringNew().call(() -> {
            List<Object[]> rows = new ArrayList<>();
            for (Object row : entities.createNativeQuery(query).setParameter("site", id).getResultList()) {
                rows.add((Object[]) row);
            }
            return rows;
        });
    }
}
