package org.lampkeeper.electrical;

import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalDouble;

import org.lampkeeper.electrical.Limits.Ramp;
import org.lampkeeper.electrical.Limits.Trip;
import org.lampkeeper.electrical.Surroundings.ResidualType;

/** What the readings of an installation tester amount to. */
public final class TestResults {

    /** Ours, common practice, no source: it is allowed, and a new circuit of this length has a hundred times more. */
    private static final double FEW_MEGOHM = 2;

    /** Of the rated residual current, type AC: IEC 61008-1, from an instrument's manual. */
    private static final double PLAIN_FROM = 0.5;

    private TestResults() {
    }

    /**
     * The insulation between live conductors and earth.
     *
     * @param reading in MΩ
     * @param volt    nominal voltage of the circuit
     */
    public static Verdict insulation(Reading reading, double volt, Limits limits) {
        return limits.insulation().stream().filter(row -> volt <= row.upTo()).findFirst().map(row -> {
            boolean isWithin = reading.value() >= row.megohm();
            boolean isFew = isWithin && !reading.orMore() && reading.value() < FEW_MEGOHM;
            // A lower bound under the limit says neither.
            Grade grade = isFew || !isWithin && reading.orMore() ? Grade.LOOK_AGAIN : isWithin ? Grade.WITHIN : Grade.OUTSIDE;
            List<String> advice = new ArrayList<>();
            if (isFew) {
                advice.add("Allowed, and little for a new circuit: look for moisture or damage.");
            }
            advice.add("Take sensors and heater electronics off before a test with " + Verdict.figure(row.testVolt(), 0)
                    + " V, or test line and neutral joined against earth with 250 V.");
            return new Verdict("insulation", grade, reading.shown("MΩ") + " against at least " + Verdict.figure(row.megohm(), 1) + " MΩ.",
                    "R ≥ " + Verdict.figure(row.megohm(), 1) + " MΩ at " + Verdict.figure(row.testVolt(), 0) + " V d.c.", List.of(reading.shown("MΩ")),
                    Optional.of(Verdict.figure(row.megohm(), 1) + " MΩ"), limits.edition(), "643.3, Table 64", advice);
        }).orElseGet(() -> Verdict.notInTables("insulation", "the table has no row for " + Verdict.figure(volt, 0) + " V", limits));
    }

    /**
     * The times of a residual-current device.
     *
     * @param milliseconds by multiple of the rated residual current; a reading "> 300" is one that did not trip in that time
     * @param delayed      of type S
     */
    public static List<Verdict> trips(Map<Double, Reading> milliseconds, boolean delayed, Earthing earthing, double volt, Limits limits) {
        List<Verdict> verdicts = new ArrayList<>();
        for (Trip trip : limits.trips()) {
            if (trip.delayed() != delayed) {
                continue;
            }
            String what = "residual current, " + Verdict.figure(trip.times(), 1) + " × IΔn";
            Optional<Reading> found = Optional.ofNullable(milliseconds.get(trip.times()));
            if (found.isPresent()) {
                verdicts.add(trip(what, trip, found.get(), earthing, volt, limits));
            } else if (trip.required()) {
                verdicts.add(Verdict.notGiven(what, "the reading, which this edition asks for,", limits));
            }
        }
        return verdicts;
    }

    private static Verdict trip(String what, Trip trip, Reading reading, Earthing earthing, double volt, Limits limits) {
        boolean tripped = !reading.orMore();
        List<String> inputs = List.of(reading.shown("ms"));
        if (trip.atMostMs().isEmpty()) {
            return new Verdict(what, tripped ? Grade.OUTSIDE : Grade.WITHIN, tripped ? "It opened, and must not at this current."
                    : "It stayed closed, as it must.", "no trip", inputs, Optional.of("no trip"), limits.edition(), "IEC 61008-1, IEC 61009-1", List.of());
        }
        double most = trip.atMostMs().get();
        String range = (trip.atLeastMs() > 0 ? Verdict.figure(trip.atLeastMs(), 0) + " to " : "at most ") + Verdict.figure(most, 0) + " ms";
        boolean isWithin = tripped && reading.value() <= most && reading.value() >= trip.atLeastMs();
        OptionalDouble disconnect = limits.disconnectWithin(earthing, volt);
        boolean isSlowForTheSystem = isWithin && trip.times() == 1 && disconnect.isPresent() && reading.value() > disconnect.getAsDouble() * 1000;
        List<String> advice = isSlowForTheSystem ? List.of("Longer than the " + Verdict.figure(disconnect.getAsDouble(), 2) + " s in which a "
                + earthing.words() + " system is to disconnect; at a real fault the current is many times larger, and the time shorter.") : List.of();
        return new Verdict(what, isWithin ? isSlowForTheSystem ? Grade.LOOK_AGAIN : Grade.WITHIN : Grade.OUTSIDE,
                (tripped ? "Opened after " : "Did not open within ") + Verdict.figure(reading.value(), 1) + " ms; " + range + ".", "t ≤ " + Verdict.figure(most, 0) + " ms",
                inputs, Optional.of(range), limits.edition(), "IEC 61008-1, IEC 61009-1; 643.7", advice);
    }

