package org.lampkeeper.electrical;

import java.util.List;
import java.util.Map;
import java.util.NavigableMap;
import java.util.Optional;

import org.lampkeeper.electrical.Limits.Insulation;

/**
 * Whether a cable suits its circuit.
 *
 * @param insulation as named in the tables. An accessory for 70 °C keeps a 90 °C cable at the figures of 70 °C (512.1.2)
 * @param size       of its live conductors in mm²
 * @param metres     more than 0
 */
public record Sizing(String insulation, double size, double metres, Limits limits) {

    /** @throws IllegalArgumentException for an insulation or a size that the tables do not have, or a length that cannot be */
    public Sizing {
        Insulation known = limits.insulations().get(insulation);
        if (known == null) {
            throw new IllegalArgumentException("insulation " + insulation + " is not in the tables, must be one of "
                    + String.join(", ", limits.insulations().keySet().stream().sorted().toList()));
        }
        if (!known.ampere().containsKey(size) || !known.dropMillivolt().containsKey(size)) {
            throw new IllegalArgumentException("cable of " + Verdict.figure(size, 2) + " mm² is not in the tables, must be one of "
                    + String.join(", ", known.ampere().keySet().stream().map(each -> Verdict.figure(each, 2)).toList()) + " mm²");
        }
        if (!(metres > 0)) {
            throw new IllegalArgumentException("length of the cable is " + metres + " m, must be more than 0");
        }
    }

    private Insulation table() {
        return limits.insulations().get(insulation);
    }

    /** What it carries in A; a temperature between two rows counts as the hotter one. Empty: hotter, or more circuits, than the tables have. */
    public Optional<Double> rating(double ambientCelsius, int circuitsTogether) {
        Optional<Double> ambient = atLeast(table().ambient(), (int) Math.ceil(ambientCelsius));
        Optional<Double> grouped = atLeast(limits.grouped(), circuitsTogether);
        return ambient.flatMap(warm -> grouped.map(together -> table().ampere().get(size) * warm * together));
    }

    private static Optional<Double> atLeast(NavigableMap<Integer, Double> table, int wanted) {
        return Optional.ofNullable(table.ceilingEntry(wanted)).map(Map.Entry::getValue);
    }

    /** @param ampere of the protective device */
    public Verdict carries(int ampere, double ambientCelsius, int circuitsTogether) {
        List<String> inputs = List.of(Verdict.figure(size, 2) + " mm², " + insulation, Verdict.figure(ambientCelsius, 0) + " °C",
                circuitsTogether + (circuitsTogether == 1 ? " circuit" : " circuits"), "In " + ampere + " A");
        Optional<Double> rating = rating(ambientCelsius, circuitsTogether);
        if (rating.isEmpty()) {
            return Verdict.notGiven("rating of the cable", "a row of the tables for " + String.join(", ", inputs), limits);
        }
        return new Verdict("rating of the cable", ampere <= rating.get() ? Grade.WITHIN : Grade.OUTSIDE,
                "The cable carries " + Verdict.figure(rating.get(), 2) + " A here, the device lets through " + ampere + " A.", "In ≤ It · Ca · Cg", inputs,
                Optional.of(Verdict.figure(rating.get(), 2) + " A"), limits.edition(), "433.1.1, Appendix 4", List.of());
    }

    /** Voltage lost along the cable, in V, for a current in A. */
    public double dropVolt(double ampere) {
        return table().dropMillivolt().get(size) * ampere * metres / 1000;
    }

    /** @param ampere design current @param volt nominal */
    public Verdict drop(double ampere, double volt) {
        double drop = dropVolt(ampere);
        double limit = volt * limits.dropPercent() / 100;
        return new Verdict("voltage drop", drop <= limit ? Grade.WITHIN : Grade.OUTSIDE, Verdict.figure(drop, 2) + " V ("
                + Verdict.figure(drop / volt * 100, 2) + " %) against " + Verdict.figure(limit, 1) + " V.", "ΔU = mV/A/m · Ib · L / 1000",
                List.of(Verdict.figure(table().dropMillivolt().get(size), 1) + " mV/A/m", Verdict.figure(ampere, 2) + " A", Verdict.figure(metres, 1) + " m"),
                Optional.of(Verdict.figure(limit, 2) + " V"), limits.edition(), "525, Appendix 4 §6.4", List.of());
    }

    /** The smallest cross-section in mm² that bears a fault current for a time of at most 5 s: S = √(I²t)/k. */
    public static double adiabatic(double ampere, double seconds, double k) {
        if (!(seconds > 0) || seconds > 5) {
            throw new IllegalArgumentException("time to disconnect is " + seconds + " s, must be more than 0 and at most 5 for this equation");
        }
        return Math.sqrt(ampere * ampere * seconds) / k;
    }

    /**
     * Whether the protective conductor bears the fault current.
     *
     * @param protective its cross-section in mm²
     */
    public Verdict bears(double protective, boolean isArmour, double ampere, double seconds) {
        double k = isArmour ? table().armourK() : table().k();
        double least = adiabatic(ampere, seconds, k);
        return new Verdict("protective conductor", protective >= least ? Grade.WITHIN : Grade.OUTSIDE,
                Verdict.figure(protective, 2) + " mm² against at least " + Verdict.figure(least, 2) + " mm².", "S ≥ √(I² · t) / k",
                List.of(Verdict.figure(ampere, 1) + " A", Verdict.figure(seconds, 3) + " s", "k " + Verdict.figure(k, 0)),
                Optional.of(Verdict.figure(least, 3) + " mm²"), limits.edition(), "543.1.3", List.of());
    }

    /** The design current against the device: Ib ≤ In, the load in W, the device in A. */
    public static Verdict design(double loadWatt, double volt, int deviceAmpere, Limits limits) {
        double load = loadWatt / volt;
        return new Verdict("design current", load <= deviceAmpere ? Grade.WITHIN : Grade.OUTSIDE,
                "The cabinet takes " + Verdict.figure(load, 2) + " A, the device carries " + deviceAmpere + " A.", "Ib = P / U; Ib ≤ In",
                List.of(Verdict.figure(loadWatt, 0) + " W", Verdict.figure(volt, 0) + " V", "In " + deviceAmpere + " A"), Optional.of(deviceAmpere + " A"),
                limits.edition(), "433.1.1", List.of());
    }

    /** Whether fuse, device and load fit each other: load ≤ fuse ≤ device, all in A. */
    public static Verdict fuse(double loadWatt, double volt, int fuseAmpere, int deviceAmpere, Limits limits) {
        double load = loadWatt / volt;
        boolean isOutside = load > fuseAmpere || fuseAmpere > deviceAmpere;
        // Ours: ten times what is needed protects the flexible lead no better than none.
        boolean isLarge = !isOutside && fuseAmpere > 3 && load <= 3;
        return new Verdict("fuse", isOutside ? Grade.OUTSIDE : isLarge ? Grade.LOOK_AGAIN : Grade.WITHIN, "Load " + Verdict.figure(load, 2) + " A, fuse "
                + fuseAmpere + " A, device " + deviceAmpere + " A.", "Ib ≤ fuse ≤ In", List.of(Verdict.figure(loadWatt, 0) + " W",
                        Verdict.figure(volt, 0) + " V"), Optional.empty(), limits.edition(), "BS 1362; 433.1.1",
                isLarge ? List.of("A 3 A fuse would do. Never fit a bigger one than the label says.") : List.of("Never fit a bigger one."));
    }
}
