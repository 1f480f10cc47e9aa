package org.lampkeeper.electrical;

import java.util.OptionalInt;

import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

import org.lampkeeper.electrical.Surroundings.ResidualType;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;
import static org.assertj.core.api.Assertions.within;
import static org.lampkeeper.electrical.LimitsFixture.A2;

class SurroundingsTest {

    /** IEC 60529, codes from secondary copies; the needs of harbours (IPX4, IPX5, IPX6, IP3X) from the trade press. */
    @ParameterizedTest
    @CsvSource({"IP65, SPLASH, WITHIN", "IP65, JETS, WITHIN", "IP65, WAVES, OUTSIDE", "IP66, WAVES, WITHIN", "IP67, JETS, OUTSIDE", "IP65/IP67, JETS, WITHIN",
            "IP67, SPLASH, WITHIN", "IPX4, SPLASH, LOOK_AGAIN", "IP24, SPLASH, OUTSIDE", "IP6X, SPLASH, LOOK_AGAIN"})
    void enclosureIsMeasuredAgainstTheWaterOfItsPlace(String code, Exposure exposure, Grade expected) {
        Verdict verdict = Surroundings.enclosure(IpCode.of(code).orElseThrow(), code, exposure, A2);

        assertThat(verdict.grade()).isEqualTo(expected);
        assertThat(verdict.source()).contains("IEC 60529");
    }

    /** Common practice, no source: 1.0 to 1.5 m; a handle of at most 1.2 m is kinder. */
    @ParameterizedTest
    @CsvSource({"0.99, LOOK_AGAIN, 1", "1.0, WITHIN, 0", "1.2, WITHIN, 0", "1.21, WITHIN, 1", "1.5, WITHIN, 1", "1.51, LOOK_AGAIN, 1"})
    void heightIsWhatSomebodyReaches(double metres, Grade expected, int advice) {
        Verdict verdict = Surroundings.height(metres, A2);

        assertThat(verdict.grade()).isEqualTo(expected);
        assertThat(verdict.advice()).hasSize(advice);
        assertThat(verdict.source()).isEqualTo("common practice, no source");
    }

    /** 411.5 for TT; ESQCR 2002 reg. 9(4) for boats; a broken combined neutral: common practice, no source. */
    @ParameterizedTest
    @CsvSource({"TT, false, 0, OUTSIDE", "TT, false, 30, LOOK_AGAIN", "TN_C_S, true, 30, LOOK_AGAIN", "TN_C_S, false, 30, WITHIN", "TN_S, true, 0, WITHIN"})
    void earthingSaysWhatToMindOutdoors(Earthing earthing, boolean isMetal, int milliampere, Grade expected) {
        OptionalInt residual = milliampere == 0 ? OptionalInt.empty() : OptionalInt.of(milliampere);

        assertThat(Surroundings.earthing(earthing, isMetal, residual, A2).grade()).isEqualTo(expected);
    }

    @Test
    void metalworkOfBoatsIsNeverForgottenOnACombinedNeutral() {
        assertThat(Surroundings.earthing(Earthing.TN_C_S, false, OptionalInt.of(30), A2).advice()).anyMatch(it -> it.contains("boats"));
        assertThat(Surroundings.earthing(Earthing.TN_S, true, OptionalInt.of(30), A2).advice()).isEmpty();
    }

    /** 531.3.3, from an article of the IET: type AC only for loads known to have no direct component. */
    @ParameterizedTest
    @CsvSource({"AC, LOOK_AGAIN", "A, WITHIN", "F, WITHIN", "B, WITHIN"})
    void blindResidualPartIsLookedAtAgain(ResidualType type, Grade expected) {
        assertThat(Surroundings.residualType(type, A2).grade()).isEqualTo(expected);
    }

    /** 415.1.1, from memory. */
    @ParameterizedTest
    @CsvSource({"30, WITHIN", "31, LOOK_AGAIN", "300, LOOK_AGAIN"})
    void additionalProtectionEndsAtThirtyMilliampere(int milliampere, Grade expected) {
        assertThat(Surroundings.residualRating(milliampere, A2).grade()).isEqualTo(expected);
    }

