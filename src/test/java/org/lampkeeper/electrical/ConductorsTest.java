package org.lampkeeper.electrical;

import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

import org.lampkeeper.electrical.Conductors.Protective;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;
import static org.assertj.core.api.Assertions.within;
import static org.lampkeeper.electrical.LimitsFixture.A2;

class ConductorsTest {

    /** On-Site Guide Table I1 as reprinted in M. Locke, Guide to the Wiring Regulations, appendix 4: mΩ/m. */
    @ParameterizedTest
    @CsvSource({"1, 1, 36.2", "1.5, 1, 30.2", "1.5, 1.5, 24.2", "2.5, 1.5, 19.51", "2.5, 2.5, 14.82", "4, 1.5, 16.71", "4, 2.5, 12.02", "4, 4, 9.22",
            "6, 2.5, 10.49", "6, 6, 6.16", "10, 4, 6.44", "10, 10, 3.66"})
    void sumIsThatOfTheTable(double line, double protective, double milliohm) {
        assertThat(Conductors.r1r2(line, protective, Protective.CORE, 1000, Conductor.PLAIN, A2) * 1000).isCloseTo(milliohm * 1000, within(0.5));
    }

    /** IEC 60228, class 1 and 2, plain copper (uecables.com): mΩ/m at 20 °C. */
    @ParameterizedTest
    @CsvSource({"1, 18.1", "1.5, 12.1", "2.5, 7.41", "4, 4.61", "6, 3.08", "10, 1.83"})
    void conductorIsThatOfTheTable(double size, double milliohm) {
        assertThat(Conductors.r1r2(size, size, Protective.CORE, 1000, Conductor.PLAIN, A2)).isCloseTo(2 * milliohm, within(1e-9));
    }

    /** M. Locke, appendix 4: steel-wire armour of three-core cable, mΩ/m at 20 °C. */
    @ParameterizedTest
    @CsvSource({"1.5, 9.5", "2.5, 8.2", "4, 7.5", "6, 6.7"})
    void armourIsThatOfTheTable(double size, double milliohm) {
        double line = Conductors.r1r2(size, size, Protective.CORE, 1000, Conductor.PLAIN, A2) / 2;

        assertThat(Conductors.r1r2(size, size, Protective.ARMOUR, 1000, Conductor.PLAIN, A2) - line).isCloseTo(milliohm, within(1e-9));
    }

    /** The same source, steel-wire armour as the only protective conductor; recomputed sums. */
    @ParameterizedTest
    @CsvSource({"1.5, 21.6", "2.5, 15.61", "4, 12.11", "6, 9.78"})
    void armourAloneIsThatOfTheTable(double line, double milliohm) {
        assertThat(Conductors.r1r2(line, line, Protective.ARMOUR, 1000, Conductor.PLAIN, A2)).isCloseTo(milliohm, within(0.0005));
    }

    /** Recomputed: 7.41 beside 8.2 is 3.893 mΩ/m, 30 m of 2.5 mm² with both 0.3391 Ω. */
    @Test
    void coreWithTheArmourBesideItIsLessThanEither() {
        assertThat(Conductors.parallel(7.41, 8.2)).isCloseTo(3.893, within(0.0005));
        assertThat(Conductors.r1r2(2.5, 2.5, Protective.CORE_AND_ARMOUR, 30, Conductor.PLAIN, A2)).isCloseTo(0.3391, within(0.00005));
    }

    /** electriciansforums.net, thread 62865: 22 m of 2.5/1.5 mm²: 0.163 + 0.266 = 0.429 Ω. */
    @Test
    void workedExampleOfATeacher() {
        assertThat(Conductors.r1r2(2.5, 1.5, Protective.CORE, 22, Conductor.PLAIN, A2)).isCloseTo(0.429, within(0.0005));
    }

