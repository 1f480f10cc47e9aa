package org.lampkeeper.check;

import java.time.Duration;
import java.time.Instant;
import java.time.LocalDate;
import java.time.LocalTime;
import java.time.YearMonth;
import java.time.ZoneId;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.List;
import java.util.Optional;
import java.util.PriorityQueue;
import java.util.SortedMap;
import java.util.TreeMap;
import java.util.function.Consumer;

import org.junit.jupiter.api.Test;

import org.lampkeeper.check.CheckLife.Decision;
import org.lampkeeper.check.CheckLife.Step;

import static org.assertj.core.api.Assertions.assertThat;

/**
 * A month of looks at 1,000 cabinets in four zones, moment by moment and in the order in which they come, as the service does it but without a
 * database: each day has exactly what the calendar and the rule of docs/checks.md say, counted here by these alone. In the month the clocks of
 * London and New York go forward (tzdb 2025b: 28 and 14 March 2027), and one day is closed. The same with the tables is MonthOfLooksTest.
 */
class MonthWalkTest {

    private static final int CABINETS = 1_000;
    private static final YearMonth MONTH = YearMonth.of(2027, 3);
    private static final LocalDate CLOSED = MONTH.atDay(17);
    private static final List<ZoneId> ZONES = List.of(ZoneId.of("Europe/London"), ZoneId.of("America/New_York"), ZoneId.of("Australia/Lord_Howe"),
            ZoneId.of("Asia/Kolkata"));
    private static final LocalTime OPENS = LocalTime.of(9, 0);
    private static final Duration OPEN = Duration.ofHours(2);
    private static final Duration GRACE = Duration.ofMinutes(30);
    private static final CheckPlan PLAN = new CheckPlan(CheckKind.LAMP, Recurrence.daily(MONTH.atDay(1)), OPENS, OPENS.plus(OPEN), GRACE, WhenClosed.SKIP);
    // docs/checks.md: at opening, half-way and twenty minutes before closing.
    private static final List<Duration> ASKED = List.of(Duration.ZERO, Duration.ofMinutes(60), Duration.ofMinutes(100));

    /** When somebody looks, and when that is known, after opening; each day another cabinet's turn. */
    private enum Habit {
        AT_ONCE(15, 15, 1, false, "DONE"), AT_THE_LAST(119, 119, 3, false, "DONE"), KEPT_ON_THE_PHONE(20, 600, 3, true, "DONE"),
        TOO_LATE(120, 120, 3, true, "MISSED"), NEVER(-1, -1, 3, true, "MISSED");

        private final Duration looks;
        private final Duration isKnown;
        private final int asked;
        private final boolean isMissed;
        private final String state;

        Habit(int looks, int isKnown, int asked, boolean isMissed, String state) {
            this.looks = Duration.ofMinutes(looks);
            this.isKnown = Duration.ofMinutes(isKnown);
            this.asked = asked;
            this.isMissed = isMissed;
            this.state = state;
        }

        static Habit of(int cabinet, LocalDate day) {
            int turn = (cabinet + day.getDayOfMonth()) % 20;
            return turn < 14 ? AT_ONCE : turn < 17 ? AT_THE_LAST : values()[turn - 15];
        }
    }

    private record Moment(Instant at, Consumer<Instant> happens) {
    }

    private final PriorityQueue<Moment> toCome = new PriorityQueue<>(Comparator.comparing(Moment::at));
    private final SortedMap<LocalDate, SortedMap<String, Integer>> found = new TreeMap<>();

    /** One look: only the moment that it waits for last is one, as a deadline with another version is none. */
    private final class Look {
        private final CheckDue due;
        private Optional<CheckLife> life = Optional.empty();
        private int version;

        Look(CheckDue due) {
            this.due = due;
            waitFor(Optional.of(due.opens()));
        }

        private void waitFor(Optional<Instant> next) {
            int now = ++version;
            next.ifPresent(at -> toCome.add(new Moment(at, moment -> {
                if (version == now) {
                    carryOut(life.isPresent() ? life.get().timePassed(moment) : CheckLife.open(due, moment), moment);
                }
            })));
        }

