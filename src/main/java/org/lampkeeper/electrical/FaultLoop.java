package org.lampkeeper.electrical;

import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.OptionalDouble;
import java.util.OptionalInt;

import org.jspecify.annotations.Nullable;

import org.lampkeeper.electrical.Limits.Fuse;

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

    /** The current in A that flows through a loop of {@code zs} Ω, with nothing taken off the nominal voltage: the largest, for what has to bear it. */
    public static double current(double volt, double zs) {
        if (!(zs > 0)) {
            throw new IllegalArgumentException("fault loop is " + zs + " Ω, must be more than 0");
        }
        return volt / zs;
    }

    /** How long a fault to earth is alive with a loop of {@code zs} Ω, worked out for conductors at their highest temperature. */
    public Verdict disconnection(double zs) {
        OptionalDouble most = limits.disconnectWithin(earthing, volt);
        if (most.isEmpty()) {
            return Verdict.notInTables("disconnection time", "the table has no row for " + Verdict.figure(volt, 0) + " V", limits);
        }
        double current = volt * limits.minimumVoltageFactor() / zs;
        double needed = curve.tripsAt() * (double) rating;
        boolean isInstant = current >= needed;
        boolean isResidual = !isInstant && residualLimit().isPresent() && zs <= residualLimit().getAsDouble();
        String within = Verdict.figure(most.getAsDouble(), 2) + " s";
        String says = isInstant ? "At a fault " + Verdict.figure(current, 0) + " A flow, and " + curve + rating + " opens at once from " + Verdict.figure(needed, 0)
                + " A; allowed are " + within + "."
                : isResidual ? "At a fault " + Verdict.figure(current, 1) + " A flow: only the residual-current part opens within the " + within + "."
                : "At a fault " + Verdict.figure(current, 1) + " A flow: nothing opens within the " + within + " for certain.";
        return new Verdict("disconnection time", isInstant ? Grade.WITHIN : isResidual ? Grade.LOOK_AGAIN : Grade.OUTSIDE, says,
                "Ia ≤ U0 · Cmin / Zs", List.of("Zs hot " + Verdict.figure(zs, 4) + " Ω", device(), earthing.words()), Optional.of(within), limits.edition(),
                "411.3.2, Table 41.1", advice(isInstant, isResidual, within));
    }

    private List<String> advice(boolean isInstant, boolean isResidual, String within) {
        List<String> advice = new ArrayList<>();
        if (!isInstant) {
            advice.add(isResidual ? "Its test results decide: without that part nothing opens in time." : "Do not put it into service: a fault may stay alive.");
        }
        OptionalDouble longer = limits.disconnectBeyondFinal(earthing);
        if (rating > limits.finalUpTo() && longer.isPresent()) {
            advice.add("Above " + limits.finalUpTo() + " A a circuit of fixed equipment may be given " + Verdict.figure(longer.getAsDouble(), 0)
                    + " s; it is compared with the stricter " + within + " here." + slower(longer.getAsDouble()));
        }
        return advice;
    }

    /** Only of a D it differs, and only where 5 s are allowed. */
    private String slower(double seconds) {
        return seconds < 5 || curve.tripsWithinFiveSeconds() == curve.tripsAt() ? ""
                : " For " + Verdict.figure(seconds, 0) + " s up to " + Verdict.ohm(slowLimit()) + " would do.";
    }

    /** The largest loop impedance in Ω with which the overcurrent part opens within 5 s. Unrounded. */
    double slowLimit() {
        return volt * limits.minimumVoltageFactor() / (curve.tripsWithinFiveSeconds() * (double) rating);
    }

    /** The longest run in m with which Zs stays within the limit of the overcurrent part, hot; 0 where there is none. */
    double longestRun(double ze, double milliohmPerMetre, double hotFactor) {
        return Math.max(0, (overcurrentLimit() - ze) / (milliohmPerMetre * hotFactor) * 1000);
    }

    /**
     * How long this cable may be for the overcurrent part to open at once, before it is bought.
     *
     * @param r1r2At20 of its {@code metres}, in Ω
     */
    public Verdict reach(double metres, double ze, double r1r2At20, double hotFactor) {
        double milliohm = r1r2At20 / metres * 1000;
        double longest = longestRun(ze, milliohm, hotFactor);
        boolean isWithin = metres <= longest;
        return new Verdict("longest run", isWithin ? Grade.WITHIN : Grade.LOOK_AGAIN, "The cable is " + Verdict.figure(metres, 1) + " m long; "
                + (longest > 0 ? curve.toString() + rating + " opens at once up to " + Verdict.figure(longest, 1) + " m of it." : "with this Ze " + curve + rating + " opens at once at no length."),
                "L ≤ (U0 · Cmin / Ia − Ze) / ((R1 + R2)/m · hot)", List.of("Ze " + Verdict.figure(ze, 4) + " Ω", Verdict.figure(milliohm, 2) + " mΩ/m", "hot × " + Verdict.figure(hotFactor, 2), device()),
                Optional.of(Verdict.figure(longest, 1) + " m"), limits.edition(), "411.4.4, Table 41.3", isWithin ? List.of() : List.of("Then the verdict on the loop decides: it says what is relied on."));
    }

    /**
     * Whether the fuse of the connection unit blows within 0.4 s at a fault behind it.
     *
     * @param zs   in Ω, worked out for hot conductors
     * @param volt nominal voltage to earth
     */
    public static Verdict behindFuse(double zs, double volt, int fuseAmpere, Limits limits) {
        @Nullable Fuse fuse = limits.fuses().get(fuseAmpere);
        if (fuse == null) {
            return Verdict.notInTables("fault behind the fuse", "the table has no fuse of " + fuseAmpere + " A", limits);
        }
        double limit = fuse.loop() * limits.minimumVoltageFactor();
        boolean isWithin = zs <= limit;
        return new Verdict("fault behind the fuse", isWithin ? Grade.WITHIN : Grade.LOOK_AGAIN, "Zs " + Verdict.ohm(zs) + " is " + (isWithin ? "within" : "above") + " the "
                + Verdict.ohm(limit) + " of a " + fuseAmpere + " A fuse.", "Zs ≤ Zs(table) · Cmin", List.of("Zs hot " + Verdict.figure(zs, 4) + " Ω", "BS 1362, " + fuseAmpere + " A",
                        blows(fuse, current(volt * limits.minimumVoltageFactor(), zs))),
                Optional.of(Verdict.figure(limit, 4) + " Ω"), limits.edition(), "Table 41.3, BS 1362; its zones from an encyclopaedia’s copy", isWithin ? List.of()
                        : List.of(slow(zs, fuse, limits) + " At a fault behind it the device on the board is what opens."));
    }

    /** By the zones of time and current of its standard. */
    private static String blows(Fuse fuse, double ampere) {
        String flow = "at " + Verdict.figure(ampere, 1) + " A ";
        return fuse.at(ampere).map(zone -> flow + "it blows within " + Verdict.figure(zone.toSeconds(), 2) + " s (" + Verdict.figure(zone.ampere(), 0) + " A: "
                + (zone.fromSeconds() > 0 ? Verdict.figure(zone.fromSeconds(), 2) + " to " : "less than ") + Verdict.figure(zone.toSeconds(), 2) + " s)")
                .orElse(flow + "its zones say nothing");
    }

    private static String slow(double zs, Fuse fuse, Limits limits) {
        return zs <= fuse.loopSlow() * limits.minimumVoltageFactor() ? "The fuse alone blows within 5 s, not within 0.4 s." : "The fuse alone may not even blow within 5 s.";
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
