package org.lampkeeper.quantity;

/** A temperature in °C, not below absolute zero. */
public record Celsius(double value) {

    private static final double ABSOLUTE_ZERO = -273.15;

    public Celsius {
        if (!Double.isFinite(value) || value < ABSOLUTE_ZERO) {
            throw new IllegalArgumentException("temperature " + value + " °C, must be finite and not below " + ABSOLUTE_ZERO);
        }
    }
}
