package org.lampkeeper.electrical;

import java.util.List;
import java.util.Map;
import java.util.NavigableMap;
import java.util.Optional;

import org.lampkeeper.electrical.Limits.Insulation;
import org.lampkeeper.electrical.Limits.Rating;

/**
 * Whether a cable suits its circuit.
 *
 * @param insulation as named in the tables. An accessory for 70 °C keeps a 90 °C cable at the figures of 70 °C (512.1.2)
 * @param size       of its live conductors in mm²
 * @param metres     more than 0
 */
public record Sizing(String insulation, double size, double metres, Limits limits) {

    // IEC 60364-5-52, reference method D: from a secondary copy. Sand that dries out has more; from memory.
    private static final String SOIL = "The table is for soil of 2.5 K·m/W: in ash, rubble or sand that dries out, or below a surface in the sun, a cable carries less.";

    /** @throws IllegalArgumentException for an insulation or a size that the tables do not have, or a length that cannot be */
    public Sizing {
        Insulation known = limits.insulations().get(insulation);
        if (known == null) {
            throw new IllegalArgumentException("insulation " + insulation + " is not in the tables, must be one of "
                    + String.join(", ", limits.insulations().keySet().stream().sorted().toList()));
        }
        if (!known.dropMillivolt().containsKey(size)) {
            throw new IllegalArgumentException("cable of " + Verdict.figure(size, 2) + " mm² is not in the tables, must be one of "
                    + String.join(", ", known.dropMillivolt().keySet().stream().map(each -> Verdict.figure(each, 2)).toList()) + " mm²");
        }
        if (!(metres > 0)) {
            throw new IllegalArgumentException("length of the cable is " + metres + " m, must be more than 0");
        }
    }

    private Insulation table() {
        return limits.insulations().get(insulation);
    }

    /**
     * What it carries in A; a temperature between two rows counts as the hotter one. Empty: another cable, way of laying, hotter, or more circuits,
     * than the tables have.
     *
     * @param warmestCelsius of the air, or of the ground where it is laid in that
     */
    public Optional<Double> rating(Cable cable, Laying laying, double warmestCelsius, int circuitsTogether) {
        Optional<Double> plain = table().rating(cable, laying).flatMap(rating -> Optional.ofNullable(rating.ampere().get(size)));
        Optional<Double> warm = atLeast(laying.isInGround() ? table().ground() : table().ambient(), (int) Math.ceil(warmestCelsius));
        Optional<Double> together = atLeast(limits.grouped(laying), circuitsTogether);
        return plain.flatMap(ampere -> warm.flatMap(ca -> together.map(cg -> ampere * ca * cg)));
    }

    private static Optional<Double> atLeast(NavigableMap<Integer, Double> table, int wanted) {
        return Optional.ofNullable(table.ceilingEntry(wanted)).map(Map.Entry::getValue);
    }

    /**
     * @param ampere         of the protective device
     * @param warmestCelsius of the air, or of the ground where it is laid in that
     */
    public Verdict carries(Cable cable, Laying laying, int ampere, double warmestCelsius, int circuitsTogether) {
        String here = (laying.isInGround() ? "ground of " : "air of ") + Verdict.figure(warmestCelsius, 0) + " °C";
        String company = circuitsTogether + (circuitsTogether == 1 ? " circuit" : " circuits");
        Optional<Rating> row = table().rating(cable, laying);
        Optional<Double> rating = rating(cable, laying, warmestCelsius, circuitsTogether);
        if (row.isEmpty() || rating.isEmpty()) {
            return Verdict.notInTables("rating of the cable", "the tables of this edition have no " + cable.words() + " of " + Verdict.figure(size, 2) + " mm², "
                    + insulation + ", " + laying.words() + ", in " + here + ", with " + company, limits);
        }
        List<String> inputs = List.of(Verdict.figure(size, 2) + " mm², " + insulation, cable.words(), laying.words(), here, company, "In " + ampere + " A");
        return new Verdict("rating of the cable", ampere <= rating.get() ? Grade.WITHIN : Grade.OUTSIDE,
                "The cable carries " + Verdict.figure(rating.get(), 2) + " A here, the device lets through " + ampere + " A.", "In ≤ It · Ca · Cg", inputs,
                Optional.of(Verdict.figure(rating.get(), 2) + " A"), limits.edition(), "433.1.1; " + row.get().source(), laying.isInGround() ? List.of(SOIL) : List.of());
    }

    /** Voltage lost along the cable, in V, for a current in A. */
    public double dropVolt(double ampere) {
        return table().dropMillivolt().get(size) * ampere * metres / 1000;
    }

    /** @param ampere design current @param volt nominal */
    public Verdict drop(double ampere, double volt) {
        double drop = dropVolt(ampere);
        double limit = volt * (limits.dropPercent() + limits.dropMore().of(metres)) / 100;
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
        double k = k(isArmour);
        double least = adiabatic(ampere, seconds, k);
        return new Verdict("protective conductor", protective >= least ? Grade.WITHIN : Grade.OUTSIDE,
                Verdict.figure(protective, 2) + " mm² against at least " + Verdict.figure(least, 2) + " mm².", "S ≥ √(I² · t) / k",
                List.of(Verdict.figure(ampere, 1) + " A", Verdict.figure(seconds, 3) + " s", "k " + Verdict.figure(k, 0), "by Table 54.7, without this sum: "
                        + Verdict.figure(leastByTable(isArmour), 2) + " mm²"),
                Optional.of(Verdict.figure(least, 3) + " mm²"), limits.edition(), "543.1.3", List.of());
    }

    /** What the armour would have to be, where nobody said what it is. */
    public Verdict armourNotGiven(double ampere, double seconds) {
        return new Verdict("protective conductor", Grade.NOT_GIVEN, "Not worked out: the cross-section of the armour was not given. At least "
                + Verdict.figure(adiabatic(ampere, seconds, k(true)), 2) + " mm² are needed, or, by Table 54.7 without this sum, " + Verdict.figure(leastByTable(true), 2)
                + " mm².", "", List.of(), Optional.empty(), limits.edition(), "", List.of("Its maker’s table has it: enter it with the cable. Then this is worked out."));
    }

    /** The cross-section in mm² that needs no sum: that of the line, for another material by the ratio of both k. BS 7671, Table 54.7. */
    double leastByTable(boolean isArmour) {
        double asTheLine = size <= 16 ? size : size <= 35 ? 16 : size / 2;
        return asTheLine * k(false) / k(isArmour);
    }

    private double k(boolean isArmour) {
        return isArmour ? table().armourK() : table().k();
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
