package org.lampkeeper.check;

import java.time.LocalDate;
import java.time.LocalDateTime;
import java.time.LocalTime;
import java.time.ZoneId;
import java.time.ZonedDateTime;
import java.util.Arrays;
import java.util.List;

import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.ValueSource;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

class RecurrenceTest {

    private static final ZoneId NEW_YORK = ZoneId.of("America/New_York");
    private static final LocalTime NINE = LocalTime.of(9, 0);

    /** RFC 5545 §3.8.5.3, recomputed with another library (dateutil): the first days of each. */
    @ParameterizedTest
    @CsvSource(delimiter = '|', value = {
            "1997-09-02 | FREQ=DAILY;COUNT=10 | 1997-09-02 1997-09-03 1997-09-04 1997-09-05 1997-09-06 1997-09-07 1997-09-08 1997-09-09 1997-09-10 1997-09-11",
            "1997-09-28 | FREQ=MONTHLY;BYMONTHDAY=-3 | 1997-09-28 1997-10-29 1997-11-28 1997-12-29 1998-01-29 1998-02-26",
            "1997-09-30 | FREQ=MONTHLY;COUNT=10;BYMONTHDAY=1,-1 | 1997-09-30 1997-10-01 1997-10-31 1997-11-01 1997-11-30 1997-12-01 1997-12-31 1998-01-01 1998-01-31 1998-02-01",
            "1997-09-10 | FREQ=MONTHLY;INTERVAL=18;COUNT=10;BYMONTHDAY=10,11,12,13,14,15 | 1997-09-10 1997-09-11 1997-09-12 1997-09-13 1997-09-14 1997-09-15 1999-03-10 1999-03-11 1999-03-12 1999-03-13",
            "1997-09-04 | FREQ=MONTHLY;COUNT=3;BYDAY=TU,WE,TH;BYSETPOS=3 | 1997-09-04 1997-10-07 1997-11-06",
            "1997-09-29 | FREQ=MONTHLY;BYDAY=MO,TU,WE,TH,FR;BYSETPOS=-2 | 1997-09-29 1997-10-30 1997-11-27 1997-12-30 1998-01-29 1998-02-26 1998-03-30",
            "1997-08-05 | FREQ=WEEKLY;INTERVAL=2;COUNT=4;BYDAY=TU,SU;WKST=MO | 1997-08-05 1997-08-10 1997-08-19 1997-08-24",
            "1997-08-05 | FREQ=WEEKLY;INTERVAL=2;COUNT=4;BYDAY=TU,SU;WKST=SU | 1997-08-05 1997-08-17 1997-08-19 1997-08-31",
            "2007-01-15 | FREQ=MONTHLY;BYMONTHDAY=15,30;COUNT=5 | 2007-01-15 2007-01-30 2007-02-15 2007-03-15 2007-03-30"})
    void daysAreThoseOfTheStandard(LocalDate first, String rule, String days) {
        List<LocalDate> expected = Arrays.stream(days.split(" ")).map(LocalDate::parse).toList();
        Recurrence recurrence = new Recurrence(rule, first);

        assertThat(recurrence.days(first, first.plusYears(5)).subList(0, expected.size())).isEqualTo(expected);
        if (rule.contains("COUNT")) {
            assertThat(recurrence.days(first, first.plusYears(5))).hasSameSizeAs(expected);
        }
        LocalDate later = expected.get(expected.size() - 2);
        assertThat(recurrence.days(later, first.plusYears(5)).get(0)).as("asked for from a later day").isEqualTo(later);
    }

    /** RFC 5545 §3.8.5.3, UNTIL=19971224T000000Z: 113 days, the last 23 December; the clocks go back on 26 October. */
    @Test
    void dailyUntilChristmasKeepsItsHourOverTheChangeOfTheClocks() {
        List<ZonedDateTime> starts = new Recurrence("FREQ=DAILY;UNTIL=19971224T000000Z", LocalDate.of(1997, 9, 2))
                .starts(NINE, NEW_YORK, LocalDate.of(1997, 9, 2), LocalDate.of(1999, 1, 1));

        assertThat(starts).hasSize(113).allMatch(start -> start.toLocalTime().equals(NINE));
        assertThat(starts.get(112).toLocalDate()).isEqualTo(LocalDate.of(1997, 12, 23));
        assertThat(starts.stream().filter(start -> start.getOffset().getTotalSeconds() == -4 * 3600)).hasSize(54);
        assertThat(starts.stream().filter(start -> start.getOffset().getTotalSeconds() == -5 * 3600)).hasSize(59);
    }

