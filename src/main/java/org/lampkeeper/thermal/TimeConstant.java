package org.lampkeeper.thermal;

import java.time.Duration;

/**
 * How long the inside takes to come within 1/e (36.8 %) of the temperature outside: τ = C / UA. Known as a range only.
 *
 * @param early  the shortest that is reckoned with, more than zero
 * @param likely not shorter than {@code early}
 * @param late   the longest that is reckoned with, not shorter than {@code likely}, at most {@value #MOST_DAYS} days
 */
public record TimeConstant(Duration early, Duration likely, Duration late, Basis basis) {

    /** Ours: a cellar, not a cabinet. */
    static final int MOST_DAYS = 60;

    /** Where the figure comes from. */
    public enum Basis {
        /** Worked out from walls and masses: nobody has seen the cabinet cool. */
        NOMINAL,
        /** The same, of content that is too thick to have one temperature: {@link ContentBody}. */
        NOMINAL_OF_THICK_CONTENT,
        /** From cool-downs on record. */
        LEARNED
    }

    /** @throws IllegalArgumentException when the three are not in order */
    public TimeConstant {
        if (early.isZero() || early.isNegative() || likely.compareTo(early) < 0 || late.compareTo(likely) < 0
                || late.compareTo(Duration.ofDays(MOST_DAYS)) > 0) {
            throw new IllegalArgumentException("time constant " + early + ", " + likely + ", " + late
                    + ", must be in order, more than 0 and at most " + MOST_DAYS + " days");
        }
    }
}
