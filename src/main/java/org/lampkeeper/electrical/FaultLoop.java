package org.lampkeeper.electrical;

import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.OptionalDouble;
import java.util.OptionalInt;

/**
 * Whether enough current flows at a fault to earth for the device to open in time.
 *
 * @param volt       nominal voltage to earth
 * @param rating     of the device in A
 * @param residualMa rated residual current in mA; none: there is no residual-current protection
 */
public record FaultLoop(double volt, Curve curve, int rating, OptionalInt residualMa, Earthing earthing, Limits limits) {

    /** The largest loop impedance in Ω with which the overcurrent part opens at once: U0·Cmin / Ia. Unrounded. */
    public double overcurrentLimit() {
        return volt * limits.minimumVoltageFactor() / (curve.tripsAt() * (double) rating);
    }

    /** The largest in Ω with which the residual-current part keeps the touch voltage low: 50 V / IΔn (411.5.3). None without such a part. */
    public OptionalDouble residualLimit() {
        return residualMa.isPresent() ? OptionalDouble.of(limits.touchVoltage() / (residualMa.getAsInt() / 1000.0)) : OptionalDouble.empty();
    }

    /** What Zs should be when the conductors are as hot as they may become. All in Ω. */
    public static double hot(double ze, double r1r2At20, double hotFactor) {
        return ze + r1r2At20 * hotFactor;
    }

    /** The longest run in m with which Zs stays within the limit of the overcurrent part, hot; 0 where there is none. */
    public double longestRun(double ze, double milliohmPerMetre, double hotFactor) {
        return Math.max(0, (overcurrentLimit() - ze) / (milliohmPerMetre * hotFactor) * 1000);
    }

    /** A loop impedance worked out for conductors at their highest temperature, in Ω. */
    public Verdict ofHot(double zs) {
        double limit = overcurrentLimit();
        List<String> inputs = List.of("Zs hot " + Verdict.figure(zs, 4) + " Ω", device());
        if (zs <= limit) {
            return verdict("fault loop, hot", Grade.WITHIN, "Zs " + Verdict.ohm(zs) + " is within the " + Verdict.ohm(limit) + " of "
                    + curve + rating + ".", inputs, limit, List.of());
        }
        return beyond("fault loop, hot", zs, inputs, limit);
    }

    /** A loop impedance as read on the cold circuit, in Ω. */
    public Verdict ofReading(double zs) {
        double limit = overcurrentLimit();
        double screen = limit * limits.loopScreen();
        List<String> inputs = List.of("Zs read " + Verdict.figure(zs, 4) + " Ω", device());
        if (zs <= screen) {
            return verdict("fault loop, as read", Grade.WITHIN, "Zs " + Verdict.ohm(zs) + " is within " + percent() + " of the " + Verdict.ohm(limit)
                    + " of " + curve + rating + ": " + Verdict.ohm(screen) + ".", inputs, screen, List.of());
        }
        if (zs <= limit) {
            return verdict("fault loop, as read", Grade.LOOK_AGAIN, "Zs " + Verdict.ohm(zs) + " is above " + percent() + " of the limit ("
                    + Verdict.ohm(screen) + ") and below the limit of " + Verdict.ohm(limit) + ".", inputs, screen,
                    List.of("Correct the reading for temperature: warm conductors have more resistance than those that were measured."));
        }
        return beyond("fault loop, as read", zs, inputs, limit);
    }

