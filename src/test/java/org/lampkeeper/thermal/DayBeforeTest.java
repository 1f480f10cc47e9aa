package org.lampkeeper.thermal;

import java.time.Duration;
import java.time.Instant;
import java.util.List;
import java.util.function.IntToDoubleFunction;
import java.util.stream.IntStream;

import org.junit.jupiter.api.Test;

import org.lampkeeper.quantity.Celsius;
import org.lampkeeper.thermal.DayBefore.Seen;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.within;

/** Exact by construction: a day that comes again is met, and what is not on record is not made up. */
class DayBeforeTest {

    private static final Instant NOON = Instant.parse("2026-12-01T12:00:00Z");
    private static final Duration AHEAD = Duration.ofHours(48);

    @Test
    void dayThatComesAgainIsMetAtEachHour() {
        Outside ahead = DayBefore.ahead(quarters(-96, quarter -> wave(quarter)), new Seen(NOON, new Celsius(wave(0))), AHEAD);

        ahead.knots(NOON, NOON.plus(AHEAD)).forEach(knot -> assertThat(knot.celsius()).isCloseTo(wave((int) (knot.seconds() / 900)), within(1e-9)));
    }

    @Test
    void itBeginsAtWhatItIsNowAndCarriesNoTrendOn() {
        Outside ahead = DayBefore.ahead(quarters(-96, quarter -> wave(quarter) + quarter / 96.0 * 4), new Seen(NOON, new Celsius(wave(0))), AHEAD);

        List<Outside.Knot> knots = ahead.knots(NOON, NOON.plus(AHEAD));

        assertThat(knots.get(0).celsius()).isCloseTo(wave(0), within(1e-9));
        assertThat(knots.get(24).celsius()).isCloseTo(wave(0), within(1e-9));
        assertThat(knots.get(12).celsius()).isCloseTo(wave(48), within(1e-9));
    }

    @Test
    void lessThanADayOnRecordStaysAsItIs() {
        Seen last = new Seen(NOON, new Celsius(-3));

        assertThat(DayBefore.ahead(List.of(), last, AHEAD)).isEqualTo(new Outside.Constant(new Celsius(-3)));
        assertThat(DayBefore.ahead(quarters(-92, quarter -> wave(quarter)), last, AHEAD)).isEqualTo(new Outside.Constant(new Celsius(-3)));
        assertThat(DayBefore.ahead(quarters(-96, quarter -> wave(quarter)), last, AHEAD)).isInstanceOf(Outside.Hourly.class);
    }

    @Test
    void holeOfMoreThanTwoHoursStaysAsItIs() {
        List<Seen> holed = quarters(-96, quarter -> wave(quarter)).stream()
                .filter(each -> each.at().isBefore(NOON.minus(Duration.ofHours(9))) || each.at().isAfter(NOON.minus(Duration.ofHours(7)))).toList();

        assertThat(DayBefore.ahead(holed, new Seen(NOON, new Celsius(-3)), AHEAD)).isEqualTo(new Outside.Constant(new Celsius(-3)));
    }

    /** What was not heard before the day that is gone by does not count. */
    @Test
    void holeBeforeTheDayIsNone() {
        List<Seen> holed = quarters(-120, quarter -> wave(quarter)).stream()
                .filter(each -> each.at().isBefore(NOON.minus(Duration.ofHours(28))) || !each.at().isBefore(NOON.minus(Duration.ofHours(24)))).toList();

        assertThat(DayBefore.ahead(holed, new Seen(NOON, new Celsius(wave(0))), AHEAD)).isInstanceOf(Outside.Hourly.class);
    }

    /** Beyond the coldest and the hottest that were ever measured, -89.2 and 56.7 °C (World Meteorological Organization), each by itself. */
    @Test
    void colderOrHotterThanWasEverMeasuredStaysAsItIs() {
        for (double failed : new double[] {-95, 60}) {
            Outside ahead = DayBefore.ahead(quarters(-96, quarter -> quarter == -40 ? failed : 0), new Seen(NOON, new Celsius(0)), AHEAD);

            assertThat(ahead).as("once %.0f °C", failed).isEqualTo(new Outside.Constant(new Celsius(0)));
        }
    }

    /** A thermometer that swings between the ends of what it can say: 150 °C a day ago, -100 °C since. */
    @Test
    void whatIsNoWeatherStaysAsItIs() {
        Seen last = new Seen(NOON, new Celsius(-100));

        assertThat(DayBefore.ahead(quarters(-96, quarter -> quarter == -96 ? 150 : -100), last, AHEAD)).isEqualTo(new Outside.Constant(new Celsius(-100)));
    }

    private static List<Seen> quarters(int first, IntToDoubleFunction celsius) {
        return IntStream.range(first, 0).mapToObj(quarter -> new Seen(NOON.plusSeconds(quarter * 900L), new Celsius(celsius.applyAsDouble(quarter)))).toList();
    }

    private static double wave(int quarter) {
        return -3 + 3 * Math.cos(2 * Math.PI * quarter / 96);
    }
}
