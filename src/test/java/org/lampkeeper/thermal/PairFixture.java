package org.lampkeeper.thermal;

import java.time.Duration;
import java.time.Instant;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.Random;
import java.util.stream.IntStream;

import org.lampkeeper.quantity.Celsius;
import org.lampkeeper.thermal.CoolDown.Sample;
import org.lampkeeper.thermal.Outside.Knot;

import static org.lampkeeper.thermal.ThermalFixture.START;

/** A cabinet with its content that cools in a night of frost, both read by sensors that are off by a normal error; the outside too. */
final class PairFixture {

    private final Random random;
    private final double noise;
    private final Duration step;

    PairFixture(long seed, double noise, Duration step) {
        this.random = new Random(seed * 0x9E3779B97F4A7C15L);
        this.noise = noise;
        this.step = step;
    }

    /** Hours: of the air by the outside, of the air by the device, of the device by the air. */
    static AirAndDevice cabinet(double airByOutside, double airByDevice, double deviceByAir) {
        return new AirAndDevice(airByOutside * 3600, airByDevice * 3600, deviceByAir * 3600);
    }

    List<CoolDown> nights(int many, AirAndDevice cabinet, int readings) {
        return IntStream.range(0, many).mapToObj(any -> night(cabinet, readings, 0)).toList();
    }

    /** From 8 to 12 °C, the content up to 2 K below its air, outside a wave around -10 to -2 °C; half-way the air drops by {@code drop} K. */
    CoolDown night(AirAndDevice cabinet, int readings, double drop) {
        Instant begin = START.plus(Duration.ofDays(random.nextInt(60)));
        Outside wave = new Outside.DailyWave(new Celsius(-2 - 8 * random.nextDouble()), 3, begin.plusSeconds(random.nextInt(86_400)));
        double air = 8 + 4 * random.nextDouble();
        double[] state = {air, air - 2 * random.nextDouble()};
        List<Sample> samples = new ArrayList<>();
        for (int i = 0; i < readings; i++) {
            Instant at = begin.plus(step.multipliedBy(i));
            List<Knot> piece = wave.knots(at, at.plus(step));
            samples.add(new Sample(at, read(state[0]), read(piece.get(0).celsius()), Optional.of(read(state[1]))));
            for (int knot = 1; knot < piece.size(); knot++) {
                double length = piece.get(knot).seconds() - piece.get(knot - 1).seconds();
                state = cabinet.after(state, length, piece.get(knot - 1).celsius(), (piece.get(knot).celsius() - piece.get(knot - 1).celsius()) / length);
            }
            state[0] -= i == readings / 2 ? drop : 0;
        }
        return new CoolDown(samples);
    }

    private Celsius read(double celsius) {
        return new Celsius(celsius + noise * random.nextGaussian());
    }
}