    private Verdict beyond(String what, double zs, List<String> inputs, double limit) {
        OptionalDouble residual = residualLimit();
        if (residual.isPresent() && zs <= residual.getAsDouble()) {
            List<String> advice = new ArrayList<>(List.of("Fault protection relies on the residual-current device alone: its test results count for all the more."));
            if (earthing == Earthing.TT && zs > limits.electrodeDoubt()) {
                advice.add("Above " + Verdict.figure(limits.electrodeDoubt(), 0) + " Ω an earth electrode may not be stable through the seasons.");
            }
            return verdict(what, Grade.LOOK_AGAIN, "Zs " + Verdict.ohm(zs) + " is above the " + Verdict.ohm(limit) + " of " + curve + rating
                    + "; the residual-current device allows up to " + Verdict.figure(residual.getAsDouble(), 0) + " Ω.", inputs, limit, advice);
        }
        return verdict(what, Grade.OUTSIDE, "Zs " + Verdict.ohm(zs) + " is above the limit of " + Verdict.ohm(limit)
                + (residual.isPresent() ? " and above the " + Verdict.figure(residual.getAsDouble(), 0) + " Ω of the residual-current device." : "."),
                inputs, limit, List.of("Do not put it into service: a fault may stay alive."));
    }

    /** The resistance of a local earth electrode, in Ω, for a TT system. */
    public Verdict ofElectrode(double ra) {
        OptionalDouble limit = residualLimit();
        if (limit.isEmpty()) {
            return Verdict.notGiven("earth electrode", "the rated residual current", limits);
        }
        List<String> inputs = List.of("RA " + Verdict.figure(ra, 2) + " Ω", "IΔn " + residualMa.getAsInt() + " mA");
        Grade grade = ra > limit.getAsDouble() ? Grade.OUTSIDE : ra > limits.electrodeDoubt() ? Grade.LOOK_AGAIN : Grade.WITHIN;
        List<String> advice = grade == Grade.LOOK_AGAIN ? List.of("Above " + Verdict.figure(limits.electrodeDoubt(), 0)
                + " Ω an electrode may not be stable through the seasons.") : List.of();
        return new Verdict("earth electrode", grade, "RA " + Verdict.figure(ra, 1) + " Ω against " + Verdict.figure(limit.getAsDouble(), 0) + " Ω.",
                "RA · IΔn ≤ " + Verdict.figure(limits.touchVoltage(), 0) + " V", inputs, Optional.of(Verdict.figure(limit.getAsDouble(), 1) + " Ω"),
                limits.edition(), "411.5.3", advice);
    }

    /**
     * Whether a measured loop fits what was worked out. All in Ω.
     *
     * @param expected Ze + R1 + R2 at the temperature of measuring
     */
    public Verdict agreement(double measured, double expected) {
        // Ours: what instruments and leads explain.
        double room = Math.max(0.1, expected * 0.2);
        boolean isLow = measured < expected - room;
        boolean isHigh = measured > expected + room;
        String says = "Zs was expected near " + Verdict.ohm(expected) + ", " + Verdict.ohm(measured) + " was read.";
        return new Verdict("reading against expectation", isLow || isHigh ? Grade.LOOK_AGAIN : Grade.WITHIN, says, "Zs = Ze + (R1 + R2)",
                List.of("expected " + Verdict.figure(expected, 4) + " Ω", "read " + Verdict.figure(measured, 4) + " Ω"), Optional.empty(), limits.edition(),
                "common practice, no source", isLow ? List.of("Well below: a parallel path through metalwork or armour, or Ze is not what was entered.")
                        : isHigh ? List.of("Well above: a longer or thinner cable than entered, or a poor connection.") : List.of());
    }

    private Verdict verdict(String what, Grade grade, String says, List<String> inputs, double limit, List<String> advice) {
        return new Verdict(what, grade, says, "Zs ≤ U0 · Cmin / Ia", inputs, Optional.of(Verdict.figure(limit, 4) + " Ω"), limits.edition(),
                "411.4.4, Table 41.3", advice);
    }

    private String device() {
        return curve + Integer.toString(rating) + ", Ia " + curve.tripsAt() * rating + " A, U0 " + Verdict.figure(volt, 0) + " V, Cmin "
                + Verdict.figure(limits.minimumVoltageFactor(), 2);
    }

    private String percent() {
        return Verdict.figure(limits.loopScreen() * 100, 0) + " %";
    }
}
