package org.lampkeeper.thermal;

import java.time.Duration;
import java.time.Instant;
import java.util.ArrayList;
import java.util.List;

import org.lampkeeper.quantity.Celsius;

/** What the temperature outside will be. */
public sealed interface Outside {

    /** The outside from {@code from} to {@code to}, or to where it is known; straight between two knots. Empty: not known at {@code from}. */
    List<Knot> knots(Instant from, Instant to);

    /** The temperature outside so many seconds after the start. */
    record Knot(double seconds, double celsius) {
    }

    /** It stays as it is. */
    record Constant(Celsius celsius) implements Outside {

        @Override
        public List<Knot> knots(Instant from, Instant to) {
            return List.of(new Knot(0, celsius.value()), new Knot(seconds(from, to), celsius.value()));
        }
    }

    /**
     * A sine of 24 hours.
     *
     * @param swing   K from the mean to the warmest, 0 to 50
     * @param warmest any moment at which it is warmest
     */
    record DailyWave(Celsius mean, double swing, Instant warmest) implements Outside {

        private static final double DAY = Duration.ofDays(1).toSeconds();

        /** Ours: straight pieces of this length miss a sine by at most (2π/288)²/8 of its swing, 0.6 mK for 10 K. */
        private static final double PIECE = Duration.ofMinutes(5).toSeconds();

        /** @throws IllegalArgumentException for a swing that is none on earth */
        public DailyWave {
            if (!(swing >= 0 && swing <= 50)) {
                throw new IllegalArgumentException("daily swing " + swing + " K, must be 0 to 50");
            }
        }

        @Override
        public List<Knot> knots(Instant from, Instant to) {
            double length = seconds(from, to);
            double past = seconds(warmest, from);
            List<Knot> knots = new ArrayList<>();
            for (double at = 0; at < length; at += PIECE) {
                knots.add(new Knot(at, at(past + at)));
            }
            knots.add(new Knot(length, at(past + length)));
            return List.copyOf(knots);
        }

        private double at(double secondsAfterWarmest) {
            return mean.value() + swing * Math.cos(2 * Math.PI * secondsAfterWarmest / DAY);
        }
    }

    /**
     * One value an hour, straight between them. Before the first and after the last nothing is known.
     *
     * @param values two or more
     */
    record Hourly(Instant first, List<Celsius> values) implements Outside {

        private static final Duration HOUR = Duration.ofHours(1);

        /** @throws IllegalArgumentException for fewer than two values */
        public Hourly {
            values = List.copyOf(values);
            if (values.size() < 2) {
                throw new IllegalArgumentException("hourly list of " + values.size() + ", must be 2 values or more");
            }
        }

        private Instant last() {
            return first.plus(HOUR.multipliedBy(values.size() - 1L));
        }

        @Override
        public List<Knot> knots(Instant from, Instant to) {
            if (from.isBefore(first) || !from.isBefore(last())) {
                return List.of();
            }
            double begin = seconds(first, from);
            double end = seconds(first, to.isBefore(last()) ? to : last());
            List<Knot> knots = new ArrayList<>(List.of(new Knot(0, at(begin))));
            for (int hour = (int) (begin / HOUR.toSeconds()) + 1; hour * (double) HOUR.toSeconds() < end; hour++) {
                knots.add(new Knot(hour * (double) HOUR.toSeconds() - begin, values.get(hour).value()));
            }
            knots.add(new Knot(end - begin, at(end)));
            return List.copyOf(knots);
        }

        private double at(double secondsAfterFirst) {
            double hours = secondsAfterFirst / HOUR.toSeconds();
            int before = Math.min((int) hours, values.size() - 2);
            double share = hours - before;
            return values.get(before).value() * (1 - share) + values.get(before + 1).value() * share;
        }
    }

    private static double seconds(Instant from, Instant to) {
        return Duration.between(from, to).toMillis() / 1000.0;
    }
}
