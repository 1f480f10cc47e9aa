package org.lampkeeper.watch;

import java.time.Duration;
import java.time.Instant;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Optional;
import java.util.OptionalLong;
import java.util.Random;

import jakarta.enterprise.event.Event;
import jakarta.inject.Inject;
import jakarta.persistence.EntityManager;

import io.quarkus.narayana.jta.QuarkusTransaction;
import io.quarkus.test.junit.QuarkusTest;
import net.jqwik.api.Arbitraries;
import net.jqwik.api.Arbitrary;
import net.jqwik.api.Combinators;
import net.jqwik.api.RandomGenerator;
import net.jqwik.api.Tuple;
import net.jqwik.api.sessions.JqwikSession;
import org.junit.jupiter.api.Test;

import org.lampkeeper.callout.CallOutList;
import org.lampkeeper.callout.Turn;
import org.lampkeeper.message.MessageUndelivered;
import org.lampkeeper.register.By;
import org.lampkeeper.register.NewPerson;
import org.lampkeeper.register.Registration;
import org.lampkeeper.register.Rows;
import org.lampkeeper.testing.MovedClock;
import org.lampkeeper.watch.WatchFixture.Place;
import org.lampkeeper.watch.WatchFixture.Raised;

import static org.assertj.core.api.Assertions.assertThat;

/**
 * Whatever happens in a night, in whatever order: a live alarm that is not held back has a stored time ahead at which somebody hears of it,
 * taken or not, and one that is held back has an end. {@code -Dnights=} for more of them, {@code -Dnights.seed=} for others. The same of
 * {@link org.lampkeeper.callout.Climb} alone is in room {@code callout}.
 */
@QuarkusTest
class CallOutNightsTest {

    private static final int CABINETS = 3;
    private static final int NIGHTS = Integer.getInteger("nights", 2);
    private static final long SEED = Long.getLong("nights.seed", 10);

    private static final String FORGOTTEN = """
            SELECT a.kind, a.state, o.phase FROM alarm a LEFT JOIN call_out o ON o.id = a.call_out_id
             WHERE a.site_id = :site AND a.closed_at IS NULL AND a.live AND a.state IN ('UNACKNOWLEDGED', 'ACKNOWLEDGED')
               AND NOT EXISTS (SELECT d.id FROM deadline d WHERE d.kind = 'CALL_OUT' AND d.subject_id = o.id AND d.subject_version = o.version
                                  AND d.due_at = o.next_at AND d.due_at > :now)""";

    /** Somebody has the rest, and nobody is going to tell them of this one. */
    private static final String NOT_TOLD = """
            SELECT a.kind, a.state, o.phase FROM alarm a JOIN call_out o ON o.id = a.call_out_id
             WHERE a.site_id = :site AND a.closed_at IS NULL AND a.live AND a.state = 'UNACKNOWLEDGED' AND o.phase IN ('TAKEN', 'HANDED_ON')
               AND NOT EXISTS (SELECT d.id FROM deadline d WHERE d.kind = 'MERGE' AND d.subject_id = o.id AND d.subject_version = o.merges
                                  AND d.due_at = o.merge_at AND d.due_at > :now)""";

    private static final String HELD_FOR_EVER = """
            SELECT a.kind, a.state, a.held_until FROM alarm a
             WHERE a.site_id = :site AND a.closed_at IS NULL AND a.state IN ('SHELVED', 'SUPPRESSED_BY_DESIGN', 'OUT_OF_SERVICE')
               AND NOT EXISTS (SELECT d.id FROM deadline d WHERE d.kind = 'HOLD_END' AND d.subject_id = a.id AND d.due_at = a.held_until AND d.due_at > :now)""";

    @Inject
    WatchFixture fixture;
    @Inject
    AlarmDesk desk;
    @Inject
    AttendanceDesk attendance;
    @Inject
    Registration registration;
    @Inject
    Event<MessageUndelivered> undelivered;
    @Inject
    EntityManager entities;
    @Inject
    MovedClock clock;

    /** What happens, and how long after what happened before. Who and which are numbers that are always of somebody and something. */
    record Happening(Duration after, String what, int one, int other, int minutes) {
    }

    @Test
    void liveAlarmAlwaysHasATimeAhead() {
        JqwikSession.run(() -> {
            RandomGenerator<List<Happening>> nights = night().generator(1000);
            Random random = new Random(SEED);
            for (int i = 0; i < NIGHTS; i++) {
                List<Happening> night = nights.next(random).value();
                List<String> wrong = live(night);
                assertThat(wrong).as("night %s of seed %s, the shortest like it: %s", i, SEED, wrong.isEmpty() ? "" : shortest(night)).isEmpty();
            }
        });
    }

    /** What is left of a night that goes wrong when all that does not matter is taken out. */
    private List<Happening> shortest(List<Happening> night) {
        List<Happening> left = new ArrayList<>(night);
        for (int i = left.size() - 1; i >= 0; i--) {
            Happening taken = left.remove(i);
            if (live(left).isEmpty()) {
                left.add(i, taken);
            }
        }
        return left;
    }

    /** What is wrong at the end of the first step after which something is; empty for a good night. */
    private List<String> live(List<Happening> night) {
        fixture.atNoonListening();
        Place place = fixture.place(CABINETS);
        place.sensors().forEach(fixture::saysHealthy);
        List<String> wrong = new ArrayList<>();
        for (Happening happening : night) {
            passes(place, happening.after());
            happens(happening, place);
            passes(place, Duration.ZERO);
            for (String rule : List.of(FORGOTTEN, NOT_TOLD, HELD_FOR_EVER)) {
                wrong.addAll(found(rule, place, happening));
            }
            if (!wrong.isEmpty()) {
                break;
            }
        }
        QuarkusTransaction.requiringNew().run(() -> entities.createNativeQuery("DELETE FROM sensor_status WHERE site_id = :site")
                .setParameter("site", place.siteId()).executeUpdate());
        return wrong;
    }

