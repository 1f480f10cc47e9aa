package org.lampkeeper.check;

import java.time.DayOfWeek;
import java.time.Duration;
import java.time.Instant;
import java.time.LocalDate;
import java.time.LocalDateTime;
import java.time.LocalTime;
import java.time.ZoneId;
import java.time.ZoneOffset;
import java.util.ArrayList;
import java.util.List;
import java.util.Set;
import java.util.TimeZone;
import java.util.function.Predicate;

import net.jqwik.api.Arbitraries;
import net.jqwik.api.Arbitrary;
import net.jqwik.api.Combinators;
import net.jqwik.api.ForAll;
import net.jqwik.api.Property;
import net.jqwik.api.Provide;
import net.jqwik.api.constraints.IntRange;
import net.jqwik.time.api.Dates;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

class CheckPlanTest {

    private static final ZoneId LONDON = ZoneId.of("Europe/London");
    private static final Predicate<LocalDate> NEVER = day -> false;
    private static final Predicate<LocalDate> WEEKENDS = day -> day.getDayOfWeek() == DayOfWeek.SATURDAY || day.getDayOfWeek() == DayOfWeek.SUNDAY;
    private static final LocalDate MONDAY = LocalDate.of(2026, 11, 2);

    private static CheckPlan daily(String opens, String closes, WhenClosed whenClosed) {
        return new CheckPlan(CheckKind.LAMP, Recurrence.daily(MONDAY.minusYears(20)), LocalTime.parse(opens), LocalTime.parse(closes), Duration.ofMinutes(30),
                whenClosed);
    }

    /** tzdb 2025b, London: from nine to nine is 25 h over 25 October 2026 and 23 h over 29 March. */
    @ParameterizedTest
    @CsvSource({"2026-10-24, 25", "2026-10-25, 24", "2026-03-28, 23", "2026-11-02, 24"})
    void dailyIsByTheDayAndNotByTwentyFourHours(LocalDate day, int hoursToTheNext) {
        List<CheckDue> due = daily("09:00", "11:00", WhenClosed.SKIP).due(LONDON, NEVER, day, day.plusDays(2));

        assertThat(due).hasSize(2);
        assertThat(Duration.between(due.get(0).opens(), due.get(1).opens())).isEqualTo(Duration.ofHours(hoursToTheNext));
    }

    /** tzdb 2025b: the hour from one to two is left out in London on 28 March 2027 and comes twice on 25 October 2026. */
    @ParameterizedTest
    @CsvSource({"2027-03-28, 01:15, 01:45, 2027-03-28T01:15:00Z, 2027-03-28T01:45:00Z", "2027-03-28, 01:30, 02:00, 2027-03-28T01:30:00Z, 2027-03-28T02:00:00Z",
            "2027-03-28, 00:30, 02:30, 2027-03-28T00:30:00Z, 2027-03-28T01:30:00Z", "2026-10-25, 00:30, 01:30, 2026-10-24T23:30:00Z, 2026-10-25T00:30:00Z",
            "2026-10-25, 01:30, 02:30, 2026-10-25T00:30:00Z, 2026-10-25T02:30:00Z", "2026-11-02, 22:00, 02:00, 2026-11-02T22:00:00Z, 2026-11-03T02:00:00Z"})
    void windowOpensBeforeItClosesWhateverTheClocksDo(LocalDate day, String opens, String closes, Instant from, Instant to) {
        assertThat(daily(opens, closes, WhenClosed.SKIP).due(LONDON, NEVER, day, day.plusDays(1))).singleElement().satisfies(due -> {
            assertThat(due.opens()).isEqualTo(from);
            assertThat(due.closes()).isEqualTo(to);
            assertThat(due.missedAt()).isEqualTo(to.plus(Duration.ofMinutes(30)));
        });
    }

