package org.lampkeeper.simulator;

import java.time.Duration;
import java.util.Optional;

import net.jqwik.api.ForAll;
import net.jqwik.api.Property;
import net.jqwik.api.constraints.DoubleRange;
import net.jqwik.api.constraints.IntRange;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.within;

class HeatedCabinetTest {

    private static final Duration HOUR = Duration.ofHours(1);

    // ln((8 − Tout)/(0 − Tout)): after that many time constants an unheated cabinet has come from 8 °C to 0 °C.
    @ParameterizedTest
    @CsvSource({"-1, 2.19722", "-2, 1.60944", "-5, 0.95551", "-10, 0.58779", "-15, 0.42744"})
    void withoutSupplyItFreezesAfterTheClosedFormsTime(double outside, double factor) {
        HeatedCabinet cabinet = unheated(8, outside);

        cabinet.pass(Duration.ofNanos((long) (factor * HOUR.toNanos())));

        assertThat(cabinet.inside()).isCloseTo(0, within(2e-4));
    }

    @ParameterizedTest
    @CsvSource({"0", "2", "7"})
    void aboveFreezingOutsideItNeverFreezes(double outside) {
        HeatedCabinet cabinet = unheated(8, outside);

        cabinet.pass(Duration.ofDays(30));

        assertThat(cabinet.inside()).isGreaterThanOrEqualTo(outside).isCloseTo(outside, within(1e-9));
    }

    // −2 + 10·e^(−1); explicit Euler with quarter hours would say 1.1641.
    @Test
    void stepsAreExactHoweverCoarse() {
        HeatedCabinet cabinet = unheated(8, -2);

        for (int quarter = 0; quarter < 4; quarter++) {
            cabinet.pass(Duration.ofMinutes(15));
        }

        assertThat(cabinet.inside()).isCloseTo(1.6788, within(5e-5));
    }

    @Property
    void timeMayBeCutIntoAnyPieces(@ForAll @DoubleRange(min = -30, max = 30) double outside,
            @ForAll @IntRange(min = 1, max = 86_400) int seconds, @ForAll @IntRange(min = 1, max = 50) int pieces) {
        HeatedCabinet whole = new HeatedCabinet(8, outside, HOUR);
        HeatedCabinet cut = new HeatedCabinet(8, outside, HOUR);

        whole.pass(Duration.ofSeconds((long) seconds * pieces));
        for (int piece = 0; piece < pieces; piece++) {
            cut.pass(Duration.ofSeconds(seconds));
        }

        assertThat(cut.inside()).isCloseTo(whole.inside(), within(1e-6));
        assertThat(cut.isHeating()).isEqualTo(whole.isHeating());
    }

    @Test
    void theThermostatKeepsItBetweenItsLimitsInFrost() {
        HeatedCabinet cabinet = new HeatedCabinet(8, -15, HOUR);
        boolean heated = false;
        boolean rested = false;

        for (int minute = 0; minute < 24 * 60; minute++) {
            cabinet.pass(Duration.ofMinutes(1));
            heated |= cabinet.isHeating();
            rested |= !cabinet.isHeating();
            assertThat(cabinet.inside()).isBetween(HeatedCabinet.HEATER_ON_BELOW, HeatedCabinet.HEATER_OFF_ABOVE);
        }

        assertThat(heated).isTrue();
        assertThat(rested).isTrue();
    }

    @Test
    void theHeaterIsOffWithoutSupplyAndOnAgainWithIt() {
        HeatedCabinet cabinet = unheated(8, -10);
        cabinet.pass(HOUR);
        boolean heatingWithout = cabinet.isHeating();

        cabinet.supply(true);

        assertThat(heatingWithout).isFalse();
        assertThat(cabinet.isHeating()).isTrue();
    }

    @Test
    void anOpenDoorCoolsItTenTimesAsFast() {
        HeatedCabinet open = unheated(8, -2);
        HeatedCabinet shut = unheated(8, -2);
        open.door(true);

        open.pass(Duration.ofMinutes(6));
        shut.pass(HOUR);

        assertThat(open.inside()).isCloseTo(shut.inside(), within(1e-9));
    }

    private static HeatedCabinet unheated(double inside, double outside) {
        HeatedCabinet cabinet = new HeatedCabinet(inside, outside, HOUR);
        cabinet.supply(false);
        return cabinet;
    }

    /** Recomputed: content with half of the heat capacity and a lag of half an hour behind an air of half an hour; the slow rate of the pair is (3 − √5)/2 an half-hour. */
    @Test
    void contentLagsBehindItsAirAndBothEndAtTheOutside() {
        HeatedCabinet cabinet = new HeatedCabinet(8, -2, HOUR, Optional.of(new HeatedCabinet.Content(HOUR.dividedBy(2), 0.5)));
        cabinet.supply(false);

        cabinet.pass(HOUR.multipliedBy(4));
        double before = cabinet.content() + 2;
        assertThat(cabinet.content()).isGreaterThan(cabinet.inside());
        cabinet.pass(HOUR.dividedBy(2));

        assertThat((cabinet.content() + 2) / before).isCloseTo(Math.exp(-(3 - Math.sqrt(5)) / 2), within(1e-4));
        cabinet.pass(Duration.ofDays(3));
        assertThat(cabinet.content()).isCloseTo(-2, within(1e-9));
    }

    @Test
    void thermostatKeepsTheAirAndWithItTheContent() {
        HeatedCabinet cabinet = new HeatedCabinet(8, -10, HOUR, Optional.of(new HeatedCabinet.Content(HOUR.dividedBy(2), 0.5)));
        for (int minute = 0; minute < 1440; minute++) {
            cabinet.pass(Duration.ofMinutes(1));
            assertThat(cabinet.inside()).isBetween(6.8, 9.2);
            assertThat(cabinet.content()).isBetween(6.8, 9.2);
        }
    }

    @Test
    void withoutContentOfItsOwnItIsAsWarmAsTheAir() {
        HeatedCabinet cabinet = unheated(8, -2);
        cabinet.pass(HOUR);

        assertThat(cabinet.content()).isEqualTo(cabinet.inside());
    }
}
