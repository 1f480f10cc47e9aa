package org.lampkeeper.thermal;

import java.time.Duration;
import java.time.Instant;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.Random;

import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

import org.lampkeeper.quantity.Celsius;
import org.lampkeeper.thermal.HeaterVerdict.DoesNotHeat;
import org.lampkeeper.thermal.HeaterVerdict.DoorOpen;
import org.lampkeeper.thermal.HeaterVerdict.Heats;
import org.lampkeeper.thermal.HeaterVerdict.LooksEmptied;
import org.lampkeeper.thermal.HeaterVerdict.NeverStops;
import org.lampkeeper.thermal.HeaterVerdict.NotJudged;
import org.lampkeeper.thermal.HeaterVerdict.Reason;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.within;
import static org.lampkeeper.thermal.ThermalFixture.START;
import static org.lampkeeper.thermal.ThermalFixture.between;

/** Simulated cabinets, ours: read every five minutes, off by 0.2 K, outside between -9 and -3 °C, set point 8 °C. */
class HeaterLookTest {

    private static final Celsius SET_POINT = new Celsius(8);
    private static final TimeConstant TAU = between(2.6, 2.8, 3.0);

    private final List<HeaterReading> readings = new ArrayList<>();
    private final Random random = new Random(11);
    private double inside = 8;

    @Test
    void insideThatFollowsTheOutsideIsNotHeated() {
        go(10, 2.8, 0, Optional.of(true), Optional.of(false));

        assertThat(verdict()).isInstanceOf(DoesNotHeat.class);
    }

    @Test
    void heaterThatCannotKeepUpStillHeatsAndSaysHowFar() {
        go(10, 2.8, 7, Optional.of(true), Optional.of(false));
        HeaterReach reach = ((Heats) verdict()).reach();

        assertThat(reach.likely()).isCloseTo(7, within(0.5));
        assertThat(7.0).isBetween(reach.least(), reach.most());
        assertThat(reach.in(new Celsius(-7))).isEqualTo(HeaterReach.Winter.TOO_SMALL);
    }

    /** Two standard errors hold 95 % of a normal error; with the time constant known the range of the lift is theirs alone. */
    @Test
    void rangeOfTheLiftHoldsItThoughTheTimeConstantIsKnown() {
        int held = 0;
        for (int seed = 0; seed < 100; seed++) {
            readings.clear();
            random.setSeed(seed);
            inside = 5;
            go(5, 2.8, 7, Optional.empty(), Optional.empty());
            HeaterReach reach = ((Heats) HeaterLook.at(readings, SET_POINT, between(2.8, 2.8, 2.8))).reach();
            held += reach.least() <= 7 && 7 <= reach.most() ? 1 : 0;
        }

        assertThat(held).as("of 100").isGreaterThanOrEqualTo(85);
    }

    /** No false alarm, whatever the noise; a nominal range is too wide to say much. */
    @ParameterizedTest
    @ValueSource(longs = {1, 2, 3, 4, 5, 6, 7, 8, 9, 10})
    void heaterThatHeatsIsNeverCalledBroken(long seed) {
        random.setSeed(seed);
        go(6, 2.8, 4 + seed, Optional.empty(), Optional.empty());

        assertThat(verdict()).isNotInstanceOf(DoesNotHeat.class);
        assertThat(HeaterLook.at(readings, SET_POINT, between(1.4, 2.8, 5.6))).isNotInstanceOf(DoesNotHeat.class);
    }

    @Test
    void nearTheSetPointNothingIsKnownOfTheHeater() {
        inside = 9;
        for (int i = 0; i < 40; i++) {
            read(i, 8, 3, Optional.empty(), Optional.empty());
        }

        assertThat(verdict()).isEqualTo(new NotJudged(Reason.NOT_NEEDED));
    }

    @Test
    void shortTimeInTheColdIsNotJudged() {
        inside = 5;
        go(0.9, 2.8, 0, Optional.empty(), Optional.empty());

        assertThat(verdict()).isEqualTo(new NotJudged(Reason.TOO_SHORT));
        assertThat(HeaterLook.at(readings, SET_POINT, between(0.5, 0.6, 0.7))).as("an hour is the least, however light the cabinet").isEqualTo(new NotJudged(Reason.TOO_SHORT));
        assertThat(HeaterLook.at(List.of(), SET_POINT, TAU)).isEqualTo(new NotJudged(Reason.NO_READINGS));
    }

    /** An hour and a quarter in the cold is less than half of 2.8 h; ten minutes more are enough. */
    @Test
    void slowCabinetIsNotJudgedBeforeHalfOfItsTimeConstant() {
        inside = 1;
        go(1.3, 2.8, 3, Optional.empty(), Optional.empty());
        assertThat(verdict()).isEqualTo(new NotJudged(Reason.TOO_SHORT));

        go(0.2, 2.8, 3, Optional.empty(), Optional.empty());
        assertThat(verdict()).isNotEqualTo(new NotJudged(Reason.TOO_SHORT));
    }

    /** Four kelvin are twice what the sun or a wrong sensor makes: a small heater, and none that is broken. */
    @Test
    void smallHeaterIsStillAHeater() {
        go(20, 2.8, 4, Optional.empty(), Optional.empty());

        assertThat(((Heats) verdict()).reach().likely()).isCloseTo(4, within(0.5));
    }

    @Test
    void openDoorIsNoHeaterFault() {
        go(3, 2.8, 16, Optional.of(true), Optional.of(false));
        Instant opened = at(readings.size());
        go(4, 0.3, 1, Optional.of(true), Optional.of(true));

        assertThat(verdict()).isEqualTo(new DoorOpen(opened));
    }

