package org.lampkeeper.thermal;

import java.time.Duration;
import java.time.Instant;
import java.util.ArrayList;
import java.util.List;
import java.util.Random;

import org.lampkeeper.quantity.Celsius;
import org.lampkeeper.thermal.CoolDown.Sample;
import org.lampkeeper.thermal.Outside.Knot;

import static org.lampkeeper.thermal.ThermalFixture.START;

/** A cabinet that cools in a night of frost, read every five minutes by two sensors that are off by a normal error. */
final class CoolDownFixture {

    private final Random random;
    private final double noise;

    CoolDownFixture(long seed, double noise) {
        this.random = new Random(seed);
        this.noise = noise;
    }

    /** From 8 to 12 °C, outside a wave around -10 to -2 °C. */
    CoolDown night(double tauHours, int readings) {
        return night(new double[] {tauHours}, readings, 0);
    }

    /** The time constant is the first, then, after equal parts, the next; half-way the inside drops by {@code drop} K. */
    CoolDown night(double[] tauHours, int readings, double drop) {
        Instant begin = START.plus(Duration.ofDays(random.nextInt(60)));
        Outside wave = new Outside.DailyWave(new Celsius(-2 - 8 * random.nextDouble()), 3, begin.plusSeconds(random.nextInt(86_400)));
        List<Knot> knots = wave.knots(begin, begin.plus(Duration.ofMinutes(5L * readings)));
        double inside = 8 + 4 * random.nextDouble();
        List<Sample> samples = new ArrayList<>();
        for (int i = 0; i < readings; i++) {
            samples.add(new Sample(begin.plusSeconds((long) knots.get(i).seconds()), read(inside), read(knots.get(i).celsius())));
            double tau = tauHours[i * tauHours.length / readings] * 3600;
            double slope = (knots.get(i + 1).celsius() - knots.get(i).celsius()) / 300;
            inside = Lags.oneNode(inside, tau).after(300, knots.get(i).celsius(), slope) - (i == readings / 2 ? drop : 0);
        }
        return new CoolDown(samples);
    }

    private Celsius read(double celsius) {
        return new Celsius(celsius + noise * random.nextGaussian());
    }
}
