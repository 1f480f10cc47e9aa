package org.lampkeeper.electrical;

/**
 * What an instrument showed: a figure, or that it was more than it can show. A lower bound is never taken for a figure.
 *
 * @param value   0 or more
 * @param orMore  ">" stood before it
 */
public record Reading(double value, boolean orMore) {

    /** @throws IllegalArgumentException when it is negative or no number */
    public Reading {
        if (!Double.isFinite(value) || value < 0) {
            throw new IllegalArgumentException("reading " + value + ", must be 0 or more");
        }
    }

    public static Reading of(double value) {
        return new Reading(value, false);
    }

    public static Reading moreThan(double value) {
        return new Reading(value, true);
    }

    /** With its unit, as it was shown. */
    String shown(String unit) {
        return (orMore ? "> " : "") + Verdict.figure(value, 2) + " " + unit;
    }
}
