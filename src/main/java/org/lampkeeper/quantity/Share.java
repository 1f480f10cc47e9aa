package org.lampkeeper.quantity;

/**
 * How many of how many, with what that says about all that was not seen.
 *
 * @param part  0 to {@code whole}
 * @param whole 1 or more
 */
public record Share(long part, long whole) {

    /** The normal distribution's 97.5 % quantile: two-sided 95 %. Handbook value, 1.959963984540054. */
    private static final double Z = 1.959963984540054;

    /** @throws IllegalArgumentException when there is no whole, or the part is not in it */
    public Share {
        if (whole < 1 || part < 0 || part > whole) {
            throw new IllegalArgumentException(part + " of " + whole + ", must be 0 or more of 1 or more");
        }
    }

    /** Both ends from 0 to 1. */
    public record Interval(double low, double high) {
    }

    public double value() {
        return (double) part / whole;
    }

    /**
     * Wilson's score interval, 95 %: E. B. Wilson 1927; R. G. Newcombe, Statistics in Medicine 17 (1998) 857, method 3. Thirty of thirty is
     * not certainty: 0.8865 to 1.
     */
    public Interval interval() {
        double n = whole;
        double p = value();
        double z2 = Z * Z;
        double middle = 2 * n * p + z2;
        double reach = Z * Math.sqrt(z2 + 4 * n * p * (1 - p));
        double under = 2 * (n + z2);
        return new Interval(part == 0 ? 0 : (middle - reach) / under, part == whole ? 1 : (middle + reach) / under);
    }
}
