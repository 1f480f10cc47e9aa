package org.lampkeeper.report;

import org.apache.commons.math3.distribution.ChiSquaredDistribution;

/**
 * What a number of events that happened says about how many are to be expected of as much time again.
 *
 * @param events 0 or more
 */
public record Rate(int events) {

    // Two-sided 95 %.
    private static final double TAIL = 0.025;

    /** @throws IllegalArgumentException for a negative number */
    public Rate {
        if (events < 0) {
            throw new IllegalArgumentException(events + " events, must be 0 or more");
        }
    }

    /** The lower end of the exact interval, 95 %, of a Poisson mean: F. Garwood, Biometrika 28 (1936) 437, by the chi-squared distribution. */
    public double low() {
        return events == 0 ? 0 : new ChiSquaredDistribution(2.0 * events).inverseCumulativeProbability(TAIL) / 2;
    }

    /** The upper end of the same interval: none seen is not none to be expected. */
    public double high() {
        return new ChiSquaredDistribution(2.0 * events + 2).inverseCumulativeProbability(1 - TAIL) / 2;
    }
}
