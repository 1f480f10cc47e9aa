package org.lampkeeper.watch;

import java.time.Duration;
import java.time.Instant;
import java.time.LocalDate;
import java.time.LocalTime;
import java.time.YearMonth;
import java.time.ZoneId;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.SortedMap;
import java.util.TreeMap;
import java.util.function.IntPredicate;
import java.util.stream.IntStream;

import jakarta.inject.Inject;
import jakarta.persistence.EntityManager;

import io.quarkus.narayana.jta.QuarkusTransaction;
import io.quarkus.test.junit.QuarkusTest;
import org.jboss.logging.Logger;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;

import org.lampkeeper.callout.Whom;
import org.lampkeeper.check.Answer;
import org.lampkeeper.check.CheckKind;
import org.lampkeeper.check.WhenClosed;
import org.lampkeeper.message.LinkTokens;
import org.lampkeeper.register.By;
import org.lampkeeper.register.CheckPlans;
import org.lampkeeper.register.ClosedDays;
import org.lampkeeper.register.NewCheckPlan;
import org.lampkeeper.register.Rows;
import org.lampkeeper.register.SensorKey;
import org.lampkeeper.testing.MovedClock;
import org.lampkeeper.watch.WatchFixture.Place;

import static org.assertj.core.api.Assertions.assertThat;

/**
 * A month of looks, moved through day by day: each day has exactly the looks, askings, misses and late answers that it should have, counted
 * here by the calendar and the rule of docs/checks.md alone. In the month the clocks of London go forward (tzdb 2025b: 28 March 2027), and
 * one day is closed. Usually the second half of it with {@value #USUALLY} cabinets; {@code -Dlooks.cabinets=1000} for more of them and all of it.
 */
@QuarkusTest
class MonthOfLooksTest {

    private static final Logger LOG = Logger.getLogger(MonthOfLooksTest.class);
    private static final int USUALLY = 10;
    private static final int CABINETS = Integer.getInteger("looks.cabinets", USUALLY);
    private static final YearMonth MONTH = YearMonth.of(2027, 3);
    private static final LocalDate FIRST = CABINETS == USUALLY ? MONTH.atDay(15) : MONTH.atDay(1);
    private static final LocalDate CLOSED = MONTH.atDay(17);
    private static final ZoneId LONDON = ZoneId.of("Europe/London");
    private static final LocalTime OPENS = LocalTime.of(9, 0);
    private static final Duration OPEN = Duration.ofHours(2);
    private static final Duration GRACE = Duration.ofMinutes(30);
    // docs/checks.md: at opening, half-way and twenty minutes before closing.
    private static final List<Duration> ASKED = List.of(Duration.ZERO, Duration.ofMinutes(60), Duration.ofMinutes(100));

    /** When somebody answers, after opening; each day another cabinet's turn. */
    private enum Habit {
        AT_ONCE(Duration.ofMinutes(15), true, 1), AT_THE_LAST(Duration.ofMinutes(115), true, 3), TOO_LATE(OPEN.plus(GRACE).plusMinutes(10), false, 3);

        private final Duration after;
        private final boolean isOnTime;
        private final int asked;

        Habit(Duration after, boolean isOnTime, int asked) {
            this.after = after;
            this.isOnTime = isOnTime;
            this.asked = asked;
        }

        static Habit of(int cabinet, LocalDate day) {
            int turn = (cabinet + day.getDayOfMonth()) % 10;
            return turn == 0 ? TOO_LATE : turn < 4 ? AT_THE_LAST : AT_ONCE;
        }
    }

    @Inject
    WatchFixture fixture;
    @Inject
    CheckPlans plans;
    @Inject
    ClosedDays closedDays;
    @Inject
    CheckPlanner planner;
    @Inject
    CheckDesk desk;
    @Inject
    LinkTokens tokens;
    @Inject
    EntityManager entities;
    @Inject
    MovedClock clock;

    /** What other tests have planned would be looked at, missed and told of all through the month. */
    @BeforeEach
    void nothingElseIsPlanned() {
        for (String table : List.of("check_photo", "check_record", "check_asked", "check_due", "check_plan")) {
            run("DELETE FROM " + table);
        }
    }

    /** What this month has left to send would keep the next test's messages from waiting. */
    @AfterEach
    void nothingIsLeftToBeSent() {
        run("UPDATE outgoing_message SET state = 'NOT_NEEDED', next_attempt_at = NULL, leased_until = NULL WHERE state = 'WAITING'");
        nothingElseIsPlanned();
        fixture.atNoonListening();
    }

    private void run(String sql) {
        QuarkusTransaction.requiringNew().run(() -> entities.createNativeQuery(sql).executeUpdate());
    }