    @Test
    void afterADoorWasClosedItIsJudgedAnew() {
        go(4, 0.3, 1, Optional.of(true), Optional.of(true));
        go(0.5, 2.8, 8, Optional.of(true), Optional.of(false));
        assertThat(verdict()).isEqualTo(new NotJudged(Reason.TOO_SHORT));

        go(4, 2.8, 8, Optional.of(true), Optional.of(false));
        assertThat(verdict()).isInstanceOf(Heats.class);
    }

    /** The door was open for a quarter of an hour; since then air and walls are all there is. */
    @Test
    void emptiedCabinetIsNoHeaterFault() {
        go(0.25, 0.3, 0, Optional.of(true), Optional.of(true));
        inside = 1;
        go(2.5, 0.5, 8, Optional.of(true), Optional.of(false));

        LooksEmptied emptied = (LooksEmptied) verdict();
        assertThat(emptied.tau().toMillis() / 3.6e6).isCloseTo(0.5, within(0.2));
    }

    /** The content, 7 times as heavy as the air, warms it again within minutes; that is not an empty cabinet. */
    @Test
    void fullCabinetAfterAnOpenDoorIsNotCalledEmptied() {
        double air = -3;
        double content = 5;
        for (int i = 0; i < 72; i++) {
            boolean isOpen = i < 4;
            read(i, air, -3, Optional.of(true), Optional.of(isOpen));
            for (int second = 0; second < 300; second++) {
                air = isOpen ? -3 : air + (-3 + 8 - air) / 1260 + (content - air) / 360;
                content += (air - content) / 2520;
            }
        }

        assertThat(verdict()).isInstanceOf(Heats.class);
    }

    /** At rest any time constant fits as well as any other: what fits a little better by chance is no other content. */
    @ParameterizedTest
    @ValueSource(longs = {1, 2, 3, 4, 5, 6, 7, 8, 9, 10})
    void cabinetAtRestIsNotCalledFaster(long seed) {
        random.setSeed(seed);
        for (int i = 0; i < 48; i++) {
            read(i, 1, -5, Optional.empty(), Optional.of(i < 1));
        }

        assertThat(verdict()).isInstanceOf(Heats.class);
    }

    /** The same without a sensor at the door: nobody knows why, so nothing is said of the heater. */
    @Test
    void fasterThanTheCabinetWithoutADoorReadingIsNotJudged() {
        inside = -2;
        go(2.5, 0.5, 8, Optional.of(true), Optional.empty());

        assertThat(verdict()).isEqualTo(new NotJudged(Reason.UNLIKE_THE_CABINET));
    }

    @Test
    void heaterThatIsOnAndFarAboveItsSetPointNeverStops() {
        inside = 14;
        go(3, 2.8, 20, Optional.of(true), Optional.of(false));

        assertThat(verdict()).isEqualTo(new NeverStops(START));
    }

    /** A thermostat overshoots, and one that has just been switched on takes its time. */
    @Test
    void twoKelvinAboveOrAnHourOnIsNoFault() {
        for (int i = 0; i < 72; i++) {
            read(i, 10, -3, Optional.of(true), Optional.of(false));
        }
        assertThat(verdict()).isEqualTo(new NotJudged(Reason.NOT_NEEDED));

        for (int i = 72; i < 72 + 20; i++) {
            read(i, 14, -3, Optional.of(true), Optional.of(false));
        }
        assertThat(verdict()).isEqualTo(new NotJudged(Reason.NOT_NEEDED));
    }

    /** Warm outside for two days: it would be as warm without a heater. */
    @Test
    void summerIsNoHeaterThatNeverStops() {
        for (int i = 0; i < 576; i++) {
            read(i, 20, 18, Optional.empty(), Optional.empty());
        }

        assertThat(verdict()).isEqualTo(new NotJudged(Reason.NOT_NEEDED));
    }

    @Test
    void warmthWithoutAReportTakesADayAndANight() {
        inside = 14;
        go(20, 2.8, 20, Optional.empty(), Optional.empty());
        assertThat(verdict()).isEqualTo(new NotJudged(Reason.NOT_NEEDED));

        go(5, 2.8, 20, Optional.empty(), Optional.empty());
        assertThat(verdict()).isEqualTo(new NeverStops(START));
    }

    @Test
    void sunOnACabinetWhoseHeaterIsOffIsNoFault() {
        inside = 14;
        go(30, 2.8, 20, Optional.of(false), Optional.of(false));

        assertThat(verdict()).isEqualTo(new NotJudged(Reason.NOT_NEEDED));
    }

    private HeaterVerdict verdict() {
        return HeaterLook.at(readings, SET_POINT, TAU);
    }

    private void go(double hours, double tauHours, double lift, Optional<Boolean> heater, Optional<Boolean> door) {
        int first = readings.size();
        for (int i = first; i < first + (int) Math.round(hours * 12); i++) {
            double outside = -6 + 3 * Math.cos(2 * Math.PI * i / 288);
            read(i, inside, outside, heater, door);
            double next = -6 + 3 * Math.cos(2 * Math.PI * (i + 1) / 288);
            inside = Lags.oneNode(inside, tauHours * 3600).after(300, outside + lift, (next - outside) / 300);
        }
    }

    private void read(int i, double inside, double outside, Optional<Boolean> heater, Optional<Boolean> door) {
        readings.add(new HeaterReading(at(i), noisy(inside), noisy(outside), heater, door));
    }

    private Celsius noisy(double celsius) {
        return new Celsius(celsius + 0.2 * random.nextGaussian());
    }

    private static Instant at(int i) {
        return START.plus(Duration.ofMinutes(5L * i));
    }
}