    private void happens(Happening happening, Place place) {
        long person = place.people().get(happening.one() % place.people().size());
        long another = place.people().get(happening.other() % place.people().size());
        Instant later = clock.instant().plus(Duration.ofMinutes(happening.minutes()));
        List<Raised> open = fixture.openAlarms(place);
        long alarm = open.isEmpty() ? 0 : open.get(happening.other() % open.size()).id();
        switch (happening.what()) {
            case "lost" -> fixture.saysLost(place.sensors().get(happening.one()));
            case "back" -> fixture.saysHealthy(place.sensors().get(happening.one()));
            case "quiet" -> fixture.link(place.sensors().get(happening.one()), "down");
            case "taken" -> desk.take(alarm, person);
            case "promised" -> desk.take(alarm, person, Optional.of(later));
            case "passed on" -> desk.cannot(alarm, person);
            case "handed on" -> desk.handOn(alarm, person, another);
            case "arrived" -> attendance.arrive(alarm, person);
            case "shelved" -> desk.shelve(alarm, later, "painter at work", OptionalLong.of(person));
            case "work" -> desk.suppress(SuppressionKind.ANNOUNCED_WORK, place.siteId(), OptionalLong.empty(), OptionalLong.empty(), later, "new board",
                    OptionalLong.of(person));
            case "work ends" -> desk.endEarly(number("SELECT COALESCE(MAX(id), 0) FROM suppression WHERE site_id = :site", place), OptionalLong.of(person));
            case "not reached" -> QuarkusTransaction.requiringNew().run(() -> undelivered.fire(new MessageUndelivered(1,
                    OptionalLong.of(number("SELECT COALESCE(MAX(id), 0) FROM call_out WHERE site_id = :site", place)), person, clock.instant())));
            case "nobody can be reached" -> list(place, registration.addPerson(new NewPerson("B. Reed", Optional.empty(), Optional.empty()),
                    By.nobody(clock.instant())).personId());
            case "nobody on the list" -> list(place);
            default -> list(place, person, another);
        }
    }

    private void list(Place place, long... people) {
        List<Turn> turns = new ArrayList<>();
        for (long person : people) {
            turns.add(new Turn(person, Duration.ofMinutes(turns.isEmpty() ? 0 : 7)));
        }
        registration.setCallOutList(place.siteId(), new CallOutList(turns, Duration.ofMinutes(20), 2, people.length != 1), By.nobody(clock.instant()));
    }

    /** From one stored time to the next; whatever is due is done at its own moment. */
    private void passes(Place place, Duration time) {
        Instant end = clock.instant().plus(time);
        fixture.listened();
        fixture.work();
        for (Optional<Instant> next = nextDue(place); next.filter(at -> !at.isAfter(end)).isPresent(); next = nextDue(place)) {
            clock.stopAt(next.orElseThrow());
            fixture.listened();
            fixture.work();
        }
        clock.stopAt(end);
        fixture.listened();
        fixture.work();
    }

    private Optional<Instant> nextDue(Place place) {
        return QuarkusTransaction.requiringNew().call(() -> Optional.ofNullable(entities.createNativeQuery("""
                SELECT MIN(at) FROM (SELECT due_at AS at FROM deadline WHERE due_at > :now
                                     UNION ALL SELECT silence_due FROM sensor_status WHERE site_id = :site AND silence_due > :now) ahead""")
                .setParameter("now", clock.instant()).setParameter("site", place.siteId()).getSingleResult()).map(Rows::instant));
    }

    private List<String> found(String sql, Place place, Happening after) {
        return QuarkusTransaction.requiringNew().call(() -> {
            List<String> found = new ArrayList<>();
            for (Object row : entities.createNativeQuery(sql).setParameter("site", place.siteId()).setParameter("now", clock.instant()).getResultList()) {
                found.add(Arrays.toString((Object[]) row) + " at " + clock.instant() + " after " + after);
            }
            return found;
        });
    }

    private long number(String sql, Place place) {
        return QuarkusTransaction.requiringNew().call(() -> Rows.number(entities.createNativeQuery(sql).setParameter("site", place.siteId()).getSingleResult()));
    }

    private static Arbitrary<List<Happening>> night() {
        Arbitrary<String> what = Arbitraries.frequency(Tuple.of(8, "lost"), Tuple.of(4, "back"), Tuple.of(3, "quiet"), Tuple.of(5, "taken"),
                Tuple.of(3, "promised"), Tuple.of(3, "passed on"), Tuple.of(3, "handed on"), Tuple.of(2, "arrived"), Tuple.of(3, "shelved"),
                Tuple.of(2, "work"), Tuple.of(1, "work ends"), Tuple.of(2, "not reached"), Tuple.of(1, "nobody can be reached"),
                Tuple.of(1, "nobody on the list"), Tuple.of(1, "another list"), Tuple.of(3, "lost"));
        Arbitrary<Duration> after = Arbitraries.frequencyOf(Tuple.of(6, Arbitraries.integers().between(0, 40).map(Duration::ofSeconds)),
                Tuple.of(4, Arbitraries.integers().between(1, 20).map(Duration::ofMinutes)), Tuple.of(1, Arbitraries.integers().between(60, 250).map(Duration::ofMinutes)));
        return Combinators.combine(after, what, Arbitraries.integers().between(0, CABINETS - 1), Arbitraries.integers().between(0, CABINETS - 1),
                Arbitraries.integers().between(1, 90)).as(Happening::new).list().ofMinSize(10).ofMaxSize(30);
    }
}
