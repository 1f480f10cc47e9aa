package org.lampkeeper.thermal;

import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;

import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

import org.lampkeeper.quantity.Celsius;
import org.lampkeeper.thermal.CoolDown.Sample;
import org.lampkeeper.thermal.Learned.Doubt;
import org.lampkeeper.thermal.LearnedPair.Fitted;
import org.lampkeeper.thermal.LearnedPair.Refused;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.within;
import static org.lampkeeper.thermal.PairFixture.cabinet;
import static org.lampkeeper.thermal.ThermalFixture.START;

/** The nights are simulated and the noise is ours: 0.2 K, a usual sensor from memory. */
class LearnedPairTest {

    private static final double NOISE = 0.2;
    private static final Duration QUARTER = Duration.ofMinutes(15);
    private static final Duration FIVE_MINUTES = Duration.ofMinutes(5);

    @ParameterizedTest
    @CsvSource({"0.5, 0.6, 0.7", "1.5, 0.5, 1.2", "0.3, 0.2, 2", "3, 2, 0.5"})
    void withoutNoiseAllThreeTimesAreFound(double airByOutside, double airByDevice, double deviceByAir) {
        Fitted fitted = (Fitted) LearnedPair.from(new PairFixture(1, 0, FIVE_MINUTES).nights(2, cabinet(airByOutside, airByDevice, deviceByAir), 48));

        assertThat(hours(fitted.nodes().airByOutside().likely())).isCloseTo(airByOutside, within(airByOutside * 0.001));
        assertThat(hours(fitted.nodes().airByDevice())).isCloseTo(airByDevice, within(airByDevice * 0.001));
        assertThat(hours(fitted.nodes().deviceByAir())).isCloseTo(deviceByAir, within(deviceByAir * 0.001));
        assertThat(fitted.nodes().basis()).isEqualTo(TimeConstant.Basis.LEARNED);
        assertThat(fitted.used()).isEqualTo(2);
    }

    /** The promise of the interval: 95 %. Of 400 runs 92 to 98 % is what chance leaves. Readings as the service keeps them, one a quarter of an hour. */
    @ParameterizedTest
    @CsvSource({"0.5, 0.6, 0.7, 3, 16", "1.5, 0.5, 1.2, 3, 16", "0.3, 0.2, 0.6, 4, 16", "1, 1, 0.5, 8, 12"})
    void intervalHoldsTheSlowestTimeConstantAsOftenAsItSays(double airByOutside, double airByDevice, double deviceByAir, int nights, int readings) {
        AirAndDevice cabinet = cabinet(airByOutside, airByDevice, deviceByAir);
        int runs = Integer.getInteger("runs", 400);
        int held = 0;
        int answered = 0;
        for (int seed = 0; seed < runs; seed++) {
            if (LearnedPair.from(new PairFixture(seed, NOISE, QUARTER).nights(nights, cabinet, readings)) instanceof Fitted fitted) {
                answered++;
                double slowest = cabinet.slowest() / 3600;
                held += hours(fitted.slowest().early()) <= slowest && slowest <= hours(fitted.slowest().late()) ? 1 : 0;
            }
        }

        assertThat(answered).as("answered").isGreaterThan(runs * 9 / 10);
        assertThat((double) held / answered).as("held, of %d answered", answered).isBetween(0.92, 0.985);
    }

    /** Sixty hours, a reading a quarter of an hour: 193 of them lie within 48 h. */
    @Test
    void whatComesAfterTwoDaysIsNotUsed() {
        List<CoolDown> days = new PairFixture(12, NOISE, QUARTER).nights(2, cabinet(2, 1, 3), 240);

        assertThat(LearnedPair.from(days)).isEqualTo(LearnedPair.from(days.stream().map(each -> each.first(193)).toList()))
                .isNotEqualTo(LearnedPair.from(days.stream().map(each -> each.first(192)).toList()));
    }

    /** What it is for: content at 8 °C, its air half a kelvin above, -5 °C outside; the range of the forecast alone, without any leeway. */
    @ParameterizedTest
    @CsvSource({"0.5, 0.6, 0.7", "1.5, 0.5, 1.2", "0.3, 0.2, 0.6"})
    void rangeOfAForecastFromItHoldsWhenTheDeviceIsTooCold(double airByOutside, double airByDevice, double deviceByAir) {
        AirAndDevice cabinet = cabinet(airByOutside, airByDevice, deviceByAir);
        double cold = hoursToZero(cabinet);
        int runs = 300;
        int held = 0;
        int answered = 0;
        for (int seed = 0; seed < runs; seed++) {
            if (LearnedPair.from(new PairFixture(seed, NOISE, QUARTER).nights(4, cabinet, 16)) instanceof Fitted fitted) {
                answered++;
                Situation situation = new Situation(Optional.of(new Measured(START, new Celsius(8.5), Optional.of(new Celsius(8)))),
                        Optional.of(new Outside.Constant(new Celsius(-5))), Optional.of(fitted.nodes()), ThermalFixture.FROST_TO_50, Leeway.NONE);
                Outcome.Expected expected = (Outcome.Expected) ThermalFixture.forecast(situation).tooCold();
                held += ThermalFixture.hoursTo(expected.early()) <= cold && cold <= ThermalFixture.hoursTo(expected.late().orElseThrow()) ? 1 : 0;
            }
        }

        assertThat((double) held / answered).as("held, of %d answered", answered).isGreaterThan(0.93);
    }

