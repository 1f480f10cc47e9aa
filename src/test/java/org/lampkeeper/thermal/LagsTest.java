package org.lampkeeper.thermal;

import java.time.Duration;
import java.util.List;
import java.util.Random;

import org.apache.commons.math3.ode.FirstOrderDifferentialEquations;
import org.apache.commons.math3.ode.nonstiff.DormandPrince853Integrator;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.ValueSource;

import org.lampkeeper.quantity.Celsius;
import org.lampkeeper.thermal.Outside.DailyWave;
import org.lampkeeper.thermal.Outside.Knot;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.within;
import static org.lampkeeper.thermal.ThermalFixture.START;

class LagsTest {

    private static final double HOUR = 3600;

    /** resources.skill-lync.com, transient lumped capacitance: 63.2 % at τ, 95 % at 3τ, over 99 % (99.3) at 5τ. */
    @ParameterizedTest
    @CsvSource({"1, 0.632", "3, 0.950", "5, 0.993"})
    void shareOfTheWayAfterSoManyTimeConstants(double times, double share) {
        assertThat(1 - Lags.oneNode(1, HOUR).after(times * HOUR, 0, 0)).isCloseTo(share, within(0.0005));
    }

    /** Recomputed: four explicit Euler steps of a quarter of τ from 8 °C in -2 °C end at 1.1641; the exact value is 1.6788. */
    @Test
    void stepIsExactHoweverLong() {
        Lags quarters = Lags.oneNode(8, HOUR);
        double euler = 8;
        for (int i = 0; i < 4; i++) {
            quarters = quarters.stepped(HOUR / 4, -2, 0);
            euler += (-2 - euler) / 4;
        }

        assertThat(euler).isCloseTo(1.1641, within(5e-5));
        assertThat(quarters.now()).isCloseTo(1.6788, within(5e-5));
        assertThat(Lags.oneNode(8, HOUR).after(HOUR, -2, 0)).isCloseTo(quarters.now(), within(1e-12));
    }

    /** The answer of a first-order lag to a sine: gain 1/√(1 + (ωτ)²), lag atan(ωτ)/ω; for 2.823 h 0.8042 and 2.43 h, recomputed. */
    @Test
    void dailyWaveComesThroughSmallerAndLater() {
        double tau = 2.823;
        List<Knot> wave = new DailyWave(new Celsius(0), 10, START).knots(START, START.plus(Duration.ofDays(10)));
        double highest = 0;
        double at = 0;
        Lags lags = Lags.oneNode(0, tau * HOUR);
        for (int i = 1; i < wave.size(); i++) {
            lags = stepped(lags, wave.get(i - 1), wave.get(i));
            if (wave.get(i).seconds() > 9 * 24 * HOUR - HOUR && lags.now() > highest) {
                highest = lags.now();
                at = wave.get(i).seconds() / HOUR - 9 * 24;
            }
        }

        assertThat(1 / Math.sqrt(1 + Math.pow(2 * Math.PI / 24 * tau, 2))).isCloseTo(0.8042, within(5e-5));
        assertThat(highest / 10).isCloseTo(0.8042, within(1e-4));
        assertThat(at).isCloseTo(2.43, within(0.06));
    }

    /** Beside an integrator of another kind (Dormand and Prince, order 8, of Apache Commons Math), over two days of random hours. */
    @ParameterizedTest
    @ValueSource(longs = {1, 2, 3, 4, 5})
    void oneNodeAgreesWithALibrarysIntegrator(long seed) {
        Random random = new Random(seed);
        double tau = 900 + random.nextDouble() * 30_000;
        List<Knot> outside = outside(random);
        double[] theirs = {8};
        Lags ours = Lags.oneNode(8, tau);

        for (int i = 1; i < outside.size(); i++) {
            Knot from = outside.get(i - 1);
            Knot to = outside.get(i);
            integrate(1, (t, y, change) -> change[0] = (between(from, to, t) - y[0]) / tau, from, to, theirs);
            ours = stepped(ours, from, to);
            assertThat(ours.now()).isCloseTo(theirs[0], within(1e-7));
        }
    }

    @ParameterizedTest
    @ValueSource(longs = {1, 2, 3, 4, 5})
    void deviceBehindItsAirAgreesWithALibrarysIntegrator(long seed) {
        Random random = new Random(seed);
        double t1 = 300 + random.nextDouble() * 3000;
        double t2 = 100 + random.nextDouble() * 3000;
        double t3 = 2000 + random.nextDouble() * 20_000;
        List<Knot> outside = outside(random);
        double[] theirs = {12, 3};
        Lags ours = Lags.device(12, 3, t1, t2, t3);

        for (int i = 1; i < outside.size(); i++) {
            Knot from = outside.get(i - 1);
            Knot to = outside.get(i);
            integrate(2, (t, y, change) -> {
                change[0] = (between(from, to, t) - y[0]) / t1 + (y[1] - y[0]) / t2;
                change[1] = (y[0] - y[1]) / t3;
            }, from, to, theirs);
            ours = stepped(ours, from, to);
            assertThat(ours.now()).isCloseTo(theirs[1], within(1e-7));
        }
    }

    private static List<Knot> outside(Random random) {
        return new Outside.Hourly(START, random.doubles(49, -15, 20).mapToObj(Celsius::new).toList()).knots(START, START.plus(Duration.ofDays(3)));
    }

    private static Lags stepped(Lags lags, Knot from, Knot to) {
        double length = to.seconds() - from.seconds();
        return lags.stepped(length, from.celsius(), (to.celsius() - from.celsius()) / length);
    }

    private static double between(Knot from, Knot to, double t) {
        return from.celsius() + (to.celsius() - from.celsius()) * (t - from.seconds()) / (to.seconds() - from.seconds());
    }

    private interface Change {
        void into(double t, double[] y, double[] change);
    }

    private static void integrate(int nodes, Change rule, Knot from, Knot to, double[] state) {
        FirstOrderDifferentialEquations equations = new FirstOrderDifferentialEquations() {
            @Override
            public int getDimension() {
                return nodes;
            }

            @Override
            public void computeDerivatives(double t, double[] y, double[] change) {
                rule.into(t, y, change);
            }
        };
        new DormandPrince853Integrator(1e-3, 600, 1e-10, 1e-10).integrate(equations, from.seconds(), state, to.seconds(), state);
    }
}
