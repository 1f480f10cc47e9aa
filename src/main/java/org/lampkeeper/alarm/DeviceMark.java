package org.lampkeeper.alarm;

import java.util.Optional;

/** A protective device as it is printed on its front. */
public final class DeviceMark {

    private DeviceMark() {
    }

    /**
     * For example "C16, 30 mA"; "C16" for a device without a residual-current part.
     *
     * @param curve      B, C or D
     * @param ratingA    rated current in ampere; more than zero
     * @param residualMa rated residual current in milliampere; more than zero
     */
    public static String of(String curve, int ratingA, Optional<Integer> residualMa) {
        requirePositive("rating in A", ratingA);
        residualMa.ifPresent(value -> requirePositive("residual current in mA", value));
        return curve + ratingA + residualMa.map(value -> ", " + value + " mA").orElse("");
    }

    private static void requirePositive(String what, int value) {
        if (value <= 0) {
            throw new IllegalArgumentException("protective device: " + what + " " + value + ", must be more than zero");
        }
    }
}
