package org.lampkeeper.callout;

import java.time.DayOfWeek;
import java.time.Duration;
import java.time.Instant;
import java.time.LocalDate;
import java.time.LocalTime;
import java.time.ZoneId;
import java.util.EnumSet;
import java.util.HashSet;
import java.util.List;
import java.util.Optional;
import java.util.OptionalLong;
import java.util.Set;

import net.jqwik.api.ForAll;
import net.jqwik.api.Property;
import net.jqwik.api.constraints.IntRange;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

class RotaTest {

    private static final ZoneId LONDON = ZoneId.of("Europe/London");
    private static final Set<DayOfWeek> EVERY_DAY = EnumSet.allOf(DayOfWeek.class);
    private static final long MARSH = 1;
    private static final long TEAL = 2;
    private static final long REED = 3;

    /** RFC 5545, 3.3.5, for New York; tzdb 2025b for the others. */
    @ParameterizedTest
    @CsvSource({
            "America/New_York,    2007-11-04, 01:30, 2007-11-04T05:30:00Z",
            "America/New_York,    2007-03-11, 02:30, 2007-03-11T07:30:00Z",
            "Europe/London,       2027-03-28, 01:30, 2027-03-28T01:30:00Z",
            "Europe/London,       2026-10-25, 01:30, 2026-10-25T00:30:00Z",
            "Australia/Lord_Howe, 2027-10-03, 02:15, 2027-10-02T15:45:00Z",
            "Pacific/Apia,        2011-12-30, 09:00, 2011-12-30T19:00:00Z"})
    void aTimeThatIsLeftOutIsPutOffAndOneThatComesTwiceIsTheFirst(String zone, LocalDate day, LocalTime from, Instant begin) {
        Shift shift = shift(1, MARSH, EVERY_DAY, from, from.plusHours(4), day);

        assertThat(shift.begin(day, ZoneId.of(zone))).isEqualTo(begin);
    }

    @ParameterizedTest
    @CsvSource({"2026-10-24, 25", "2027-03-27, 23", "2026-11-24, 24"})
    void aWholeDayKeepsItsTimesOnTheWall(LocalDate day, long hours) {
        Rota rota = rota(List.of(shift(1, MARSH, EVERY_DAY, at("09:00"), at("09:00"), day)));

        List<Stretch> stretches = rota.stretches(noon(day), noon(day).plusSeconds(1));

        assertThat(stretches).singleElement().satisfies(it -> assertThat(Duration.between(it.from(), it.until())).isEqualTo(Duration.ofHours(hours)));
    }

    @Test
    void everySecondWeekIsCountedFromTheWeekOfTheFirstDay() {
        // A Wednesday: its week counts as the first, so the Monday after is in the second.
        Shift shift = new Shift(1, DutyRole.DUTY_MANAGER, OptionalLong.of(MARSH), EnumSet.of(DayOfWeek.MONDAY, DayOfWeek.WEDNESDAY), at("08:00"),
                at("16:00"), 2, LocalDate.parse("2026-11-25"), Optional.of(LocalDate.parse("2026-12-21")));

        assertThat(LocalDate.parse("2026-11-20").datesUntil(LocalDate.parse("2027-01-20")).filter(shift::beginsOn)).map(LocalDate::toString)
                .containsExactly("2026-11-25", "2026-12-07", "2026-12-09", "2026-12-21");
    }

    @Test
    void aStandInTakesTheShiftsOfItsDaysAndNoOthers() {
        LocalDate monday = LocalDate.parse("2026-11-23");
        Rota rota = new Rota(LONDON, List.of(shift(1, MARSH, EVERY_DAY, at("22:00"), at("06:00"), monday)),
                List.of(new StandIn(1, 1, TEAL, monday.plusDays(1), monday.plusDays(2)), new StandIn(2, 1, REED, monday.plusDays(2), monday.plusDays(2))),
                List.of());

        assertThat(rota.on(DutyRole.DUTY_MANAGER, Instant.parse("2026-11-24T05:59:59Z"))).containsExactly(MARSH);
        assertThat(rota.on(DutyRole.DUTY_MANAGER, Instant.parse("2026-11-24T06:00:00Z"))).isEmpty();
        assertThat(rota.on(DutyRole.DUTY_MANAGER, Instant.parse("2026-11-25T01:00:00Z"))).as("begun on the Tuesday").containsExactly(TEAL);
        assertThat(rota.on(DutyRole.DUTY_MANAGER, Instant.parse("2026-11-26T01:00:00Z"))).as("the later entry").containsExactly(REED);
        assertThat(rota.on(DutyRole.DUTY_MANAGER, Instant.parse("2026-11-27T01:00:00Z"))).containsExactly(MARSH);
        assertThat(rota.on(DutyRole.ELECTRICIAN, Instant.parse("2026-11-27T01:00:00Z"))).isEmpty();
    }

