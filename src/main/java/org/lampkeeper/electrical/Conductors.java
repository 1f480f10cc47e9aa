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
        /** A copper conductor of its own beside the cable. */
        SEPARATE,
        /** The steel-wire armour alone. */
        ARMOUR,
        /** The conduit that the conductors lie in. */
        CONDUIT,
        /** A core with the armour beside it. */
        CORE_AND_ARMOUR
    }

    private Conductors() {
    }

    /**
     * R1 + R2 at 20 °C in Ω.
     *
     * @param lineSize       in mm²
     * @param protectiveSize of the protective core or conductor in mm²; of no account with the armour alone
     * @param metres         more than 0
     * @throws IllegalArgumentException for a size that the tables do not have, naming those that they have, and for a conduit, of which they have none
     */
    public static double r1r2(double lineSize, double protectiveSize, Protective protective, double metres, Conductor conductor, Limits limits) {
        NavigableMap<Double, Double> copper = copper(conductor, limits);
        double line = line(lineSize, metres, conductor, limits);
        double back = switch (protective) {
            case CORE, SEPARATE -> perMetre(copper, protectiveSize, "protective conductor");
            case ARMOUR -> perMetre(limits.armour(), lineSize, "armour");
            case CORE_AND_ARMOUR -> parallel(perMetre(copper, protectiveSize, "protective conductor"), perMetre(limits.armour(), lineSize, "armour"));
            case CONDUIT -> throw new IllegalArgumentException("the tables of this edition have no resistance of steel conduit");
        };
        return line + back * metres / 1000;
    }

    /**
     * R1 at 20 °C in Ω: of one conductor of the cable.
     *
     * @throws IllegalArgumentException for a size that the tables do not have, naming those that they have
     */
    public static double line(double size, double metres, Conductor conductor, Limits limits) {
        if (!(metres > 0)) {
            throw new IllegalArgumentException("length of the cable is " + metres + " m, must be more than 0");
        }
        return perMetre(copper(conductor, limits), size, "conductor") * metres / 1000;
    }

    private static NavigableMap<Double, Double> copper(Conductor conductor, Limits limits) {
        return Optional.ofNullable(limits.conductors().get(conductor))
                .orElseThrow(() -> new IllegalArgumentException("the tables of this edition have no " + conductor.words()));
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
    public static Verdict agreement(double measured, double celsius, double expected, Conductor conductor, Limits limits) {
        double cold = at20(measured, celsius);
        // Ours: what instruments and leads explain.
        double room = Math.max(0.05, expected * 0.15);
        boolean isLow = cold < expected - room;
        boolean isHigh = cold > expected + room;
        return new Verdict("R1 + R2", isLow || isHigh ? Grade.LOOK_AGAIN : Grade.WITHIN, "Expected were " + Verdict.ohm(expected) + ", read were "
                + Verdict.ohm(cold) + " at 20 °C.", "R20 = R / (1 + 0.004 · (t − 20)), measured with " + Verdict.figure(limits.continuity().fromVolt(), 0) + " to "
                        + Verdict.figure(limits.continuity().toVolt(), 0) + " V and at least " + Verdict.figure(limits.continuity().atLeastMilliampere(), 0) + " mA", List.of("read " + Verdict.figure(measured, 4) + " Ω at "
                        + Verdict.figure(celsius, 0) + " °C", "expected " + Verdict.figure(expected, 4) + " Ω", conductor.words()), Optional.of(Verdict.figure(expected, 4) + " Ω"),
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