    /** 536.4.203 for the board, from memory; the way and the switch: common practice, no source. */
    @Test
    void whatStandsInTheWayOfACabinetsSupplyIsLookedAtAgain() {
        assertThat(Surroundings.suited(true, A2).grade()).isEqualTo(Grade.WITHIN);
        assertThat(Surroundings.suited(false, A2)).satisfies(verdict -> {
            assertThat(verdict.grade()).isEqualTo(Grade.LOOK_AGAIN);
            assertThat(verdict.source()).isEqualTo("536.4.203, from memory");
            assertThat(verdict.advice()).singleElement().asString().contains("busbar");
        });
        assertThat(Surroundings.way(true, A2).grade()).isEqualTo(Grade.WITHIN);
        assertThat(Surroundings.way(false, A2).grade()).isEqualTo(Grade.LOOK_AGAIN);
        assertThat(Surroundings.way(false, A2).advice()).singleElement().asString().contains("darkens the cabinet");
        assertThat(Surroundings.unit(false, A2).grade()).isEqualTo(Grade.WITHIN);
        assertThat(Surroundings.unit(true, A2).grade()).isEqualTo(Grade.LOOK_AGAIN);
        assertThat(Surroundings.unit(true, A2).advice()).singleElement().asString().contains("in passing");
    }

    @Test
    void lampBeforeTheFuseAndExchangedPolarityAreOutside() {
        assertThat(Surroundings.lamp(false, A2).grade()).isEqualTo(Grade.OUTSIDE);
        assertThat(Surroundings.lamp(true, A2).grade()).isEqualTo(Grade.WITHIN);
        assertThat(Surroundings.polarity(false, A2).grade()).isEqualTo(Grade.OUTSIDE);
        assertThat(Surroundings.polarity(true, A2).grade()).isEqualTo(Grade.WITHIN);
    }

    /** Worked example of a trade page: 230 V over 0.35 + 1.446 Ω gives 128 A. */
    @Test
    void faultCurrentIsVoltageOverTheLoop() {
        assertThat(FaultLoop.current(230, 0.35 + 1.446)).isCloseTo(128, within(0.1));
        assertThatThrownBy(() -> FaultLoop.current(230, 0)).isInstanceOf(IllegalArgumentException.class).hasMessageContaining("0.0 Ω");
    }

    /** Table 41.1 (0.4 s TN, 0.2 s TT at 230 V) and IEC 60898-1 (C opens at once from 10 In); the edge is 218.5 V / 160 A. */
    @ParameterizedTest
    @CsvSource({"TN_S, 1.3656, 30, WITHIN, 0.4", "TN_S, 1.3657, 30, LOOK_AGAIN, 0.4", "TN_S, 1.3657, 0, OUTSIDE, 0.4", "TT, 200, 30, LOOK_AGAIN, 0.2", "TT, 1667, 30, OUTSIDE, 0.2"})
    void disconnectionIsInstantByTheResidualPartOrNotAtAll(Earthing earthing, double zs, int milliampere, Grade expected, String seconds) {
        FaultLoop loop = new FaultLoop(230, Curve.C, 16, milliampere == 0 ? OptionalInt.empty() : OptionalInt.of(milliampere), earthing, A2);

        Verdict verdict = loop.disconnection(zs);

        assertThat(verdict.grade()).isEqualTo(expected);
        assertThat(verdict.limit()).contains(seconds + " s");
    }

    /** IEC 60228 and Table I2 of the On-Site Guide: 0.4446 Ω at 20 °C reads 0.418 Ω at 5 °C. Near enough: 15 %, at least 0.05 Ω; common practice, no source. */
    @ParameterizedTest
    @CsvSource({"0.418, 5, 0.4446, WITHIN", "0.4446, 20, 0.4446, WITHIN", "0.378, 20, 0.4446, WITHIN", "0.377, 20, 0.4446, LOOK_AGAIN", "0.511, 20, 0.4446, WITHIN",
            "0.512, 20, 0.4446, LOOK_AGAIN", "0.06, 20, 0.1, WITHIN", "0.049, 20, 0.1, LOOK_AGAIN", "0.151, 20, 0.1, LOOK_AGAIN"})
    void readingOfTheConductorsIsBroughtToTwentyDegrees(double measured, double celsius, double expected, Grade grade) {
        assertThat(Conductors.agreement(measured, celsius, expected, Conductor.PLAIN, A2).grade()).isEqualTo(grade);
    }

    /** Trade page on largest loop impedances: BS 1362 at 0.4 s, 3 A 15.6 Ω and 13 A 2.30 Ω, after Cmin 0.95. */
    @ParameterizedTest
    @CsvSource({"3, 15.5799, WITHIN, 15.58", "3, 15.5801, LOOK_AGAIN, 15.58", "13, 2.2989, WITHIN, 2.299", "13, 2.2991, LOOK_AGAIN, 2.299"})
    void fuseBlowsWithinItsLoop(int fuse, double zs, Grade expected, String limit) {
        assertThat(FaultLoop.behindFuse(zs, 230, fuse, A2).grade()).isEqualTo(expected);
        assertThat(FaultLoop.behindFuse(zs, 230, fuse, A2).limit()).contains(limit + " Ω");
        assertThat(FaultLoop.behindFuse(zs, 230, 5, A2).grade()).isEqualTo(Grade.NOT_GIVEN);
    }