    @Test
    void anAbsenceInTheMiddleLeavesTwoPartsAndAGap() {
        LocalDate day = LocalDate.parse("2026-11-25");
        Instant from = Instant.parse("2026-11-25T10:00:00Z");
        Instant until = Instant.parse("2026-11-25T11:00:00Z");
        Rota rota = new Rota(LONDON, List.of(shift(1, MARSH, EVERY_DAY, at("08:00"), at("16:00"), day)), List.of(),
                List.of(new Absence(1, MARSH, from, until), new Absence(2, TEAL, from, until)));

        assertThat(rota.of(MARSH, from.minusSeconds(9000), until.plusSeconds(9000))).extracting(Stretch::part, Stretch::from, Stretch::until)
                .containsExactly(org.assertj.core.groups.Tuple.tuple(0, Instant.parse("2026-11-25T08:00:00Z"), from),
                        org.assertj.core.groups.Tuple.tuple(1, until, Instant.parse("2026-11-25T16:00:00Z")));
        assertThat(rota.gaps(Instant.parse("2026-11-25T00:00:00Z"), Instant.parse("2026-11-26T00:00:00Z")))
                .containsExactly(new Gap(DutyRole.DUTY_MANAGER, from, until));
        Instant nine = Instant.parse("2026-11-25T09:00:00Z");
        assertThat(rota.now(nine, Duration.ofDays(1)))
                .containsExactly(new OnNow(DutyRole.DUTY_MANAGER, List.of(MARSH), Optional.of(from), List.of(MARSH), Optional.of(until)));
        assertThat(rota.now(nine, Duration.ofMinutes(30)))
                .containsExactly(new OnNow(DutyRole.DUTY_MANAGER, List.of(MARSH), Optional.empty(), List.of(), Optional.empty()));
    }

    @Test
    void aShiftThatNobodyHasTakenIsAGapUnlessSomebodyElseIsOn() {
        LocalDate day = LocalDate.parse("2026-11-25");
        Shift nobody = new Shift(1, DutyRole.DUTY_MANAGER, OptionalLong.empty(), EVERY_DAY, at("08:00"), at("16:00"), 1, day, Optional.of(day));
        Shift late = shift(2, TEAL, EVERY_DAY, at("12:00"), at("20:00"), day);

        assertThat(rota(List.of(nobody, late)).gaps(Instant.parse("2026-11-25T09:00:00Z"), Instant.parse("2026-11-26T00:00:00Z")))
                .containsExactly(new Gap(DutyRole.DUTY_MANAGER, Instant.parse("2026-11-25T09:00:00Z"), Instant.parse("2026-11-25T12:00:00Z")));
    }

    /** tzdb 2025b: the clocks of London go back on 25 Oct 2026, and forward on 28 Mar 2027. */
    @ParameterizedTest
    @CsvSource({"2026-10-24T21:30:00Z, 2026-10-25T06:00:00Z", "2027-03-27T22:30:00Z, 2027-03-28T05:00:00Z", "2026-11-24T22:30:00Z, 2026-11-25T06:00:00Z"})
    void whoeverIsOnTonightIsOnUntilSixOnTheWallAndThenTheNext(Instant moment, Instant six) {
        LocalDate first = LocalDate.parse("2026-10-01");
        Rota rota = rota(List.of(shift(1, MARSH, EVERY_DAY, at("22:00"), at("06:00"), first), shift(2, TEAL, EVERY_DAY, at("06:00"), at("22:00"), first)));

        assertThat(rota.now(moment, Duration.ofDays(2)))
                .containsExactly(new OnNow(DutyRole.DUTY_MANAGER, List.of(MARSH), Optional.of(six), List.of(TEAL), Optional.of(six)));
    }

    @Test
    void weekdaysAreTheSameAfterTheirNumber() {
        for (int bits = 0; bits < 128; bits++) {
            assertThat(Shift.bits(Shift.days(bits))).isEqualTo(bits);
        }
    }

    @Test
    void whatCannotBeIsRefusedWithWhatWouldBeRight() {
        LocalDate day = LocalDate.parse("2026-11-25");

        assertThatThrownBy(() -> shift(7, MARSH, Set.of(), at("08:00"), at("16:00"), day)).hasMessageContaining("shift 7: no weekday");
        assertThatThrownBy(() -> new Shift(7, DutyRole.ELECTRICIAN, OptionalLong.empty(), EVERY_DAY, at("08:00"), at("16:00"), 53, day, Optional.empty()))
                .hasMessageContaining("must be 1 to 52");
        assertThatThrownBy(() -> new StandIn(7, 1, TEAL, day, day.minusDays(1))).hasMessageContaining("must not be before");
        assertThatThrownBy(() -> new Absence(7, 1, noon(day), noon(day))).hasMessageContaining("must be after");
    }