    @Test
    void everyDayOfAMonthHasExactlyTheLooksAskingsMissesAndLateAnswersThatItShould() {
        fixture.atNoonListening();
        Place place = fixture.place(CABINETS);
        long staff = place.people().get(1);
        at(FIRST.atStartOfDay(LONDON).toInstant());
        closedDays.add(place.siteId(), CLOSED, "regatta", By.nobody(clock.instant()));
        List<Long> cabinets = place.sensors().stream().map(SensorKey::cabinetId).toList();
        plans.add(cabinets.subList(0, CABINETS), new NewCheckPlan(CheckKind.LAMP, "FREQ=DAILY", FIRST, OPENS, OPENS.plus(OPEN), (int) GRACE.toMinutes(),
                WhenClosed.SKIP, new Whom.Person(staff), Optional.empty(), false), By.nobody(clock.instant()));

        long began = System.nanoTime();
        for (LocalDate day = FIRST; !day.isAfter(MONTH.atEndOfMonth()); day = day.plusDays(1)) {
            live(day, place, cabinets, staff);
        }
        LOG.infof("%d cabinets were moved through %s from %s in %d s", CABINETS, MONTH, FIRST, (System.nanoTime() - began) / 1_000_000_000L);

        for (LocalDate day = FIRST; !day.isAfter(MONTH.atEndOfMonth()); day = day.plusDays(1)) {
            assertThat(of(day, place)).as(day.toString()).isEqualTo(day.equals(CLOSED) ? Map.of() : expected(day));
        }
        assertThat(fixture.openAlarms(place).stream().filter(WatchFixture.Raised::live)).as("all was well in the end").isEmpty();
    }

    private void live(LocalDate day, Place place, List<Long> cabinets, long staff) {
        Instant opens = day.atTime(OPENS).atZone(LONDON).toInstant();
        List<Duration> moments = new ArrayList<>(ASKED);
        for (Habit habit : Habit.values()) {
            moments.add(habit.after);
        }
        moments.add(OPEN.plus(GRACE));
        at(opens.minusSeconds(3600));
        while (planner.planSome(clock.instant(), 100) == 100) {
            // until there is no more
        }
        for (Duration moment : moments.stream().sorted().toList()) {
            at(opens.plus(moment));
            for (Habit habit : Habit.values()) {
                if (habit.after.equals(moment)) {
                    answer(day, place, cabinets, staff, cabinet -> Habit.of(cabinet, day) == habit);
                }
            }
        }
        // What is still to be told about what was missed is over by night.
        at(opens.plus(Duration.ofHours(12)));
    }

    private void at(Instant moment) {
        clock.stopAt(moment);
        // Nothing is listened to, and nobody hears of that: what all the sensors of the other tests do in this month is not looked at.
        fixture.workOnDeadlines();
    }

    private void answer(LocalDate day, Place place, List<Long> cabinets, long staff, IntPredicate who) {
        Map<Long, Long> looks = new TreeMap<>();
        rows("SELECT cabinet_id, id FROM check_due WHERE site_id = :site AND on_day = :day", place, day)
                .forEach(row -> looks.put(Rows.number(row[0]), Rows.number(row[1])));
        IntStream.range(0, cabinets.size()).filter(who).mapToObj(cabinets::get).filter(looks::containsKey)
                .forEach(cabinet -> desk.say(tokens.issueForLook(looks.get(cabinet), staff, clock.instant().plusSeconds(60)), Answer.LIT, Optional.empty(), "", Optional.empty()));
    }

    /** What stands in the tables for one day, counted. */
    private SortedMap<String, Long> of(LocalDate day, Place place) {
        SortedMap<String, Long> counted = new TreeMap<>();
        rows("SELECT state, COUNT(*) FROM check_due WHERE site_id = :site AND on_day = :day GROUP BY state", place, day)
                .forEach(row -> counted.put("due " + row[0], Rows.number(row[1])));
        rows("""
                SELECT a.asked_at, COUNT(*) FROM check_asked a JOIN check_due d ON d.id = a.due_id WHERE d.site_id = :site AND d.on_day = :day GROUP BY a.asked_at""",
                place, day).forEach(row -> counted.put("asked " + Rows.instant(row[0]), Rows.number(row[1])));
        rows("""
                SELECT r.is_counted, COUNT(*) FROM check_record r JOIN check_due d ON d.id = r.due_id WHERE d.site_id = :site AND d.on_day = :day
                 GROUP BY r.is_counted""", place, day).forEach(row -> counted.put((Boolean) row[0] ? "said on time" : "said late", Rows.number(row[1])));
        Instant begins = day.atStartOfDay(LONDON).toInstant();
        long missed = QuarkusTransaction.requiringNew().call(() -> Rows.number(entities.createNativeQuery(
                "SELECT COUNT(*) FROM journal_entry WHERE kind = 'check-missed' AND site_id = :site AND at >= :from AND at < :until")
                .setParameter("site", place.siteId()).setParameter("from", begins).setParameter("until", begins.plus(Duration.ofHours(23))).getSingleResult()));
        if (missed > 0) {
            counted.put("written down as missed", missed);
        }
        return counted;
    }

    private static SortedMap<String, Long> expected(LocalDate day) {
        Instant opens = day.atTime(OPENS).atZone(LONDON).toInstant();
        SortedMap<String, Long> expected = new TreeMap<>();
        for (int cabinet = 0; cabinet < CABINETS; cabinet++) {
            Habit habit = Habit.of(cabinet, day);
            expected.merge("due " + (habit.isOnTime ? "DONE" : "MISSED"), 1L, Long::sum);
            for (Duration after : ASKED.subList(0, habit.asked)) {
                expected.merge("asked " + opens.plus(after), 1L, Long::sum);
            }
            expected.merge(habit.isOnTime ? "said on time" : "said late", 1L, Long::sum);
            if (!habit.isOnTime) {
                expected.merge("written down as missed", 1L, Long::sum);
            }
        }
        return expected;
    }

    private List<Object[]> rows(String sql, Place place, LocalDate day) {
        return QuarkusTransaction.requiringNew().call(() -> ((List<?>) entities.createNativeQuery(sql).setParameter("site", place.siteId()).setParameter("day", day)
                .getResultList()).stream().map(row -> (Object[]) row).toList());
    }
}