    /** uecables.com, IEC 60228 by 234.5 + t: a reading times these is at 20 °C. The 0.004 of the trade's tables is within 0.005 of it. */
    @ParameterizedTest
    @CsvSource({"5, 1.064", "10, 1.042", "15, 1.020", "25, 0.980", "30, 0.962"})
    void correctionIsThatOfTheCableMakers(double celsius, double factor) {
        assertThat(Conductors.at20(1, celsius)).isCloseTo(factor, within(0.005));
    }

    /** On-Site Guide Table I3 (diydoctor.org.uk, topic 2402) 1.20; 1.28 from memory; IEC 60228 by 0.00393 a degree: 1.1965 and 1.2751. */
    @ParameterizedTest
    @CsvSource({"thermoplastic 70, 1.20, 1.1965", "thermosetting 90, 1.28, 1.2751"})
    void hotFactorIsThatOfTheTable(String insulation, double factor, double exact) {
        assertThat(A2.insulations().get(insulation).hotFactor()).isEqualTo(factor).isCloseTo(exact, within(0.005));
        assertThat(1 / Conductors.at20(1, A2.insulations().get(insulation).conductorLimit())).isCloseTo(factor, within(1e-9));
    }

    /** On-Site Guide Table I2, from memory: a reading is divided by 0.94, 0.96, 0.98, 1.00, 1.02 at 5 to 25 °C. */
    @ParameterizedTest
    @CsvSource({"5, 0.94", "10, 0.96", "15, 0.98", "20, 1.00", "25, 1.02"})
    void coldReadingGrowsWhenItIsCorrected(double celsius, double factor) {
        assertThat(Conductors.at20(1, celsius)).isCloseTo(1 / factor, within(1e-9));
    }

    /** IEC 60228 (uecables.com): tinned class 2 and plain class 5, mΩ/m at 20 °C. */
    @ParameterizedTest
    @CsvSource({"TINNED, 1, 18.2", "TINNED, 1.5, 12.2", "TINNED, 2.5, 7.56", "TINNED, 4, 4.70", "TINNED, 6, 3.11", "TINNED, 10, 1.84", "FLEXIBLE, 1, 19.5", "FLEXIBLE, 1.5, 13.3",
            "FLEXIBLE, 2.5, 7.98", "FLEXIBLE, 4, 4.95", "FLEXIBLE, 6, 3.30", "FLEXIBLE, 10, 1.91"})
    void tinnedAndFlexibleConductorsAreThoseOfTheTable(Conductor conductor, double size, double milliohm) {
        assertThat(Conductors.line(size, 1000, conductor, A2)).isCloseTo(milliohm, within(1e-9)).isGreaterThan(Conductors.line(size, 1000, Conductor.PLAIN, A2));
        assertThat(Conductors.r1r2(size, size, Protective.CORE, 1000, conductor, A2)).isCloseTo(2 * milliohm, within(1e-9));
        assertThat(Conductors.agreement(2 * milliohm, 20, 2 * milliohm, conductor, A2).inputs()).contains(conductor.words());
    }

    /** 643.2 (18theditionmock.com): 4 to 24 V with nothing connected, at least 200 mA. */
    @Test
    void conductorsAreMeasuredWithAnInstrumentForIt() {
        assertThat(Conductors.agreement(0.4, 20, 0.4, Conductor.PLAIN, A2).formula()).endsWith("measured with 4 to 24 V and at least 200 mA");
    }

    @Test
    void separateConductorIsReckonedLikeACoreAndConduitIsNotReckoned() {
        assertThat(Conductors.r1r2(2.5, 4, Protective.SEPARATE, 1000, Conductor.PLAIN, A2)).isCloseTo(12.02, within(1e-9));
        assertThatThrownBy(() -> Conductors.r1r2(2.5, 2.5, Protective.CONDUIT, 30, Conductor.PLAIN, A2)).isInstanceOf(IllegalArgumentException.class).hasMessageContaining("no resistance of steel conduit");
    }
}
