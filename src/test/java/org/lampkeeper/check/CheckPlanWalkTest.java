package org.lampkeeper.check;

import java.time.DayOfWeek;
import java.time.Duration;
import java.time.Instant;
import java.time.LocalDate;
import java.time.LocalDateTime;
import java.time.LocalTime;
import java.time.ZoneId;
import java.time.ZoneOffset;
import java.time.temporal.ChronoUnit;
import java.util.ArrayList;
import java.util.HashSet;
import java.util.List;
import java.util.Set;
import java.util.TreeMap;
import java.util.function.Predicate;

import net.jqwik.api.Arbitraries;
import net.jqwik.api.Arbitrary;
import net.jqwik.api.Combinators;
import net.jqwik.api.ForAll;
import net.jqwik.api.Property;
import net.jqwik.api.Provide;
import net.jqwik.api.Tuple;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

import org.lampkeeper.check.CheckLife.Decision;
import org.lampkeeper.check.CheckLife.Step;

import static org.assertj.core.api.Assertions.assertThat;

/**
 * Plans against somebody who stands before the clock of the site for days, looks at it every minute, and knows nothing but what it shows:
 * no recurrence, no gap, no overlap. Only {@code java.time}'s view of an instant in a zone (tzdb) is taken from outside.
 */
class CheckPlanWalkTest {

    /** What a plan may be of, and whether a day is one of it, told by its definition. */
    record Rule(String words, Predicate<LocalDate> falls) {
    }

    /** @param closedDays of the site, by date: a week's closure or a single day, not only weekends */
    record Situation(ZoneId zone, LocalDate from, Rule rule, LocalTime opens, LocalTime closes, int grace, WhenClosed whenClosed, Set<LocalDate> closedDays) {

        CheckPlan plan() {
            return new CheckPlan(CheckKind.LAMP, new Recurrence(rule.words(), FIRST), opens, closes, Duration.ofMinutes(grace), whenClosed);
        }

        LocalDate until() {
            return from.plusDays(DAYS);
        }
    }

    /** A Monday. */
    private static final LocalDate FIRST = LocalDate.of(2001, 1, 1);
    private static final int DAYS = 8;
    /** As far as a look of a closed day moves: docs/checks.md says the next open day, the code at most this many. */
    private static final int LOOK_BACK = 61;

    /**
     * tzdb 2025b: days around which clocks did something, each with a zone: London forward and back; Lord Howe's half an hour both ways; Apia
     * left 30 December 2011 out; St John's changed at one minute past midnight; Troll moves by two hours; Kathmandu and Chatham stand at odd
     * quarters; Cairo and Beirut change at midnight, so that a day begins at one; Kwajalein is plain.
     */
    @Provide
    Arbitrary<Situation> situations() {
        Arbitrary<ZonedDay> around = Arbitraries.of(new ZonedDay("Europe/London", "2027-03-28"), new ZonedDay("Europe/London", "2026-10-25"),
                new ZonedDay("Australia/Lord_Howe", "2027-10-03"), new ZonedDay("Australia/Lord_Howe", "2027-04-04"), new ZonedDay("Pacific/Apia", "2011-12-30"),
                new ZonedDay("America/St_Johns", "2010-11-07"), new ZonedDay("America/St_Johns", "2011-03-13"), new ZonedDay("Antarctica/Troll", "2027-03-28"),
                new ZonedDay("Antarctica/Troll", "2026-10-25"), new ZonedDay("Asia/Kathmandu", "2026-11-02"), new ZonedDay("Pacific/Chatham", "2026-09-27"),
                new ZonedDay("Pacific/Chatham", "2027-04-04"), new ZonedDay("Africa/Cairo", "2026-04-24"), new ZonedDay("Asia/Beirut", "2022-03-27"),
                new ZonedDay("America/New_York", "2026-11-01"), new ZonedDay("Pacific/Kwajalein", "2026-06-01"));
        Arbitrary<Integer> daysBefore = Arbitraries.integers().between(0, DAYS - 1);
        return Combinators.combine(around, daysBefore, rules(), minutes(), lengths(), Arbitraries.integers().between(0, 720), Arbitraries.of(WhenClosed.values()),
                Arbitraries.integers().between(-LOOK_BACK, DAYS + 3).set().ofMaxSize(40)).as((place, before, rule, opens, open, grace, whenClosed, closed) -> {
                    LocalDate from = place.day().minusDays(before);
                    return new Situation(place.zone(), from, rule, opens, opens.plusMinutes(open), grace, whenClosed,
                            Set.copyOf(closed.stream().map(from::plusDays).toList()));
                });
    }

