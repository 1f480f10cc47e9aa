package org.lampkeeper.thermal;

import java.time.Instant;
import java.time.ZoneId;
import java.util.Optional;

import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.EnumSource;

import org.lampkeeper.quantity.Celsius;
import org.lampkeeper.thermal.Outcome.AlreadyPast;
import org.lampkeeper.thermal.Outcome.Expected;
import org.lampkeeper.thermal.Outcome.NoForecast;
import org.lampkeeper.thermal.Outcome.NotExpected;
import org.lampkeeper.thermal.Outcome.Reason;
import org.lampkeeper.thermal.TimeConstant.Basis;

import static org.assertj.core.api.Assertions.assertThat;
import static org.lampkeeper.thermal.ThermalFixture.between;
import static org.lampkeeper.thermal.ThermalFixture.forecast;
import static org.lampkeeper.thermal.ThermalFixture.situation;

class OutcomeTest {

    private static final ZoneId LONDON = ZoneId.of("Europe/London");
    private static final Bound FROST = Bound.below(new Celsius(0));
    private static final Instant NOW = Instant.parse("2026-01-12T22:00:00Z");

    @Test
    void rangeIsSaidWithItsCondition() {
        assertThat(expected("2026-01-13T02:43:10Z", "2026-01-13T04:06:00Z").words(LONDON, NOW))
                .isEqualTo("content below 0 °C between 02:40 and 04:10 if nothing changes");
    }

    /** From the figures to the words: τ 2.9 to 3.8 h, 8 °C inside and -2 outside: 4:40 to 6:07 later, rounded apart. */
    @Test
    void forecastBecomesASentence() {
        assertThat(forecast(situation(8, -2, between(2.9, 3.3, 3.8))).tooCold().words(LONDON, NOW))
                .isEqualTo("content below 0 °C between 02:40 and 04:10 if nothing changes");
        assertThat(forecast(situation(8, -2, between(2.9, 3.3, 3.8))).tooHot().words(LONDON, NOW))
                .isEqualTo("content above 50 °C not expected before 15 Jan 22:00");
        assertThat(forecast(situation(8, -2, new Enclosure(0.737, 7490).timeConstant())).tooCold().words(LONDON, NOW))
                .endsWith("if nothing changes (rough: no cool-down on record yet)");
    }

    /** Biot number 0.888: one temperature does not stand for all of it (Incropera, ch. 5), and who is told the time is told so. */
    @Test
    void forecastFromDrawingsOfThickContentSaysThatItsOutsideIsSooner() {
        TimeConstant nominal = new Enclosure(0.737, 7490).timeConstant(new ContentBody(7.7, 0.0288, 0.25));

        assertThat(forecast(situation(8, -2, nominal)).tooCold().words(LONDON, NOW))
                .endsWith("if nothing changes (rough: no cool-down on record yet, and the outside of so thick a content gets there sooner)");
    }

    @ParameterizedTest
    @CsvSource({
            "2026-01-12T22:04:00Z, 2026-01-12T22:30:00Z, between now and 22:30",
            "2026-01-12T21:30:00Z, 2026-01-12T23:01:00Z, between now and 23:05",
            "2026-01-12T21:30:00Z, 2026-01-12T21:50:00Z, by now",
            "2026-01-13T09:55:00Z, 2026-01-13T10:05:00Z, between 09:55 and 10:05",
            "2026-01-13T10:00:00Z, 2026-01-13T10:05:00Z, between 13 Jan 10:00 and 10:05",
            "2026-01-14T02:40:00Z, 2026-01-14T04:10:00Z, between 14 Jan 02:40 and 04:10",
            "2026-01-14T22:40:00Z, 2026-01-15T04:10:00Z, between 14 Jan 22:40 and 15 Jan 04:10",
            "2026-01-13T02:40:00Z, , from 02:40 at the earliest",
            "2026-01-12T21:40:00Z, , from now on at the earliest"})
    void rangeAsSeenFromNow(String early, String late, String words) {
        assertThat(expected(early, late).words(LONDON, NOW)).isEqualTo("content below 0 °C " + words + " if nothing changes");
    }

    /** The clocks of London went back at 01:00 UTC on 25 October 2026: half past one came twice, an hour apart. */
    @Test
    void hourThatComesTwiceIsToldApart() {
        Instant evening = Instant.parse("2026-10-24T22:00:00Z");

        assertThat(expected("2026-10-25T00:30:00Z", "2026-10-25T01:30:00Z").words(LONDON, evening))
                .isEqualTo("content below 0 °C between 01:30 BST and 01:30 GMT if nothing changes");
        assertThat(expected("2026-10-24T23:30:00Z", "2026-10-25T02:30:00Z").words(LONDON, evening))
                .isEqualTo("content below 0 °C between 00:30 and 02:30 if nothing changes");
    }

    /** On 29 March 2026 one o'clock was two o'clock: ten minutes reach over the gap. */
    @Test
    void hourThatIsLeftOutIsNeverSaid() {
        assertThat(expected("2026-03-29T00:55:00Z", "2026-03-29T01:05:00Z").words(LONDON, Instant.parse("2026-03-28T23:00:00Z")))
                .isEqualTo("content below 0 °C between 00:55 and 02:05 if nothing changes");
    }

    @Test
    void timesAreThoseOfTheSite() {
        assertThat(expected("2026-01-13T02:40:00Z", "2026-01-13T04:10:00Z").words(ZoneId.of("Europe/Oslo"), NOW)).contains("between 03:40 and 05:10");
    }

    @Test
    void whatIsPastIsSaidAsMeasured() {
        assertThat(new AlreadyPast(FROST, new Celsius(-0.44), NOW.minusSeconds(61)).words(LONDON, NOW)).isEqualTo("content below 0 °C already: -0.4 °C at 21:58");
        assertThat(new AlreadyPast(Bound.above(new Celsius(40.5)), new Celsius(41), NOW).words(LONDON, NOW))
                .isEqualTo("content above 40.5 °C already: 41 °C at 22:00");
    }

    /** What is a twentieth of a kelvin below is no minus nothing. */
    @Test
    void zeroHasNoSign() {
        assertThat(Bound.degrees(new Celsius(-0.04))).isEqualTo("0 °C");
        assertThat(Bound.degrees(new Celsius(-0.06))).isEqualTo("-0.1 °C");
    }

    @Test
    void whatIsNotExpectedSaysUntilWhen() {
        assertThat(new NotExpected(FROST, Instant.parse("2026-01-15T22:03:00Z")).words(LONDON, NOW))
                .isEqualTo("content below 0 °C not expected before 15 Jan 22:00");
    }

    @ParameterizedTest
    @EnumSource(Reason.class)
    void noForecastSaysWhyAndNoNumber(Reason reason) {
        assertThat(new NoForecast(reason).words(LONDON, NOW)).startsWith("no forecast: ").doesNotContainPattern("\\d");
    }

    @Test
    void missingTemperatureAndMissingLimit() {
        assertThat(new NoForecast(Reason.NO_TEMPERATURE).words(LONDON, NOW)).isEqualTo("no forecast: no temperature");
        assertThat(new NoForecast(Reason.NO_LIMIT).words(LONDON, NOW)).isEqualTo("no forecast: no limit");
    }

    private static Outcome expected(String early, String late) {
        Optional<Instant> end = Optional.ofNullable(late).map(Instant::parse);
        return new Expected(FROST, Instant.parse(early), end, end, Instant.parse("2026-10-30T00:00:00Z"), Basis.LEARNED);
    }
}
