package org.lampkeeper.thermal;

import java.util.Random;

import org.apache.commons.math3.ode.FirstOrderDifferentialEquations;
import org.apache.commons.math3.ode.nonstiff.DormandPrince853Integrator;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.within;

/** Recomputed by an integrator of another kind (Dormand and Prince, order 8, of Apache Commons Math); no published two-body example was found. */
class AirAndDeviceTest {

    @ParameterizedTest
    @ValueSource(longs = {1, 2, 3, 4, 5, 6, 7, 8})
    void bothAgreeWithALibrarysIntegratorWhileTheOutsideIsStraight(long seed) {
        Random random = new Random(seed);
        double t1 = 60 * Math.exp(5 * random.nextDouble());
        double t2 = 60 * Math.exp(5 * random.nextDouble());
        double t3 = 300 * Math.exp(5 * random.nextDouble());
        double outside = -10 + 20 * random.nextDouble();
        double slope = (random.nextDouble() - 0.5) / 600;
        double length = 900 + 20_000 * random.nextDouble();
        double[] theirs = {12, 3};
        new DormandPrince853Integrator(1e-3, 600, 1e-11, 1e-11).integrate(new FirstOrderDifferentialEquations() {
            @Override
            public int getDimension() {
                return 2;
            }

            @Override
            public void computeDerivatives(double t, double[] y, double[] change) {
                change[0] = (outside + slope * t - y[0]) / t1 + (y[1] - y[0]) / t2;
                change[1] = (y[0] - y[1]) / t3;
            }
        }, 0, theirs, length, theirs);

        double[] ours = new AirAndDevice(t1, t2, t3).after(new double[] {12, 3}, length, outside, slope);

        assertThat(ours[0]).isCloseTo(theirs[0], within(1e-6));
        assertThat(ours[1]).isCloseTo(theirs[1], within(1e-6));
    }

    @Test
    void deviceIsTheOneThatAForecastSteps() {
        AirAndDevice both = new AirAndDevice(1800, 900, 5400);
        double[] state = {9, 4};
        Lags alone = Lags.device(9, 4, 1800, 900, 5400);
        for (int i = 0; i < 40; i++) {
            state = both.after(state, 600, -3 + i * 0.1, 0.1 / 600);
            alone = alone.stepped(600, -3 + i * 0.1, 0.1 / 600);
            assertThat(state[1]).isCloseTo(alone.now(), within(1e-9));
        }
    }

    /** The rates of y'' + (1/t1 + 1/t2 + 1/t3)·y' + y/(t1·t3) = 0 add up to the one and multiply to the other. */
    @Test
    void slowestTimeConstantIsARootOfTheCharacteristicEquation() {
        double rate = 1 / new AirAndDevice(1800, 900, 5400).slowest();

        assertThat(rate * rate - (1 / 1800.0 + 1 / 900.0 + 1 / 5400.0) * rate + 1 / (1800.0 * 5400)).isCloseTo(0, within(1e-15));
        assertThat(rate).isLessThan(1 / 5400.0);
    }
}
