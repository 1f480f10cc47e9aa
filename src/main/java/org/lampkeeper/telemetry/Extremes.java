package org.lampkeeper.telemetry;

import java.util.function.DoubleBinaryOperator;

import org.jspecify.annotations.Nullable;

/** Least and most of some readings, in °C; all are null where nothing was measured. Joined in any order and however often, they come to the same. */
public record Extremes(@Nullable Double insideLeast, @Nullable Double insideMost, @Nullable Double outsideLeast, @Nullable Double outsideMost) {

    /** Of one report. */
    public static Extremes of(Readings readings) {
        @Nullable Double inside = Columns.orNull(readings.insideC());
        @Nullable Double outside = Columns.orNull(readings.outsideC());
        return new Extremes(inside, inside, outside, outside);
    }

    public Extremes and(Extremes other) {
        return new Extremes(either(insideLeast, other.insideLeast, Math::min), either(insideMost, other.insideMost, Math::max),
                either(outsideLeast, other.outsideLeast, Math::min), either(outsideMost, other.outsideMost, Math::max));
    }

    private static @Nullable Double either(@Nullable Double one, @Nullable Double other, DoubleBinaryOperator of) {
        if (one == null || other == null) {
            return one == null ? other : one;
        }
        return of.applyAsDouble(one, other);
    }
}
