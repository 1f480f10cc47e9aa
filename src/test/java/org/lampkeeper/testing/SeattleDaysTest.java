package org.lampkeeper.testing;

import java.time.LocalDate;
import java.util.Comparator;

import org.junit.jupiter.api.Test;

import org.lampkeeper.testing.SeattleDays.Day;

import static org.assertj.core.api.Assertions.assertThat;

/** What the tests take for the weather is what was published: data/seattle-weather.csv of vega-datasets 3.2.1, counted apart from this program. */
class SeattleDaysTest {

    @Test
    void daysAreThoseOfTheFile() {
        assertThat(SeattleDays.all()).hasSize(1461);
        assertThat(SeattleDays.all().stream().filter(each -> each.lowest() <= 0)).hasSize(88);
        assertThat(SeattleDays.all().stream().filter(each -> each.lowest() < 0)).hasSize(72);
        Day coldest = SeattleDays.all().stream().min(Comparator.comparingDouble(Day::lowest)).orElseThrow();
        assertThat(coldest.lowest()).isEqualTo(-7.1);
        assertThat(SeattleDays.FIRST.plusDays(SeattleDays.all().indexOf(coldest))).isEqualTo("2013-12-07");
    }

    @Test
    void coldSpellHasTheseFiveDays() {
        assertThat(SeattleDays.between(LocalDate.of(2013, 12, 5), LocalDate.of(2013, 12, 9))).containsExactly(new Day(1.1, -4.9), new Day(1.1, -4.3),
                new Day(0, -7.1), new Day(2.2, -6.6), new Day(1.1, -4.9));
    }
}