    /** RFC 5545 §3.3.10: UNTIL includes what falls on it. */
    @ParameterizedTest
    @CsvSource({"FREQ=DAILY;UNTIL=19970904, 3", "FREQ=DAILY;UNTIL=19970904T130000Z, 3", "FREQ=DAILY;UNTIL=19970904T125959Z, 2",
            "FREQ=DAILY;UNTIL=19970904T090000, 3", "FREQ=DAILY;UNTIL=19970904T085959, 2"})
    void untilCountsByTheClocksOfThePlace(String rule, int starts) {
        LocalDate first = LocalDate.of(1997, 9, 2);

        assertThat(new Recurrence(rule, first).starts(NINE, NEW_YORK, first, first.plusYears(1))).hasSize(starts);
    }

    /** RFC 5545 §3.3.5 and tzdb 2025b: a time left out is later by as much, of one that comes twice it is the first. */
    @ParameterizedTest
    @CsvSource({"America/New_York, 2007-11-04T01:30, 2007-11-04T01:30-04:00", "America/New_York, 2007-03-11T02:30, 2007-03-11T03:30-04:00",
            "Europe/London, 2027-03-28T01:30, 2027-03-28T02:30+01:00", "Europe/London, 2026-10-25T01:30, 2026-10-25T01:30+01:00",
            "Australia/Lord_Howe, 2027-10-03T02:15, 2027-10-03T02:45+11:00", "Australia/Lord_Howe, 2027-04-04T01:45, 2027-04-04T01:45+11:00",
            "Europe/London, 2026-10-25T09:00, 2026-10-25T09:00Z", "Europe/London, 2026-03-29T09:00, 2026-03-29T09:00+01:00"})
    void startFollowsTheClocks(ZoneId zone, LocalDateTime local, String start) {
        List<ZonedDateTime> starts = Recurrence.daily(local.toLocalDate().minusDays(3))
                .starts(local.toLocalTime(), zone, local.toLocalDate(), local.toLocalDate().plusDays(1));

        assertThat(starts).singleElement().satisfies(it -> assertThat(it.toOffsetDateTime()).hasToString(start));
    }

    /** tzdb: at Apia 30 December 2011 has no local time. */
    @Test
    void dayThatAZoneLeavesOutHasNoStart() {
        List<ZonedDateTime> starts = Recurrence.daily(LocalDate.of(2011, 12, 28)).starts(NINE, ZoneId.of("Pacific/Apia"), LocalDate.of(2011, 12, 28),
                LocalDate.of(2012, 1, 2));

        assertThat(starts).extracting(ZonedDateTime::toLocalDate).containsExactly(LocalDate.of(2011, 12, 28), LocalDate.of(2011, 12, 29),
                LocalDate.of(2011, 12, 31), LocalDate.of(2012, 1, 1));
        assertThat(starts).doesNotHaveDuplicates();
    }

    @ParameterizedTest
    @ValueSource(strings = {"", "every day", "FREQ=SOMETIMES", "FREQ=HOURLY", "FREQ=DAILY;BYHOUR=9,15", "RRULE:FREQ=DAILY", "FREQ=DAILY;COUNT=0",
            "FREQ=DAILY;INTERVAL=0"})
    void whatIsNoRuleOfWholeDaysIsRefusedWithOneThatIs(String rule) {
        assertThatThrownBy(() -> new Recurrence(rule, LocalDate.of(2026, 11, 2))).isInstanceOf(IllegalArgumentException.class)
                .hasMessageContaining("FREQ=").hasMessageContaining("must be");
    }
}
