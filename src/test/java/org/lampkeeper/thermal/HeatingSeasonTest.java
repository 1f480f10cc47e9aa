package org.lampkeeper.thermal;

import java.util.ArrayList;
import java.util.List;

import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

import org.lampkeeper.quantity.Celsius;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;
import static org.assertj.core.api.Assertions.within;

class HeatingSeasonTest {

    private static final Celsius SET_POINT = new Celsius(8);

    /** Daily highest and lowest in Seattle, 2013-12-05 to 09, as in seattle-weather.csv of vega-datasets 3.2.1 (NOAA). */
    private static final double[][] COLD_SPELL = {{1.1, -4.9}, {1.1, -4.3}, {0.0, -7.1}, {2.2, -6.6}, {1.1, -4.9}};

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
        for (double[] day : COLD_SPELL) {
            for (int hour = 0; hour < 24; hour++) {
                hours.add(new Celsius((day[0] + day[1]) / 2 + (day[0] - day[1]) / 2 * Math.cos(2 * Math.PI * (hour - 15) / 24)));
            }
        }
        return hours;
    }
}
