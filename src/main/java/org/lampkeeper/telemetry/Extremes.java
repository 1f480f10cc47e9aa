package org.lampkeeper.telemetry;

import java.util.OptionalDouble;
import java.util.function.DoubleBinaryOperator;

import org.jspecify.annotations.Nullable;

/** Between what the temperatures of some readings lay, in °C. Joined in any order and however often, they come to the same. */
public record Extremes(Pair inside, Pair outside, Pair content) {

    /** Least and most; both are null where nothing was measured. */
    public record Pair(@Nullable Double least, @Nullable Double most) {

        private static Pair of(OptionalDouble value) {
            return new Pair(Columns.orNull(value), Columns.orNull(value));
        }

        private Pair and(Pair other) {
            return new Pair(either(least, other.least, Math::min), either(most, other.most, Math::max));
        }
    }

    /** Of one report. */
    public static Extremes of(Readings readings) {
        return new Extremes(Pair.of(readings.insideC()), Pair.of(readings.outsideC()), Pair.of(readings.contentC()));
    }

    public Extremes and(Extremes other) {
        return new Extremes(inside.and(other.inside), outside.and(other.outside), content.and(other.content));
    }

    private static @Nullable Double either(@Nullable Double one, @Nullable Double other, DoubleBinaryOperator of) {
        if (one == null || other == null) {
            return one == null ? other : one;
        }
        return of.applyAsDouble(one, other);
    }
}