    /** Early, late and night share one day; two weeks around each change of the clocks are looked at, minute by random minute. */
    @Property(tries = 300)
    void adjacentShiftsLoseNoMomentAcrossChangesOfTheClocks(@ForAll @IntRange(max = 3) int place, @ForAll @IntRange(max = 1439) int first,
            @ForAll @IntRange(max = 1439) int second, @ForAll @IntRange(min = -10_080, max = 10_080) int minutes) {
        ZoneId zone = List.of(LONDON, ZoneId.of("America/New_York"), ZoneId.of("Australia/Lord_Howe"), ZoneId.of("Africa/Casablanca")).get(place);
        Instant change = zone.getRules().nextTransition(Instant.parse("2026-01-01T00:00:00Z")).getInstant();
        LocalTime one = LocalTime.ofSecondOfDay(Math.min(first, second) * 60L);
        LocalTime two = LocalTime.ofSecondOfDay(Math.max(first, second) * 60L);
        LocalDate before = change.atZone(zone).toLocalDate().minusDays(20);
        List<Shift> shifts = one.equals(two) ? List.of(shift(1, MARSH, EVERY_DAY, one, one, before))
                : List.of(shift(1, MARSH, EVERY_DAY, one, two, before), shift(2, TEAL, EVERY_DAY, two, one, before));
        Rota rota = new Rota(zone, shifts, List.of(), List.of());

        assertThat(rota.on(DutyRole.DUTY_MANAGER, change.plusSeconds(minutes * 60L))).hasSize(1);
        assertThat(rota.gaps(change.minus(Duration.ofDays(14)), change.plus(Duration.ofDays(14)))).isEmpty();
    }

    /** Said anew in another way: day by day, without looking at ranges. */
    @Property(tries = 300)
    void onIsExactlyTheUnionOfTheShiftsWithoutWhoeverIsAbsent(@ForAll @IntRange(max = 127) int daysOfOne, @ForAll @IntRange(max = 127) int daysOfTwo,
            @ForAll @IntRange(max = 1439) int from, @ForAll @IntRange(max = 1439) int to, @ForAll @IntRange(max = 10_080) int absentFrom,
            @ForAll @IntRange(min = 1, max = 3000) int absentFor, @ForAll @IntRange(max = 10_080) int minute) {
        LocalDate monday = LocalDate.parse("2026-10-19");
        Instant week = monday.atStartOfDay(LONDON).toInstant();
        Shift one = shift(1, MARSH, days(daysOfOne), LocalTime.ofSecondOfDay(from * 60L), LocalTime.ofSecondOfDay(to * 60L), monday.minusDays(14));
        Shift two = shift(2, TEAL, days(daysOfTwo), LocalTime.ofSecondOfDay(to * 60L), LocalTime.ofSecondOfDay(from * 60L), monday.minusDays(14));
        Absence absence = new Absence(1, MARSH, week.plusSeconds(absentFrom * 60L), week.plusSeconds((absentFrom + absentFor) * 60L));
        Instant moment = week.plusSeconds(minute * 60L);

        Set<Long> expected = new HashSet<>();
        for (Shift shift : List.of(one, two)) {
            for (LocalDate day = monday.minusDays(3); day.isBefore(monday.plusDays(12)); day = day.plusDays(1)) {
                LocalDate ends = shift.from().isBefore(shift.to()) ? day : day.plusDays(1);
                if (shift.days().contains(day.getDayOfWeek()) && !moment.isBefore(day.atTime(shift.from()).atZone(LONDON).toInstant())
                        && moment.isBefore(ends.atTime(shift.to()).atZone(LONDON).toInstant())) {
                    expected.add(shift.personId().getAsLong());
                }
            }
        }
        if (!moment.isBefore(absence.from()) && moment.isBefore(absence.until())) {
            expected.remove(MARSH);
        }

        assertThat(new Rota(LONDON, List.of(one, two), List.of(), List.of(absence)).on(DutyRole.DUTY_MANAGER, moment))
                .containsExactlyInAnyOrderElementsOf(expected);
    }

    /** At least one day, by the bits. */
    private static Set<DayOfWeek> days(int bits) {
        Set<DayOfWeek> days = EnumSet.noneOf(DayOfWeek.class);
        for (DayOfWeek day : DayOfWeek.values()) {
            if ((bits >> day.ordinal() & 1) == 1) {
                days.add(day);
            }
        }
        return days.isEmpty() ? EnumSet.of(DayOfWeek.SUNDAY) : days;
    }

    private static Rota rota(List<Shift> shifts) {
        return new Rota(LONDON, shifts, List.of(), List.of());
    }

    private static Shift shift(long id, long person, Set<DayOfWeek> days, LocalTime from, LocalTime to, LocalDate validFrom) {
        return new Shift(id, DutyRole.DUTY_MANAGER, OptionalLong.of(person), days, from, to, 1, validFrom, Optional.empty());
    }

    private static LocalTime at(String time) {
        return LocalTime.parse(time);
    }

    private static Instant noon(LocalDate day) {
        return day.atTime(12, 0).atZone(LONDON).toInstant();
    }
}
