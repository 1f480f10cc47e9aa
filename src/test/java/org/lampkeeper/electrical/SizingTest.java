package org.lampkeeper.electrical;

import net.jqwik.api.ForAll;
import net.jqwik.api.Property;
import net.jqwik.api.constraints.DoubleRange;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;
import static org.assertj.core.api.Assertions.within;
import static org.lampkeeper.electrical.LimitsFixture.A2;
import static org.lampkeeper.electrical.LimitsFixture.PVC;
import static org.lampkeeper.electrical.LimitsFixture.XLPE;

class SizingTest {

    /** Tables 4E4A (a wholesaler's catalogue, p. 488) and 4D4A (from memory), method C, 30 °C, one circuit. */
    @ParameterizedTest
    @CsvSource({"1.5, 21, 27", "2.5, 28, 36", "4, 38, 49", "6, 49, 62", "10, 67, 85"})
    void ratingIsThatOfTheTables(double size, double pvc, double xlpe) {
        assertThat(new Sizing(PVC, size, 10, A2).rating(30, 1)).contains(pvc);
        assertThat(new Sizing(XLPE, size, 10, A2).rating(30, 1)).contains(xlpe);
    }

    /** Table 4B1 (a code of practice's copy): 28 A · 0.87 at 40 °C; a temperature between two rows counts as the hotter. */
    @ParameterizedTest
    @CsvSource({"40, 1, 24.36", "36, 1, 24.36", "30, 2, 22.4", "30, 6, 15.96", "10, 1, 28.84"})
    void ratingFallsWithWarmthAndCompany(double ambient, int circuits, double ampere) {
        assertThat(new Sizing(PVC, 2.5, 10, A2).rating(ambient, circuits).orElseThrow()).isCloseTo(ampere, within(0.0001));
    }

    @Test
    void whatTheTablesDoNotHaveIsNotJudged() {
        assertThat(new Sizing(PVC, 2.5, 10, A2).carries(16, 61, 1).grade()).isEqualTo(Grade.NOT_GIVEN);
        assertThat(new Sizing(PVC, 2.5, 10, A2).carries(16, 30, 7).grade()).isEqualTo(Grade.NOT_GIVEN);
        assertThat(new Sizing(PVC, 2.5, 10, A2).carries(16, 30, 6).grade()).isEqualTo(Grade.OUTSIDE);
        assertThat(new Sizing(PVC, 2.5, 10, A2).carries(16, 40, 1).grade()).isEqualTo(Grade.WITHIN);
    }

    /** izapp.app, C&G 2391 lesson: 18 mV/A/m, 16 A, 18 m: 5.18 V (2.25 %); the other two recomputed with 19 mV/A/m. */
    @ParameterizedTest
    @CsvSource({"thermoplastic 70, 18, 16, 5.184", "thermosetting 90, 30, 3, 1.71", "thermosetting 90, 30, 16, 9.12"})
    void dropIsThatOfTheWorkedExamples(String insulation, double metres, double ampere, double volt) {
        assertThat(new Sizing(insulation, 2.5, metres, A2).dropVolt(ampere)).isCloseTo(volt, within(1e-9));
        assertThat(new Sizing(insulation, 2.5, metres, A2).drop(ampere, 230).grade()).isEqualTo(Grade.WITHIN);
    }

    /** Table 4Ab, 5 % of 230 V is 11.5 V. */
    @ParameterizedTest
    @CsvSource({"39.93, WITHIN", "39.94, OUTSIDE"})
    void dropIsJudgedByTheUnroundedLimit(double metres, Grade grade) {
        assertThat(new Sizing(PVC, 2.5, metres, A2).drop(16, 230).grade()).isEqualTo(grade);
    }

    /** 543.1.3, recomputed. */
    @ParameterizedTest
    @CsvSource({"1000, 0.1, 115, 2.750", "1000, 0.4, 115, 5.499", "500, 0.1, 143, 1.106", "237.7, 0.1, 143, 0.526"})
    void adiabaticEquation(double ampere, double seconds, double k, double size) {
        assertThat(Sizing.adiabatic(ampere, seconds, k)).isCloseTo(size, within(0.001));
    }

    @Test
    void armourNeedsMoreThanACore() {
        Sizing cable = new Sizing(XLPE, 2.5, 30, A2);

        assertThat(cable.bears(2.5, false, 1000, 0.1).grade()).isEqualTo(Grade.WITHIN);
        assertThat(cable.bears(2.5, true, 1000, 0.1).grade()).isEqualTo(Grade.OUTSIDE);
        assertThatThrownBy(() -> Sizing.adiabatic(1000, 5.1, 115)).hasMessageContaining("at most 5");
    }

    /** BS 1362: 3 A and 13 A; a heater of 150 W takes 0.65 A at 230 V, recomputed. */
    @ParameterizedTest
    @CsvSource({"150, 3, 16, WITHIN", "690, 3, 16, WITHIN", "691, 3, 16, OUTSIDE", "150, 13, 16, LOOK_AGAIN", "1500, 13, 16, WITHIN", "150, 13, 10, OUTSIDE"})
    void fuseFitsLoadAndDevice(double watt, int fuse, int device, Grade grade) {
        assertThat(Sizing.fuse(watt, 230, fuse, device, A2).grade()).isEqualTo(grade);
    }

    @Test
    void whatCannotBeIsRefusedWithWhatCan() {
        assertThatThrownBy(() -> new Sizing("paper", 2.5, 10, A2)).hasMessageContaining("thermoplastic 70, thermosetting 90");
        assertThatThrownBy(() -> new Sizing(PVC, 16, 10, A2)).hasMessageContaining("must be one of 1.5, 2.5, 4, 6, 10 mm²");
        assertThatThrownBy(() -> new Sizing(PVC, 2.5, -3, A2)).hasMessageContaining("must be more than 0");
    }

    @Property
    void longerCableNeverDropsLessAndAThickerOneNeverMore(@ForAll @DoubleRange(min = 0.1, max = 500) double metres, @ForAll @DoubleRange(max = 100) double more,
            @ForAll @DoubleRange(max = 60) double ampere) {
        assertThat(new Sizing(XLPE, 2.5, metres + more, A2).dropVolt(ampere)).isGreaterThanOrEqualTo(new Sizing(XLPE, 2.5, metres, A2).dropVolt(ampere));
        assertThat(new Sizing(XLPE, 4, metres, A2).dropVolt(ampere)).isLessThanOrEqualTo(new Sizing(XLPE, 2.5, metres, A2).dropVolt(ampere));
    }
}
