package org.lampkeeper.electrical;

import java.util.ArrayList;
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

    // IEC 60898-1, conventional currents (a copy of IS/IEC 60898-1): with the first it does not open, with the second within an hour, up to 63 A.
    private static final double CONVENTIONAL_HOLD = 1.13;
    private static final double CONVENTIONAL_TRIP = 1.45;
    private static final int CONVENTIONAL_HOUR_AMPERE = 63;

    // 433.1.1 (iii), from memory: how far a cable may be overloaded until the device opens.
    private static final double OVERLOAD = 1.45;

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
     * What it carries in A (Iz); a temperature between two rows counts as the hotter one. Empty: another cable, way of laying, hotter, or more circuits,
     * than the tables have.
     */
    public Optional<Double> rating(Run run) {
        Optional<Double> plain = table().rating(run).flatMap(rating -> Optional.ofNullable(rating.ampere().get(size)));
        Optional<Double> warm = atLeast(run.laying().isInGround() ? table().ground() : table().ambient(), (int) Math.ceil(run.warmestCelsius()));
        Optional<Double> together = atLeast(limits.grouped(run), run.circuitsTogether());
        return plain.flatMap(ampere -> warm.flatMap(ca -> together.map(cg -> ampere * ca * cg)));
    }

    private static Optional<Double> atLeast(NavigableMap<Integer, Double> table, int wanted) {
        return Optional.ofNullable(table.ceilingEntry(wanted)).map(Map.Entry::getValue);
    }

    private Verdict noRating(String what, Run run) {
        return Verdict.notInTables(what, "the tables of this edition have no " + run.cable().words() + " of " + Verdict.figure(size, 2) + " mm², " + insulation + ", "
                + run.laying().words() + ", " + run.loaded().words() + ", in " + run.surroundings() + ", with " + run.company(), limits);
    }

    /** @param ampere of the protective device */
    public Verdict carries(Run run, int ampere) {
        Optional<Rating> row = table().rating(run);
        Optional<Double> rating = rating(run);
        if (row.isEmpty() || rating.isEmpty()) {
            return noRating("rating of the cable", run);
        }
        List<String> inputs = List.of(Verdict.figure(size, 2) + " mm², " + insulation, run.cable().words(), run.laying().words(), run.loaded().words(), run.surroundings(),
                run.company(), "In " + ampere + " A");
        return new Verdict("rating of the cable", ampere <= rating.get() ? Grade.WITHIN : Grade.OUTSIDE,
                "The cable carries " + Verdict.figure(rating.get(), 2) + " A here, the device lets through " + ampere + " A.", "In ≤ It · Ca · Cg", inputs,
                Optional.of(Verdict.figure(rating.get(), 2) + " A"), limits.edition(), "433.1.1; " + row.get().source(), run.laying().isInGround() ? List.of(SOIL) : List.of());
    }

    /**
     * Whether the device opens before the cable gets too warm from a current that is too large, but no fault.
     *
     * @param loadAmpere design current
     * @param ampere     of the protective device, a circuit-breaker to IEC 60898-1 or the same part of an RCBO
     */
    public Verdict overload(Run run, double loadAmpere, int ampere) {
        Optional<Double> rating = rating(run);
        if (rating.isEmpty()) {
            return noRating("overload protection", run);
        }
        double opens = CONVENTIONAL_TRIP * ampere;
        double most = OVERLOAD * rating.get();
        boolean isWithin = loadAmpere <= ampere && ampere <= rating.get() && opens <= most;
        String hours = ampere <= CONVENTIONAL_HOUR_AMPERE ? "within an hour" : "within two hours";
        return new Verdict("overload protection", isWithin ? Grade.WITHIN : Grade.OUTSIDE, "The device stays closed up to " + Verdict.figure(CONVENTIONAL_HOLD * ampere, 2)
                + " A and opens " + hours + " from " + Verdict.figure(opens, 2) + " A on; the cable bears " + Verdict.figure(most, 2) + " A that long.",
                "Ib ≤ In ≤ Iz; I2 ≤ 1.45 · Iz", List.of("Ib " + Verdict.figure(loadAmpere, 2) + " A", "In " + ampere + " A", "Iz " + Verdict.figure(rating.get(), 2) + " A",
                        "I1 1.13 · In", "I2 1.45 · In"), Optional.of(Verdict.figure(most, 2) + " A"), limits.edition(),
                "433.1.1, from memory; IEC 60898-1, conventional currents, from a copy of IS/IEC 60898-1" + (ampere <= CONVENTIONAL_HOUR_AMPERE ? "" : "; two hours above 63 A from memory"),
                isWithin ? List.of() : List.of("A current that no fault makes may warm the cable too far before the device opens: a smaller device, or a thicker cable."));
    }

    /** Voltage lost along the cable, in V, for a current in A. */
    public double dropVolt(double ampere) {
        return table().dropMillivolt().get(size) * ampere * metres / 1000;
    }

    /** Voltage lost between two lines, in V, where three carry the same current in A. */
    public double dropVoltThree(double ampere) {
        return table().dropMillivoltThree().get(size) * ampere * metres / 1000;
    }

    /**
     * Of a circuit between line and neutral, of whatever cable: that the lines share the current evenly is not counted on.
     *
     * @param ampere design current
     * @param volt   nominal
     */
    public Verdict drop(double ampere, double volt, Use use, Network network, Loaded loaded, Conductor conductor) {
        // Ours: the tables are for plain copper, and the drop is that of the resistance.
        double more = Conductors.line(size, metres, conductor, limits) / Conductors.line(size, metres, Conductor.PLAIN, limits);
        double drop = dropVolt(ampere) * more;
        double limit = volt * (limits.dropPercent().get(network).get(use) + limits.dropMore().of(metres)) / 100;
        List<String> inputs = new ArrayList<>(List.of(Verdict.figure(table().dropMillivolt().get(size), 1) + " mV/A/m", Verdict.figure(ampere, 2) + " A",
                Verdict.figure(metres, 1) + " m", use.words() + ", " + network.words()));
        if (conductor != Conductor.PLAIN) {
            inputs.add("× " + Verdict.figure(more, 3) + " for " + conductor.words());
        }
        if (loaded == Loaded.THREE) {
            inputs.add("between lines, with this in each of three: " + Verdict.figure(table().dropMillivoltThree().get(size), 1) + " mV/A/m, " + Verdict.figure(dropVoltThree(ampere), 2) + " V");
        }
        return new Verdict("voltage drop", drop <= limit ? Grade.WITHIN : Grade.OUTSIDE, Verdict.figure(drop, 2) + " V ("
                + Verdict.figure(drop / volt * 100, 2) + " %) against " + Verdict.figure(limit, 1) + " V.", "ΔU = mV/A/m · Ib · L / 1000", inputs,
                Optional.of(Verdict.figure(limit, 2) + " V"), limits.edition(), "525, Appendix 4 §6.4" + (network == Network.PRIVATE ? ", private supplies from memory" : ""), List.of());
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
     * @throws IllegalArgumentException where the tables have no k of it with this insulation
     */
    public Verdict bears(double protective, ProtectiveKind kind, double ampere, double seconds) {
        double k = k(kind);
        double least = adiabatic(ampere, seconds, k);
        return new Verdict("protective conductor", protective >= least ? Grade.WITHIN : Grade.OUTSIDE,
                Verdict.figure(protective, 2) + " mm² against at least " + Verdict.figure(least, 2) + " mm².", "S ≥ √(I² · t) / k",
                List.of(kind.words(), Verdict.figure(ampere, 1) + " A", Verdict.figure(seconds, 3) + " s", "k " + Verdict.figure(k, 0), "by Table 54.7, without this sum: "
                        + Verdict.figure(leastByTable(kind), 2) + " mm²"),
                Optional.of(Verdict.figure(least, 3) + " mm²"), limits.edition(), "543.1.3", List.of());
    }

    /** What armour or conduit would have to be, where nobody said what it is. */
    public Verdict sizeNotGiven(ProtectiveKind kind, double ampere, double seconds) {
        return new Verdict("protective conductor", Grade.NOT_GIVEN, "Not worked out: the cross-section of " + kind.words() + " was not given. At least "
                + Verdict.figure(adiabatic(ampere, seconds, k(kind)), 2) + " mm² are needed, or, by Table 54.7 without this sum, " + Verdict.figure(leastByTable(kind), 2)
                + " mm².", "", List.of(), Optional.empty(), limits.edition(), "", List.of("Its maker’s table has it: enter it with the cable. Then this is worked out."));
    }

    /** The cross-section in mm² that needs no sum: that of the line, for another material by the ratio of both k. BS 7671, Table 54.7. */
    double leastByTable(ProtectiveKind kind) {
        double asTheLine = size <= 16 ? size : size <= 35 ? 16 : size / 2;
        // Of copper, in the cable or beside it: as large as the line.
        return kind == ProtectiveKind.SEPARATE ? asTheLine : asTheLine * k(ProtectiveKind.CORE) / k(kind);
    }

    private double k(ProtectiveKind kind) {
        return Optional.ofNullable(limits.k().get(kind)).flatMap(byInsulation -> Optional.ofNullable(byInsulation.get(insulation)))
                .orElseThrow(() -> new IllegalArgumentException("the tables of this edition have no k for " + kind.words() + " with " + insulation));
    }

    /**
     * Whether the device may open when the load is switched on.
     *
     * @param inrushAmpere the largest current then
     * @param ampere       of the device
     */
    public static Verdict switchingOn(double inrushAmpere, Curve curve, int ampere, Limits limits) {
        int holds = curve.holds() * ampere;
        int opens = curve.tripsAt() * ampere;
        Grade grade = inrushAmpere <= holds ? Grade.WITHIN : inrushAmpere < opens ? Grade.LOOK_AGAIN : Grade.OUTSIDE;
        String does = switch (grade) {
            case WITHIN -> "stays closed";
            case LOOK_AGAIN -> "may open";
            default -> "opens, if it lasts a tenth of a second";
        };
        return new Verdict("switching on", grade, Verdict.figure(inrushAmpere, 1) + " A when it is switched on: " + curve + ampere + " " + does + ".", "I ≤ " + curve.holds() + " · In",
                List.of(Verdict.figure(inrushAmpere, 1) + " A", "opens at once between " + holds + " and " + opens + " A"), Optional.of(holds + " A"), limits.edition(),
                "IEC 60898-1, instantaneous bands, from a copy of IS/IEC 60898-1", grade == Grade.WITHIN ? List.of()
                        : List.of("Of a peak of a few thousandths of a second its maker’s curve says more. Never raise the rating of the device for it without looking at the cable and at Zs."));
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
        Limits.FuseCommon common = limits.fuseCommon();
        return new Verdict("fuse", isOutside ? Grade.OUTSIDE : isLarge ? Grade.LOOK_AGAIN : Grade.WITHIN, "Load " + Verdict.figure(load, 2) + " A, fuse "
                + fuseAmpere + " A, device " + deviceAmpere + " A.", "Ib ≤ fuse ≤ In", List.of(Verdict.figure(loadWatt, 0) + " W", Verdict.figure(volt, 0) + " V",
                        fuseAmpere + " A: " + limits.fuseColour(fuseAmpere) + ", at most " + Verdict.figure(fuseAmpere * volt, 0) + " W",
                        "blows within " + Verdict.figure(common.fusingMinutes(), 0) + " min with " + Verdict.figure(common.fusing() * fuseAmpere, 1) + " A"),
                Optional.empty(), limits.edition(), "BS 1362, from an encyclopaedia’s copy; 433.1.1",
                isLarge ? List.of("A 3 A fuse would do. Never fit a bigger one than the label says.") : List.of("Never fit a bigger one."));
    }
}