        void looked(LookTime time) {
            Step step = life.orElseThrow().looked(Answer.LIT, time);
            count(due.day(), step.isCounted() ? "said on time" : "said late");
            carryOut(step, time.receivedAt());
        }

        private void carryOut(Step step, Instant moment) {
            step.decisions().forEach(decision -> count(due.day(),
                    decision == Decision.ASK ? "asked after " + Duration.between(due.opens(), moment) : decision.name()));
            life = Optional.of(step.life());
            waitFor(step.next());
        }
    }

    @Test
    void everyDayOfAMonthOfAThousandCabinetsHasExactlyWhatItShould() {
        List<Look> looks = new ArrayList<>();
        for (int cabinet = 0; cabinet < CABINETS; cabinet++) {
            plan(cabinet, looks);
        }

        while (!toCome.isEmpty()) {
            Moment next = toCome.remove();
            next.happens().accept(next.at());
        }
        looks.forEach(look -> count(look.due.day(), look.life.orElseThrow().state().name()));

        SortedMap<LocalDate, SortedMap<String, Integer>> expected = new TreeMap<>();
        for (LocalDate day = MONTH.atDay(1); !day.isAfter(MONTH.atEndOfMonth()); day = day.plusDays(1)) {
            if (!day.equals(CLOSED)) {
                expected.put(day, expected(day));
            }
        }
        assertThat(looks).hasSize(CABINETS * (MONTH.lengthOfMonth() - 1));
        assertThat(found).isEqualTo(expected);
    }

    /** Planned some days ahead and again each day, as the service does; nothing is due twice for it. */
    private void plan(int cabinet, List<Look> looks) {
        ZoneId zone = ZONES.get(cabinet % ZONES.size());
        LocalDate until = MONTH.atDay(1);
        for (LocalDate day = MONTH.atDay(1); !day.isAfter(MONTH.atEndOfMonth()); day = day.plusDays(1)) {
            LocalDate ahead = day.plusDays(5).isAfter(MONTH.atEndOfMonth()) ? MONTH.atEndOfMonth().plusDays(1) : day.plusDays(5);
            for (CheckDue due : PLAN.due(zone, CLOSED::equals, until, ahead)) {
                Look look = new Look(due);
                looks.add(look);
                Habit habit = Habit.of(cabinet, due.day());
                Instant opens = due.day().atTime(OPENS).atZone(zone).toInstant();
                if (habit != Habit.NEVER) {
                    toCome.add(new Moment(opens.plus(habit.isKnown), now -> look.looked(new LookTime(opens.plus(habit.looks), now, Optional.empty()))));
                }
            }
            until = ahead;
        }
    }

    private void count(LocalDate day, String what) {
        found.computeIfAbsent(day, it -> new TreeMap<>()).merge(what, 1, Integer::sum);
    }

    private static SortedMap<String, Integer> expected(LocalDate day) {
        SortedMap<String, Integer> expected = new TreeMap<>();
        for (int cabinet = 0; cabinet < CABINETS; cabinet++) {
            Habit habit = Habit.of(cabinet, day);
            ASKED.subList(0, habit.asked).forEach(after -> expected.merge("asked after " + after, 1, Integer::sum));
            expected.merge(habit.state, 1, Integer::sum);
            if (habit.isMissed) {
                expected.merge(Decision.RAISE_MISSED.name(), 1, Integer::sum);
            }
            if (habit != Habit.NEVER) {
                expected.merge(habit.state.equals("DONE") ? "said on time" : "said late", 1, Integer::sum);
                // Whoever says that it is lit ends what people said before, and that nobody had looked.
                expected.merge(Decision.END_REPORTED.name(), 1, Integer::sum);
            }
            if (habit == Habit.KEPT_ON_THE_PHONE) {
                expected.merge(Decision.END_MISSED.name(), 1, Integer::sum);
            }
        }
        return expected;
    }
}