    private static double hoursToZero(AirAndDevice cabinet) {
        double[] state = {8.5, 8};
        int seconds = 0;
        for (; state[1] >= 0; seconds++) {
            state = cabinet.after(state, 1, -5, 0);
        }
        return seconds / 3600.0;
    }

    /** An air of seconds cannot be told from one of a minute at a reading a quarter of an hour; how fast both cool can. */
    @Test
    void airThatIsAllTooLightIsNoReasonToRefuse() {
        AirAndDevice cabinet = cabinet(0.006, 0.004, 1.2);
        Fitted fitted = (Fitted) LearnedPair.from(new PairFixture(11, NOISE, QUARTER).nights(4, cabinet, 16));

        assertThat(hours(fitted.slowest().likely())).isCloseTo(cabinet.slowest() / 3600, within(0.03 * cabinet.slowest() / 3600));
        assertThat(fitted.used()).isEqualTo(4);
    }

    @Test
    void suddenDropOfTheAirIsCutOff() {
        AirAndDevice cabinet = cabinet(0.5, 0.6, 0.7);
        PairFixture nights = new PairFixture(3, NOISE, FIVE_MINUTES);
        List<CoolDown> record = new ArrayList<>();
        for (int night = 0; night < 4; night++) {
            record.add(nights.night(cabinet, 60, 5));
        }
        Fitted fitted = (Fitted) LearnedPair.from(record);

        assertThat(cabinet.slowest() / 3600).isBetween(hours(fitted.slowest().early()), hours(fitted.slowest().late()));
    }

    @Test
    void oneUnlikeTheOthersIsLeftOut() {
        PairFixture nights = new PairFixture(6, 0.05, FIVE_MINUTES);
        List<CoolDown> record = new ArrayList<>(nights.nights(4, cabinet(0.8, 0.6, 0.7), 60));
        record.add(nights.night(cabinet(0.2, 0.6, 0.7), 60, 0));
        Fitted fitted = (Fitted) LearnedPair.from(record);

        assertThat(fitted.leftOut()).containsEntry(Doubt.UNLIKE_THE_OTHERS, 1);
        assertThat(fitted.used()).isEqualTo(4);
    }

    @Test
    void refusalSaysWhatIsMissing() {
        AirAndDevice cabinet = cabinet(0.5, 0.6, 0.7);
        PairFixture nights = new PairFixture(9, NOISE, FIVE_MINUTES);

        assertThat(reason(List.of())).isEqualTo(Doubt.TOO_FEW_COOL_DOWNS);
        assertThat(reason(nights.nights(1, cabinet, 48))).isEqualTo(Doubt.TOO_FEW_COOL_DOWNS);
        assertThat(reason(nights.nights(2, cabinet, 7))).isEqualTo(Doubt.TOO_FEW_READINGS);
        assertThat(reason(nights.nights(2, cabinet, 48).stream().map(LearnedPairTest::withoutDevice).toList())).isEqualTo(Doubt.TOO_FEW_READINGS);
        assertThat(reason(nights.nights(2, cabinet(40, 20, 60), 48))).isEqualTo(Doubt.TOO_LITTLE_FALL);
    }

    /** A probe that hangs in the air beside the other one. */
    @Test
    void deviceThatIsTheAirIsNoSecondBody() {
        CoolDownFixture nights = new CoolDownFixture(4, 0);
        List<CoolDown> record = new ArrayList<>();
        for (int night = 0; night < 3; night++) {
            record.add(new CoolDown(nights.night(2.5, 48).samples().stream()
                    .map(each -> new Sample(each.at(), each.inside(), each.outside(), Optional.of(each.inside()))).toList()));
        }

        assertThat(LearnedPair.from(record)).isInstanceOf(Refused.class);
    }

    private static CoolDown withoutDevice(CoolDown night) {
        return new CoolDown(night.samples().stream().map(each -> new Sample(each.at(), each.inside(), each.outside())).toList());
    }

    private static Doubt reason(List<CoolDown> record) {
        return ((Refused) LearnedPair.from(record)).reason();
    }

    private static double hours(Duration duration) {
        return duration.toMillis() / 3_600_000.0;
    }
}