    /** The same page at 5 s: 22.0 and 3.64 Ω, after Cmin. */
    @ParameterizedTest
    @CsvSource({"3, 22.03, blows within 5 s, 22.0", "3, 22.05, may not even, 22.0", "13, 3.63, blows within 5 s, 3.64", "13, 3.64, may not even, 3.64"})
    void slowFuseIsSaidToBeSlow(int fuse, double zs, String says, double printed) {
        assertThat(FaultLoop.behindFuse(zs, 230, fuse, A2).advice()).singleElement().asString().contains(says);
        assertThat(A2.fuses().get(fuse).loopSlow() * 0.95).isCloseTo(printed, within(0.05));
    }

    /** 100 W and 150 W at 230 V, recomputed. */
    @ParameterizedTest
    @CsvSource({"100, 0.43", "150, 0.65"})
    void heaterTakesThis(double watt, String ampere) {
        assertThat(Sizing.design(watt, 230, 16, A2).says()).contains("takes " + ampere + " A");
    }

    @Test
    void designCurrentIsPowerOverVoltage() {
        assertThat(Sizing.design(690, 230, 3, A2).grade()).isEqualTo(Grade.WITHIN);
        assertThat(Sizing.design(691, 230, 3, A2).grade()).isEqualTo(Grade.OUTSIDE);
    }

    /** BS 1362 (an encyclopaedia's copy), zones of time and current: 3 A with 9, 20, 30 A, 13 A with 30, 50 A. Loops recomputed from 218.5 V. */
    @ParameterizedTest
    @CsvSource(delimiter = '|', value = {"3 | 8.9 | its zones say nothing", "3 | 9 | it blows within 80 s (9 A: 0.02 to 80 s)", "3 | 19.9 | it blows within 80 s (9 A: 0.02 to 80 s)",
            "3 | 20 | it blows within 0.1 s (20 A: less than 0.1 s)", "3 | 30 | it blows within 0.03 s (30 A: less than 0.03 s)", "13 | 29.9 | its zones say nothing",
            "13 | 30 | it blows within 400 s (30 A: 1 to 400 s)", "13 | 50 | it blows within 20 s (50 A: 0.1 to 20 s)"})
    void fuseBlowsByItsZones(int fuse, double ampere, String says) {
        // A hair less, so that the current is not a hair too small.
        double zs = 218.5 / ampere * (1 - 1e-9);

        assertThat(FaultLoop.behindFuse(zs, 230, fuse, A2).inputs()).contains("at " + Verdict.figure(ampere, 1) + " A " + says);
    }

    /** From memory: 0.8, 0.35 and 21 Ω; a measured figure wins, so that it is never outside. */
    @ParameterizedTest
    @CsvSource({"TN_S, 0.8, WITHIN", "TN_S, 0.801, LOOK_AGAIN", "TN_C_S, 0.35, WITHIN", "TN_C_S, 0.351, LOOK_AGAIN", "TT, 21, WITHIN", "TT, 21.1, LOOK_AGAIN", "TT, 1900, LOOK_AGAIN"})
    void externalLoopAboveTheUsualIsLookedAtAgain(Earthing earthing, double ze, Grade grade) {
        Verdict verdict = Surroundings.externalLoop(earthing, ze, A2);

        assertThat(verdict.grade()).isEqualTo(grade);
        assertThat(verdict.source()).contains("from memory");
        if (grade == Grade.LOOK_AGAIN) {
            assertThat(verdict.advice()).singleElement().asString().contains("counts in every sum").satisfies(advice -> assertThat(advice.contains("own electrode")).isEqualTo(earthing == Earthing.TT));
        }
    }

    /** Trade press on harbours: IK08 on or above a jetty or pontoon, and of a material that stands it there. */
    @ParameterizedTest
    @CsvSource({"7, LOOK_AGAIN, IK07", "8, WITHIN, IK08", "10, WITHIN, IK10", "0, LOOK_AGAIN, IK00"})
    void blowsOfAJettyAreBorneFromIk08On(int code, Grade grade, String written) {
        assertThat(Surroundings.impact(code, A2)).satisfies(verdict -> {
            assertThat(verdict.grade()).isEqualTo(grade);
            assertThat(verdict.inputs()).containsExactly(written);
            assertThat(verdict.limit()).contains("IK08");
        });
        assertThat(Surroundings.enclosure(IpCode.of("IP66").orElseThrow(), "IP66", Exposure.WAVES, A2).advice()).anyMatch(advice -> advice.contains("corrode"));
    }
}
