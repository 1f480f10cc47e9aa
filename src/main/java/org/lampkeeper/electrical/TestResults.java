package org.lampkeeper.electrical;

import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalDouble;

import org.lampkeeper.electrical.Limits.Trip;

/** What the readings of an installation tester amount to. */
public final class TestResults {

    /** Ours, common practice, no source: it is allowed, and a new circuit of this length has a hundred times more. */
    private static final double FEW_MEGOHM = 2;

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
}