    @ParameterizedTest
    @CsvSource({"SKIP, 5", "MOVE, 5", "SOMEBODY_ELSE, 7"})
    void closedDaysAreSkippedMovedOrSomebodyElses(WhenClosed whenClosed, int inAWeek) {
        List<CheckDue> due = daily("09:00", "11:00", whenClosed).due(LONDON, WEEKENDS, MONDAY, MONDAY.plusDays(7));

        assertThat(due).hasSize(inAWeek);
        assertThat(due.stream().filter(CheckDue::bySomebodyElse)).hasSize(inAWeek - 5);
    }

    @Test
    void weeklyOneOfAClosedDayMovesToTheNextOpenOneAlsoOverTheEdgeOfTheRange() {
        CheckPlan saturdays = new CheckPlan(CheckKind.CABINET, new Recurrence("FREQ=WEEKLY;BYDAY=SA", MONDAY), LocalTime.of(9, 0), LocalTime.of(17, 0),
                Duration.ZERO, WhenClosed.MOVE);

        assertThat(saturdays.due(LONDON, WEEKENDS, MONDAY.plusDays(7), MONDAY.plusDays(8))).extracting(CheckDue::day).containsExactly(MONDAY.plusDays(7));
        assertThat(saturdays.due(LONDON, day -> true, MONDAY, MONDAY.plusDays(30))).isEmpty();
    }

    @Test
    void graceBeyondHalfADayIsRefused() {
        assertThatThrownBy(() -> new CheckPlan(CheckKind.LAMP, Recurrence.daily(MONDAY), LocalTime.of(9, 0), LocalTime.of(10, 0), Duration.ofHours(13),
                WhenClosed.SKIP)).hasMessageContaining("must be 0 to 12 hours");
    }

    @Test
    void reminderShortlyBeforeClosingIsLeftOutWhereTheHalfIsLater() {
        Instant opens = Instant.parse("2026-11-02T09:00:00Z");

        assertThat(new CheckDue(MONDAY, opens, opens.plusSeconds(7200), opens.plusSeconds(7200), false).reminders())
                .containsExactly(opens, opens.plusSeconds(3600), opens.plusSeconds(6000));
        assertThat(new CheckDue(MONDAY, opens, opens.plusSeconds(2400), opens.plusSeconds(2400), false).reminders()).as("half-way is twenty minutes before")
                .containsExactly(opens, opens.plusSeconds(1200));
        assertThat(new CheckDue(MONDAY, opens, opens.plusSeconds(1800), opens.plusSeconds(1800), false).reminders())
                .containsExactly(opens, opens.plusSeconds(900));
    }

    /** A plan whose days can be told by their definition, without any library. */
    record Simple(String rule, Predicate<LocalDate> falls) {
    }

    @Provide
    Arbitrary<Simple> simple() {
        Arbitrary<Simple> weekly = Arbitraries.of(DayOfWeek.class).set().ofMinSize(1).map(days -> new Simple("FREQ=WEEKLY;BYDAY="
                + String.join(",", days.stream().map(day -> day.name().substring(0, 2)).toList()), day -> days.contains(day.getDayOfWeek())));
        Arbitrary<Simple> monthly = Arbitraries.integers().between(1, 31).map(of -> new Simple("FREQ=MONTHLY;BYMONTHDAY=" + of, day -> day.getDayOfMonth() == of));
        Arbitrary<Simple> last = Arbitraries.just(new Simple("FREQ=MONTHLY;BYMONTHDAY=-1", day -> day.plusDays(1).getDayOfMonth() == 1));
        return Arbitraries.oneOf(Arbitraries.just(new Simple("FREQ=DAILY", day -> true)), weekly, monthly, last);
    }

    /** Not ZoneId's own list: what other tests of this run read with a calendar library has added zones without any rules to it. */
    @Provide
    Arbitrary<ZoneId> zones() {
        return Arbitraries.of(TimeZone.getAvailableIDs()).map(id -> ZoneId.of(id, ZoneId.SHORT_IDS));
    }

    @Provide
    Arbitrary<LocalTime> minutes() {
        return Combinators.combine(Arbitraries.integers().between(0, 23), Arbitraries.integers().between(0, 59)).as(LocalTime::of);
    }

