package org.lampkeeper.thermal;

import java.util.Locale;

import org.lampkeeper.quantity.Celsius;

/** A temperature that content should not pass; at the bound itself it is still within. */
public record Bound(Side side, Celsius at) {

    /** On which side of the bound the content is not fit to be kept. */
    public enum Side {
        BELOW, ABOVE
    }

    public static Bound below(Celsius at) {
        return new Bound(Side.BELOW, at);
    }

    public static Bound above(Celsius at) {
        return new Bound(Side.ABOVE, at);
    }

    /** How many K are left, less than 0 where {@code celsius} is past the bound. */
    double room(double celsius) {
        return sign() * (celsius - at.value());
    }

    /** "below 0 °C". */
    String words() {
        return switch (side) {
            case BELOW -> "below " + degrees(at);
            case ABOVE -> "above " + degrees(at);
        };
    }

    /** "-2.5 °C": one decimal at most. */
    static String degrees(Celsius celsius) {
        String shown = String.format(Locale.ROOT, "%.1f", celsius.value()).replaceAll("\\.0$", "");
        return (shown.equals("-0") ? "0" : shown) + " °C";
    }

    /** 1 or -1: which way there is more room. */
    int sign() {
        return switch (side) {
            case BELOW -> 1;
            case ABOVE -> -1;
        };
    }
}
