package org.lampkeeper.web;

import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

import org.lampkeeper.thermal.ContentBody;

import static org.assertj.core.api.Assertions.assertThat;

class CabinetWordsTest {

    /** Bi = h·Lc / k, and lumped capacitance may be used under 0.1: Incropera, Fundamentals of Heat and Mass Transfer, ch. 5. */
    @ParameterizedTest
    @CsvSource({"7.7, 29, 50, 'Biot number 0.0044, under 0.1: one temperature stands for all of it'",
        "8, 29, 0.25, 'Biot number 0.92, not under 0.1: its outside is ahead of its inside and gets too cold or too hot sooner than a forecast from the drawings says'",
        "9.99, 10, 1, 'Biot number 0.099, under 0.1: one temperature stands for all of it'",
        "40, 29, 50, 'Biot number 0.023 with a fan on it, under 0.1: one temperature stands for all of it'"})
    void pageSaysWhetherOneTemperatureStandsForAllOfTheContent(double h, double millimetres, double conductivity, String words) {
        assertThat(CabinetResource.oneBody(new ContentBody(h, millimetres / 1000, conductivity))).isEqualTo(words);
    }
}
