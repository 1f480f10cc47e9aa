package org.lampkeeper.electrical;

import java.util.List;
import java.util.NavigableMap;
import java.util.Optional;

/** The resistance of the line and protective conductors of a circuit. */
public final class Conductors {

    /** Resistance changes by this share of its value at 20 °C for each °C: On-Site Guide tables, from memory; IEC 60228 has 0.00393. */
    static final double PER_DEGREE = 0.004;

    /** What carries a fault current back. */
    public enum Protective {
        /** A core of the cable. */
        CORE,
        /** The armour alone. */
        ARMOUR,
        /** A core with the armour beside it. */
        CORE_AND_ARMOUR
    }

    private Conductors() {
    }

    /**
     * R1 + R2 at 20 °C in Ω.
     *
     * @param lineSize       in mm²
     * @param protectiveSize of the protective core in mm²; of no account with the armour alone
     * @param metres         more than 0
     * @throws IllegalArgumentException for a size that the tables do not have, naming those that they have
     */
    public static double r1r2(double lineSize, double protectiveSize, Protective protective, double metres, Limits limits) {
        if (!(metres > 0)) {
            throw new IllegalArgumentException("length of the cable is " + metres + " m, must be more than 0");
        }
        double line = perMetre(limits.copper(), lineSize, "conductor");
        double back = switch (protective) {
            case CORE -> perMetre(limits.copper(), protectiveSize, "protective conductor");
            case ARMOUR -> perMetre(limits.armour(), lineSize, "armour");
            case CORE_AND_ARMOUR -> parallel(perMetre(limits.copper(), protectiveSize, "protective conductor"),
                    perMetre(limits.armour(), lineSize, "armour"));
        };
        return (line + back) * metres / 1000;
    }

    /** Two paths side by side. */
    static double parallel(double one, double other) {
        return one * other / (one + other);
    }

    /**
     * What a reading at another temperature would be at 20 °C.
     *
     * @param reading in Ω
     * @param celsius of the conductor when it was read
     */
    public static double at20(double reading, double celsius) {
        return reading / (1 + PER_DEGREE * (celsius - 20));
    }

    /**
     * Whether a measured R1 + R2 fits the cable that was entered.
     *
     * @param measured in Ω, at {@code celsius}
     * @param expected at 20 °C, in Ω
     */
    public static Verdict agreement(double measured, double celsius, double expected, Limits limits) {
        double cold = at20(measured, celsius);
        // Ours: what instruments and leads explain.
        double room = Math.max(0.05, expected * 0.15);
        boolean isLow = cold < expected - room;
        boolean isHigh = cold > expected + room;
        return new Verdict("R1 + R2", isLow || isHigh ? Grade.LOOK_AGAIN : Grade.WITHIN, "Expected were " + Verdict.ohm(expected) + ", read were "
                + Verdict.ohm(cold) + " at 20 °C.", "R20 = R / (1 + 0.004 · (t − 20))", List.of("read " + Verdict.figure(measured, 4) + " Ω at "
                        + Verdict.figure(celsius, 0) + " °C", "expected " + Verdict.figure(expected, 4) + " Ω"), Optional.of(Verdict.figure(expected, 4) + " Ω"),
                limits.edition(), "IEC 60228; how near is near enough: common practice, no source",
                isLow ? List.of("Well below: a parallel path through armour or metalwork, or a shorter or thicker cable than entered.")
                        : isHigh ? List.of("Well above: a longer or thinner cable than entered, or a poor connection.") : List.of());
    }

    private static double perMetre(NavigableMap<Double, Double> table, double size, String what) {
        Double found = table.get(size);
        if (found == null) {
            throw new IllegalArgumentException(what + " of " + Verdict.figure(size, 2) + " mm² is not in the tables, must be one of "
                    + String.join(", ", table.keySet().stream().map(each -> Verdict.figure(each, 2)).toList()) + " mm²");
        }
        return found;
    }
}
