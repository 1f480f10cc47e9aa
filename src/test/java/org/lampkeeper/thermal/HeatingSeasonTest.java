package org.lampkeeper.thermal;

import java.io.IOException;
import java.io.InputStream;
import java.nio.charset.StandardCharsets;
import java.time.LocalDate;
import java.util.ArrayList;
import java.util.List;
import java.util.stream.Stream;

import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

import org.lampkeeper.quantity.Celsius;
import org.lampkeeper.testing.SeattleDays;
import org.lampkeeper.testing.SeattleDays.Day;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;
import static org.assertj.core.api.Assertions.within;

class HeatingSeasonTest {

    private static final Celsius SET_POINT = new Celsius(8);

    /** As in seattle-weather.csv of vega-datasets 3.2.1 (NOAA). */
    private static final List<Day> COLD_SPELL = SeattleDays.between(LocalDate.of(2013, 12, 5), LocalDate.of(2013, 12, 9));

    /**
     * A year of hourly normals of Seattle (NOAA, in vega-datasets 3.2.1): as published, 8,759 hours between 3.1 and 24.4 °C, 11.13 in the mean, of which
     * 3,206 are below 8 °C, 944 of them in a row, and none is at frost. Their degree hours below 8 °C recomputed outside of Java: 7,442.2 K·h.
     */
    @Test
    void degreeHoursOfAYearOfHourlyNormals() throws IOException {
        List<Celsius> year = normals();
        assertThat(year).hasSize(8759);
        assertThat(year.stream().mapToDouble(Celsius::value).summaryStatistics()).satisfies(all -> {
            assertThat(all.getMin()).isEqualTo(3.1);
            assertThat(all.getMax()).isEqualTo(24.4);
            assertThat(all.getAverage()).isCloseTo(11.13, within(0.005));
        });
        assertThat(year.stream().filter(each -> each.value() < 8)).hasSize(3206);
        assertThat(longestBelow(year, 8)).isEqualTo(944);
        // The first hour is that of 01:00 on 1 January, and the coldest comes first at 05:00 on 22 December.
        assertThat(year.indexOf(new Celsius(3.1))).isEqualTo(355 * 24 + 5 - 1);

        HeatingSeason season = HeatingSeason.of(year, SET_POINT, new Enclosure(0.737, 7490), 30);

        assertThat(season.degreeHours()).isCloseTo(7442.2, within(0.05));
        assertThat(season.kilowattHours()).isCloseTo(0.737 * 7.4422, within(1e-4));
        assertThat(season.shortHours()).isZero();
        // 2 W hold 8 °C down to 5.29 °C, of which the coldest months have many hours below.
        HeatingSeason small = HeatingSeason.of(year, SET_POINT, new Enclosure(0.737, 7490), 2);
        assertThat(small.shortHours()).isEqualTo((int) year.stream().filter(each -> each.value() < 8 - 2 / 0.737).count()).isPositive();
        assertThat(small.kilowattHours()).isLessThan(season.kilowattHours());
    }

    private static int longestBelow(List<Celsius> hours, double celsius) {
        int longest = 0;
        int now = 0;
        for (Celsius each : hours) {
            now = each.value() < celsius ? now + 1 : 0;
            longest = Math.max(longest, now);
        }
        return longest;
    }

    private static List<Celsius> normals() throws IOException {
        try (InputStream file = HeatingSeasonTest.class.getResourceAsStream("/weather/seattle-hourly-normals.txt")) {
            return new String(file.readAllBytes(), StandardCharsets.UTF_8).lines().filter(line -> !line.startsWith("#")).flatMap(line -> Stream.of(line.split(" ")))
                    .map(each -> new Celsius(Double.parseDouble(each))).toList();
        }
    }