    record ZonedDay(ZoneId zone, LocalDate day) {
        ZonedDay(String zone, String day) {
            this(ZoneId.of(zone), LocalDate.parse(day));
        }
    }

    /** Near midnight and near the hours in which clocks change as often as anywhere else. */
    private static Arbitrary<LocalTime> minutes() {
        Arbitrary<Integer> anywhere = Arbitraries.integers().between(0, 24 * 60 - 1);
        Arbitrary<Integer> atNight = Arbitraries.integers().between(0, 3 * 60);
        return Arbitraries.oneOf(anywhere, atNight, atNight).map(minute -> LocalTime.ofSecondOfDay(minute * 60L));
    }

    /** In minutes. Short ones lie within the hour that the clocks leave out, or that comes twice; a day's closes where it opened. */
    private static Arbitrary<Integer> lengths() {
        return Arbitraries.oneOf(Arbitraries.integers().between(1, 90), Arbitraries.integers().between(1, 24 * 60));
    }

    private static Arbitrary<Rule> rules() {
        Arbitrary<Rule> weekly = Arbitraries.of(DayOfWeek.class).set().ofMinSize(1).map(days -> new Rule("FREQ=WEEKLY;BYDAY=" + codes(days),
                day -> days.contains(day.getDayOfWeek())));
        Arbitrary<Rule> everySoManyWeeks = Combinators.combine(Arbitraries.integers().between(2, 6), Arbitraries.of(DayOfWeek.class).set().ofMinSize(1)).as((every,
                days) -> new Rule("FREQ=WEEKLY;INTERVAL=" + every + ";BYDAY=" + codes(days), day -> days.contains(day.getDayOfWeek())
                        && ChronoUnit.DAYS.between(FIRST, day) / 7 % every == 0));
        Arbitrary<Rule> monthly = Combinators.combine(Arbitraries.integers().between(1, 4), Arbitraries.integers().between(1, 31)).as((every,
                of) -> new Rule("FREQ=MONTHLY;INTERVAL=" + every + ";BYMONTHDAY=" + of, day -> day.getDayOfMonth() == of
                        && (day.getYear() * 12 + day.getMonthValue() - 1 - FIRST.getYear() * 12) % every == 0));
        Arbitrary<Rule> last = Arbitraries.just(new Rule("FREQ=MONTHLY;BYMONTHDAY=-1", day -> day.plusDays(1).getDayOfMonth() == 1));
        return Arbitraries.frequencyOf(Tuple.of(4, Arbitraries.just(new Rule("FREQ=DAILY", day -> true))), Tuple.of(2, weekly),
                Tuple.of(1, everySoManyWeeks), Tuple.of(1, monthly), Tuple.of(1, last));
    }

    private static String codes(Set<DayOfWeek> days) {
        return String.join(",", days.stream().map(day -> day.name().substring(0, 2)).toList());
    }

    @Property(tries = 250)
    void dueIsWhatSomebodyBeforeTheClockOfTheSiteSees(@ForAll("situations") Situation at) {
        List<CheckDue> due = at.plan().due(at.zone(), at.closedDays()::contains, at.from(), at.until());

        assertThat(due).isEqualTo(walked(at));
    }

