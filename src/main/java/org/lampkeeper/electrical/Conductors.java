package org.lampkeeper.electrical;

import java.util.NavigableMap;

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

    private static double perMetre(NavigableMap<Double, Double> table, double size, String what) {
        Double found = table.get(size);
        if (found == null) {
            throw new IllegalArgumentException(what + " of " + Verdict.figure(size, 2) + " mm² is not in the tables, must be one of "
                    + String.join(", ", table.keySet().stream().map(each -> Verdict.figure(each, 2)).toList()) + " mm²");
        }
        return found;
    }
}