    /** Over whole days the waves cancel out: 24 · Σ (8 − mean) = 24 · 51.15 K·h, by hand. */
    @Test
    void degreeHoursOfTheColdSpell() {
        HeatingSeason pu = HeatingSeason.of(hours(), SET_POINT, new Enclosure(0.737, 7490), 50);

        assertThat(pu.degreeHours()).isCloseTo(1227.6, within(0.01));
        assertThat(pu.hours()).isEqualTo(120);
        assertThat(pu.shortHours()).isZero();
        assertThat(pu.kilowattHours()).isCloseTo(0.737 * 1.2276, within(1e-4));
    }

    /** 4.205 W/K: 50 W lift by 11.9 K, so below -3.9 °C it is too cold for the heater, and it takes no more than it has. */
    @Test
    void heaterTakesNoMoreThanItHas() {
        HeatingSeason steel = HeatingSeason.of(hours(), SET_POINT, new Enclosure(4.205, 7490), 50);
        long below = hours().stream().filter(each -> each.value() < 8 - 50 / 4.205).count();

        assertThat(steel.shortHours()).isEqualTo((int) below).isPositive();
        assertThat(steel.kilowattHours()).isLessThan(4.205 * 1.2276).isGreaterThan(4.205 * 1.2276 * 0.9);
    }

    @Test
    void warmHoursTakeNothing() {
        assertThat(HeatingSeason.of(ThermalFixture.celsius(8, 9, 30), SET_POINT, new Enclosure(1, 7490), 50)).isEqualTo(new HeatingSeason(0, 0, 0, 0));
    }

    /** Our illustrative cabinet, no published figures: what holds 8 °C at -5. Recomputed as U·A · 13 K. */
    @ParameterizedTest
    @CsvSource({"4.205, 54.7", "1.651, 21.5", "0.737, 9.6"})
    void heaterThatHoldsAtMinusFive(double wattPerKelvin, double watt) {
        assertThat(new Enclosure(wattPerKelvin, 7490).holding(SET_POINT, new Celsius(-5))).isCloseTo(watt, within(0.05));
        assertThat(HeaterReach.nominal(SET_POINT, watt, new Enclosure(wattPerKelvin, 7490)).holdsDownTo()).isCloseTo(-5, within(0.05));
    }

    /** From drawings a lift is as uncertain as they are, half to twice: 10 W over 1 W/K. */
    @Test
    void reachFromDrawingsIsHalfToTwice() {
        HeaterReach reach = HeaterReach.nominal(SET_POINT, 10, new Enclosure(1, 7490));

        assertThat(reach).isEqualTo(new HeaterReach(SET_POINT, 5, 10, 20));
    }

    @Test
    void warmerOutsideTakesNoHeating() {
        assertThat(new Enclosure(1, 7490).holding(SET_POINT, new Celsius(9))).isZero();
    }

    @Test
    void reachIsARange() {
        HeaterReach reach = new HeaterReach(SET_POINT, 10, 13, 19);

        assertThat(reach.words()).isEqualTo("holds 8 °C down to -5 °C (-11 to -2)");
        assertThat(reach.in(new Celsius(-2))).isEqualTo(HeaterReach.Winter.HOLDS);
        assertThat(reach.in(new Celsius(-2.1))).isEqualTo(HeaterReach.Winter.UNSURE);
        assertThat(reach.in(new Celsius(-11))).isEqualTo(HeaterReach.Winter.UNSURE);
        assertThat(reach.in(new Celsius(-11.1))).isEqualTo(HeaterReach.Winter.TOO_SMALL);
        assertThatThrownBy(() -> new HeaterReach(SET_POINT, 2, 1, 3)).hasMessageContaining("must be in order");
    }

    /** The hours are synthetic, made from real daily values: a cosine, warmest at 15 o'clock. */
    private static List<Celsius> hours() {
        List<Celsius> hours = new ArrayList<>();
        for (Day day : COLD_SPELL) {
            for (int hour = 0; hour < 24; hour++) {
                hours.add(new Celsius((day.highest() + day.lowest()) / 2 + (day.highest() - day.lowest()) / 2 * Math.cos(2 * Math.PI * (hour - 15) / 24)));
            }
        }
        return hours;
    }
}