    /**
     * The current that flows to earth all the time.
     *
     * @param milliampere measured on the whole circuit
     */
    public static Verdict leakage(double milliampere, int residualMa, Limits limits) {
        double limit = residualMa * limits.leakageShare();
        return new Verdict("standing leakage", milliampere <= limit ? Grade.WITHIN : Grade.OUTSIDE,
                Verdict.figure(milliampere, 1) + " mA against " + Verdict.figure(limit, 1) + " mA.", "I ≤ " + Verdict.figure(limits.leakageShare(), 2) + " · IΔn",
                List.of(Verdict.figure(milliampere, 2) + " mA", "IΔn " + residualMa + " mA"), Optional.of(Verdict.figure(limit, 1) + " mA"), limits.edition(),
                "531.3.2, from memory", milliampere <= limit ? List.of() : List.of("It may trip by itself: look for moisture or too much electronics on one device."));
    }

    /** @param faultKa prospective fault current @param breakingKa what the device can break */
    public static Verdict breaking(double faultKa, double breakingKa, Limits limits) {
        return new Verdict("breaking capacity", faultKa <= breakingKa ? Grade.WITHIN : Grade.OUTSIDE,
                String.format(Locale.ROOT, "Prospective fault current %.2f kA against %.1f kA.", faultKa, breakingKa), "Ipf ≤ Icn",
                List.of(Verdict.figure(faultKa, 3) + " kA", Verdict.figure(breakingKa, 1) + " kA"), Optional.of(Verdict.figure(breakingKa, 1) + " kA"),
                limits.edition(), "434.5.1, from memory", List.of());
    }

    /**
     * Whether a fuse of the connection unit can break what flows at a short circuit there.
     *
     * @param faultKa prospective fault current at the board
     * @param volt    nominal
     * @param cable   line and neutral from there to the unit, at 20 °C, in Ω: cold they let through more
     */
    public static Verdict fuseBreaking(double faultKa, double volt, double cable, Limits limits) {
        double most = limits.fuseCommon().breakingKa();
        double here = faultKa > 0 ? volt / (volt / (faultKa * 1000) + cable) / 1000 : 0;
        // What is within at the board already is not lost to a division.
        return new Verdict("breaking capacity of the fuse", Math.min(faultKa, here) <= most ? Grade.WITHIN : Grade.OUTSIDE,
                String.format(Locale.ROOT, "Prospective fault current %.2f kA at the fused connection unit against %.1f kA.", here, most), "Ipf = U / (U / Ipf(board) + 2 · R1) ≤ " + Verdict.figure(most, 1) + " kA",
                List.of(Verdict.figure(faultKa, 3) + " kA at the board", "2 · R1 " + Verdict.figure(cable, 4) + " Ω", Verdict.figure(volt, 0) + " V"),
                Optional.of(Verdict.figure(most, 1) + " kA"), limits.edition(), "BS 1362, from memory", List.of());
    }

    /**
     * The current with which a residual-current device opened while it rose slowly.
     *
     * @param milliampere one that did not open is "more than" the last step
     */
    public static Verdict ramp(Reading milliampere, int residualMa, ResidualType type, Limits limits) {
        Optional<Ramp> found = limits.ramps().stream().filter(ramp -> ramp.type() == type && residualMa > ramp.aboveMa()).findFirst();
        if (found.isEmpty()) {
            return Verdict.notInTables("residual current, rising", "the tables of this edition have no type " + type + " of " + residualMa + " mA", limits);
        }
        double least = found.get().from() * residualMa;
        double most = found.get().upTo() * residualMa;
        double value = milliampere.value();
        boolean isWithin = !milliampere.orMore() && value >= least && value <= most;
        // What any of them does with a plain alternating current.
        boolean isPlain = value >= residualMa * PLAIN_FROM && value <= residualMa;
        List<String> advice = !isWithin ? List.of(value > most || milliampere.orMore() ? "It opens too late, or not at all: do not put it into service." : "It opens too early, and will by itself: "
                + "look for leakage on the circuit during the test, or exchange it.")
                : isPlain ? List.of() : List.of("So it may be with a pulsating test current. With a plain alternating one it has to open between " + Verdict.figure(residualMa * PLAIN_FROM, 1)
                        + " and " + residualMa + " mA: which was it?");
        String range = Verdict.figure(least, 1) + " to " + Verdict.figure(most, 1) + " mA";
        return new Verdict("residual current, rising", !isWithin ? Grade.OUTSIDE : isPlain ? Grade.WITHIN : Grade.LOOK_AGAIN,
                (milliampere.orMore() ? "It had not opened at " : "It opened at ") + Verdict.figure(value, 1) + " mA; " + range + ".",
                Verdict.figure(found.get().from(), 2) + " · IΔn ≤ I ≤ " + Verdict.figure(found.get().upTo(), 2) + " · IΔn",
                List.of(milliampere.shown("mA"), "type " + type, "IΔn " + residualMa + " mA"), Optional.of(range), limits.edition(),
                "IEC 61008-1, IEC 61009-1, from an instrument’s manual", advice);
    }

    /** Whether the test button opened the residual-current device after the tests with an instrument. */
    public static Verdict testButton(boolean opens, Limits limits) {
        return new Verdict("test button", opens ? Grade.WITHIN : Grade.OUTSIDE, opens ? "Its test button opens it." : "Its test button does nothing.", "pressed, it opens",
                List.of(opens ? "opens it" : "does nothing"), Optional.of("opens it"), limits.edition(), "643.10, from memory",
                opens ? List.of("The site presses it every six months: the lamp goes out for that moment.") : List.of("Do not put it into service: nobody could test it any more."));
    }
}
