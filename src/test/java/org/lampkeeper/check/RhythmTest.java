package org.lampkeeper.check;

import java.time.DayOfWeek;
import java.time.LocalDate;
import java.util.Arrays;
import java.util.Set;
import java.util.stream.Collectors;

import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.ValueSource;

import org.lampkeeper.check.Rhythm.Pace;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

/** The rules are RFC 5545, section 3.3.10; the words are ours. */
class RhythmTest {

    private static final LocalDate WEDNESDAY = LocalDate.parse("2026-11-25");

    @ParameterizedTest
    @CsvSource(delimiter = '|', value = {
            "EVERY_DAY | 1 |               | FREQ=DAILY                            | every day",
            "WEEKDAYS  | 1 |               | FREQ=WEEKLY;BYDAY=MO,TU,WE,TH,FR      | Monday to Friday",
            "WEEKS     | 1 | SUNDAY MONDAY | FREQ=WEEKLY;BYDAY=MO,SU               | every week on Mon and Sun",
            "WEEKS     | 2 | FRIDAY        | FREQ=WEEKLY;INTERVAL=2;BYDAY=FR       | every 2 weeks on Fri",
            "MONTHS    | 1 |               | FREQ=MONTHLY;BYMONTHDAY=25            | every month",
            "MONTHS    | 6 |               | FREQ=MONTHLY;INTERVAL=6;BYMONTHDAY=25 | every 6 months"})
    void rhythmIsARuleAndIsReadBackFromIt(Pace pace, int every, String days, String rule, String words) {
        Rhythm rhythm = new Rhythm(pace, every, days == null ? Set.of()
                : Arrays.stream(days.split(" ")).map(DayOfWeek::valueOf).collect(Collectors.toSet()));

        Recurrence recurrence = rhythm.from(WEDNESDAY);

        assertThat(recurrence.rule()).isEqualTo(rule);
        assertThat(Rhythm.of(recurrence)).contains(rhythm);
        assertThat(rhythm.words()).isEqualTo(words);
    }

    @Test
    void weeksWithoutADayAreThoseOfTheFirstDay() {
        assertThat(new Rhythm(Pace.WEEKS, 1, Set.of()).from(WEDNESDAY).rule()).isEqualTo("FREQ=WEEKLY;BYDAY=WE");
    }

    @Test
    void dayThatNotEveryMonthHasIsTheLastOfEach() {
        LocalDate end = LocalDate.parse("2027-01-31");

        assertThat(new Rhythm(Pace.MONTHS, 1, Set.of()).from(end).days(end, LocalDate.parse("2027-05-01")))
                .containsExactly(end, LocalDate.parse("2027-02-28"), LocalDate.parse("2027-03-31"), LocalDate.parse("2027-04-30"));
    }

    @ParameterizedTest
    @ValueSource(strings = {"FREQ=DAILY;COUNT=3", "FREQ=MONTHLY;BYDAY=1FR", "FREQ=YEARLY", "FREQ=DAILY;INTERVAL=2", "FREQ=WEEKLY;BYDAY=WE;WKST=SU",
            "FREQ=MONTHLY;BYMONTHDAY=1", "FREQ=WEEKLY;INTERVAL=60;BYDAY=WE"})
    void ruleThatSaysMoreIsNoRhythm(String rule) {
        assertThat(Rhythm.of(new Recurrence(rule, WEDNESDAY))).isEmpty();
    }

    @Test
    void whatIsNoRhythmIsRefused() {
        assertThatThrownBy(() -> new Rhythm(Pace.WEEKS, 0, Set.of())).hasMessageContaining("must be 1 to 48");
        assertThatThrownBy(() -> new Rhythm(Pace.MONTHS, 49, Set.of())).hasMessageContaining("must be 1 to 48");
        assertThatThrownBy(() -> new Rhythm(Pace.EVERY_DAY, 2, Set.of())).hasMessageContaining("must be 1");
    }
}