    /** Planned in one go or a day at a time, as after an outage: the same. */
    @Property(tries = 150)
    void rangeThatIsCutInTwoGivesTheSame(@ForAll("situations") Situation at) {
        CheckPlan plan = at.plan();
        List<CheckDue> inPieces = new ArrayList<>();
        for (LocalDate day = at.from(); day.isBefore(at.until()); day = day.plusDays(1)) {
            inPieces.addAll(plan.due(at.zone(), at.closedDays()::contains, day, day.plusDays(1)));
        }

        assertThat(inPieces).isEqualTo(plan.due(at.zone(), at.closedDays()::contains, at.from(), at.until()));
    }

    /** Nobody says anything: the moments at which somebody is asked, and the one at which it is missed, found by looking every half minute. */
    @Property(tries = 150)
    void silenceIsAskedAboutAtTheRemindersAndThenMissed(@ForAll("situations") Situation at) {
        for (CheckDue due : at.plan().due(at.zone(), at.closedDays()::contains, at.from(), at.until())) {
            List<Instant> asked = new ArrayList<>();
            List<Instant> missed = new ArrayList<>();
            Instant next = due.opens();
            CheckLife life = null;
            for (Instant now = due.opens(); !now.isAfter(due.missedAt().plusSeconds(60)); now = now.plusSeconds(30)) {
                if (next == null || now.isBefore(next)) {
                    continue;
                }
                Step step = life == null ? CheckLife.open(due, now) : life.timePassed(now);
                life = step.life();
                next = step.next().orElse(null);
                for (Decision decision : step.decisions()) {
                    (decision == Decision.ASK ? asked : missed).add(now);
                }
            }
            assertThat(asked).isEqualTo(walkedReminders(due));
            assertThat(missed).containsExactly(due.missedAt());
        }
    }

    /** tzdb: Lord Howe Island puts its clocks forward by half an hour, at two o'clock, on the first Sunday of October, and back in April. */
    @ParameterizedTest
    @CsvSource({"2027-10-03, 01:45, 02:45, PT30M", "2027-04-04, 01:00, 02:30, PT2H", "2027-04-04, 00:30, 01:15, PT45M", "2027-10-04, 01:45, 02:45, PT1H"})
    void halfAnHourOfLordHoweShortensOrLengthensTheWindow(LocalDate day, LocalTime opens, LocalTime closes, Duration open) {
        Situation at = new Situation(ZoneId.of("Australia/Lord_Howe"), day, new Rule("FREQ=DAILY", any -> true), opens, closes, 0, WhenClosed.SKIP, Set.of());

        assertThat(at.plan().due(at.zone(), any -> false, day, day.plusDays(1))).singleElement()
                .satisfies(due -> assertThat(Duration.between(due.opens(), due.closes())).isEqualTo(open));
    }

    /** tzdb: Samoa went over the date line; after 29 December 2011 came the 31st. A night's window goes on into the day that there is. */
    @Test
    void dayThatApiaLeftOutHasNoLookAndTakesNoneThatMoves() {
        LocalDate leftOut = LocalDate.of(2011, 12, 30);
        Situation daily = new Situation(ZoneId.of("Pacific/Apia"), leftOut.minusDays(2), new Rule("FREQ=DAILY", day -> true), LocalTime.of(22, 0), LocalTime.of(2, 0), 0,
                WhenClosed.MOVE, Set.of(leftOut.minusDays(1)));

        List<CheckDue> due = daily.plan().due(daily.zone(), daily.closedDays()::contains, leftOut.minusDays(2), leftOut.plusDays(3));

        assertThat(due).extracting(CheckDue::day).containsExactly(leftOut.minusDays(2), leftOut.plusDays(1), leftOut.plusDays(2));
        assertThat(due).allSatisfy(each -> assertThat(Duration.between(each.opens(), each.closes())).isEqualTo(Duration.ofHours(4)));
        assertThat(due).isEqualTo(walked(new Situation(daily.zone(), leftOut.minusDays(2), daily.rule(), daily.opens(), daily.closes(), 0, WhenClosed.MOVE,
                daily.closedDays())).stream().filter(each -> each.day().isBefore(leftOut.plusDays(3))).toList());
    }