    @Provide
    Arbitrary<LocalDate> days() {
        return Dates.dates().between(LocalDate.of(2005, 1, 1), LocalDate.of(2035, 12, 31));
    }

    @Property(tries = 400)
    void dueIsWhatASlowSearchFinds(@ForAll("simple") Simple simple, @ForAll("zones") ZoneId zone, @ForAll("days") LocalDate from,
            @ForAll("minutes") LocalTime opens, @ForAll @IntRange(min = 1, max = 1439) int minutesOpen, @ForAll WhenClosed whenClosed,
            @ForAll Set<DayOfWeek> closed) {
        Predicate<LocalDate> isClosed = day -> closed.contains(day.getDayOfWeek());
        CheckPlan plan = new CheckPlan(CheckKind.LAMP, new Recurrence(simple.rule(), LocalDate.of(2000, 1, 1)), opens, opens.plusMinutes(minutesOpen),
                Duration.ofMinutes(20), whenClosed);
        LocalDate until = from.plusDays(10);

        List<CheckDue> due = plan.due(zone, isClosed, from, until);

        List<LocalDate> expected = slowDays(simple, zone, isClosed, whenClosed, from, until);
        assertThat(due).extracting(CheckDue::day).isEqualTo(expected);
        for (CheckDue each : due) {
            assertThat(each.opens()).isEqualTo(slowMoment(each.day().atTime(opens), zone));
            Instant closes = slowMoment(each.day().atTime(opens).plusMinutes(minutesOpen), zone);
            assertThat(each.closes()).isEqualTo(closes.isAfter(each.opens()) ? closes : each.opens().plus(Duration.ofMinutes(minutesOpen)));
            assertThat(each.bySomebodyElse()).isEqualTo(isClosed.test(each.day()));
        }
    }

    private static List<LocalDate> slowDays(Simple simple, ZoneId zone, Predicate<LocalDate> isClosed, WhenClosed whenClosed, LocalDate from,
            LocalDate until) {
        List<LocalDate> found = new ArrayList<>();
        boolean owed = false;
        for (LocalDate day = from.minusDays(60); day.isBefore(until); day = day.plusDays(1)) {
            if (!exists(day, zone)) {
                continue;
            }
            boolean falls = simple.falls().test(day);
            boolean isDue;
            if (!isClosed.test(day)) {
                isDue = falls || owed;
                owed = false;
            } else {
                isDue = falls && whenClosed == WhenClosed.SOMEBODY_ELSE;
                owed = owed || falls && whenClosed == WhenClosed.MOVE;
            }
            if (isDue && !day.isBefore(from)) {
                found.add(day);
            }
        }
        return found;
    }

    private static boolean exists(LocalDate day, ZoneId zone) {
        Instant around = day.atTime(12, 0).toInstant(ZoneOffset.UTC).minus(Duration.ofHours(40));
        for (int quarter = 0; quarter < 80 * 4; quarter++) {
            if (LocalDateTime.ofInstant(around.plus(Duration.ofMinutes(15L * quarter)), zone).toLocalDate().equals(day)) {
                return true;
            }
        }
        return false;
    }

    /** Minute by minute: the first that the clocks show so; where they never do, as much later as they were put forward. */
    private static Instant slowMoment(LocalDateTime wanted, ZoneId zone) {
        Instant at = wanted.toInstant(ZoneOffset.UTC).minus(Duration.ofHours(30));
        Instant lastBefore = at;
        for (int minute = 0; minute < 60 * 60; minute++) {
            LocalDateTime shown = LocalDateTime.ofInstant(at, zone);
            if (shown.equals(wanted)) {
                return at;
            }
            if (shown.isAfter(wanted)) {
                LocalDateTime before = LocalDateTime.ofInstant(lastBefore, zone);
                return lastBefore.plus(Duration.between(before, wanted));
            }
            lastBefore = at;
            at = at.plusSeconds(60);
        }
        throw new IllegalStateException(wanted + " not found in " + zone);
    }
}