    /** Which days the clock showed at all, and at which moment each minute of the wall was shown first. */
    private static List<CheckDue> walked(Situation at) {
        TreeMap<LocalDateTime, Instant> shown = new TreeMap<>();
        Set<LocalDate> days = new HashSet<>();
        Instant start = at.from().minusDays(LOOK_BACK).atStartOfDay().toInstant(ZoneOffset.UTC).minus(Duration.ofHours(16));
        Instant from = at.from().minusDays(2).atStartOfDay().toInstant(ZoneOffset.UTC);
        Instant end = at.until().plusDays(3).atStartOfDay().toInstant(ZoneOffset.UTC);
        for (Instant now = start; now.isBefore(end); now = now.plusSeconds(60)) {
            LocalDateTime wall = LocalDateTime.ofInstant(now, at.zone());
            days.add(wall.toLocalDate());
            if (now.isAfter(from)) {
                shown.putIfAbsent(wall, now);
            }
        }
        boolean isOwed = false;
        LocalDate owedSince = LocalDate.MIN;
        List<CheckDue> due = new ArrayList<>();
        for (LocalDate day = at.from().minusDays(LOOK_BACK - 1); day.isBefore(at.until()); day = day.plusDays(1)) {
            if (!days.contains(day)) {
                continue;
            }
            boolean isClosed = at.closedDays().contains(day);
            boolean falls = at.rule().falls().test(day);
            boolean isDue = isClosed ? falls && at.whenClosed() == WhenClosed.SOMEBODY_ELSE
                    : falls || isOwed && ChronoUnit.DAYS.between(owedSince, day) <= LOOK_BACK - 1;
            if (isClosed && falls && at.whenClosed() == WhenClosed.MOVE) {
                isOwed = true;
                owedSince = day;
            } else if (!isClosed) {
                isOwed = false;
            }
            if (isDue && !day.isBefore(at.from())) {
                due.add(window(day, at, shown, isClosed));
            }
        }
        return due;
    }

    private static CheckDue window(LocalDate day, Situation at, TreeMap<LocalDateTime, Instant> shown, boolean isClosed) {
        LocalDateTime closing = at.closes().isAfter(at.opens()) ? day.atTime(at.closes()) : day.plusDays(1).atTime(at.closes());
        Instant opens = moment(day.atTime(at.opens()), shown);
        Instant closes = moment(closing, shown);
        if (!closes.isAfter(opens)) {
            closes = opens.plus(Duration.between(day.atTime(at.opens()), closing));
        }
        return new CheckDue(day, opens, closes, closes.plus(Duration.ofMinutes(at.grace())), isClosed);
    }

    /** The first time that the clock showed it; where it never did, as long after the last minute before as there would have been. */
    private static Instant moment(LocalDateTime wall, TreeMap<LocalDateTime, Instant> shown) {
        if (shown.containsKey(wall)) {
            return shown.get(wall);
        }
        LocalDateTime before = shown.lowerKey(wall);
        return shown.get(before).plus(Duration.between(before, wall));
    }

    /** Half a minute after half a minute: asked at opening, when half is over, and when twenty minutes are left unless half is still to come. */
    private static List<Instant> walkedReminders(CheckDue due) {
        List<Instant> found = new ArrayList<>();
        for (Instant now = due.opens(); now.isBefore(due.closes()); now = now.plusSeconds(30)) {
            Duration over = Duration.between(due.opens(), now);
            Duration left = Duration.between(now, due.closes());
            boolean isShortlyBefore = left.equals(Duration.ofMinutes(20)) && over.compareTo(left) > 0;
            if (over.isZero() || over.equals(left) || isShortlyBefore) {
                found.add(now);
            }
        }
        return found;
    }
}
