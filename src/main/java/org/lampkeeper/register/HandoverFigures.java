package org.lampkeeper.register;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalInt;
import java.util.function.Supplier;
import java.util.stream.Collectors;
import java.util.stream.Stream;

import org.lampkeeper.electrical.Cable;
import org.lampkeeper.electrical.Conductor;
import org.lampkeeper.electrical.Conductors;
import org.lampkeeper.electrical.Conductors.Protective;
import org.lampkeeper.electrical.Curve;
import org.lampkeeper.electrical.Earthing;
import org.lampkeeper.electrical.Exposure;
import org.lampkeeper.electrical.FaultLoop;
import org.lampkeeper.electrical.IpCode;
import org.lampkeeper.electrical.Laying;
import org.lampkeeper.electrical.Limits;
import org.lampkeeper.electrical.Loaded;
import org.lampkeeper.electrical.Network;
import org.lampkeeper.electrical.ProtectiveKind;
import org.lampkeeper.electrical.Reading;
import org.lampkeeper.electrical.Run;
import org.lampkeeper.electrical.Sizing;
import org.lampkeeper.electrical.Spacing;
import org.lampkeeper.electrical.Surroundings;
import org.lampkeeper.electrical.Surroundings.ResidualType;
import org.lampkeeper.electrical.TestResults;
import org.lampkeeper.electrical.Use;
import org.lampkeeper.electrical.Verdict;

import static org.lampkeeper.register.HandoverField.*;

/**
 * What the figures of a hand-over record amount to: what can be expected before the cable is bought, and what was measured. Pure. What was
 * not given is named, never assumed; no verdict is a certificate.
 */
public final class HandoverFigures {

    /** Along the circuit, from where the supply comes in to the cabinet. */
    public enum Part {
        ORIGIN("Origin"),
        DEVICE("Board, way and device"),
        CABLE("Cable"),
        FUSED_UNIT("Fused connection unit"),
        LAMP("Lamp"),
        CABINET("Cabinet");

        private final String words;

        Part(String words) {
            this.words = words;
        }

        public String words() {
            return words;
        }
    }

    /** What the figures come from. */
    public enum Stage {
        EXPECTED("expected"),
        MEASURED("measured");

        private final String words;

        Stage(String words) {
            this.words = words;
        }

        public String words() {
            return words;
        }
    }

    /** A verdict at its place. */
    public record Placed(Part part, Stage stage, Verdict verdict) {
    }

    /** An overcurrent part that opens at once does so within this, in s: IEC 60898-1, from memory. */
    private static final double INSTANT = 0.1;

    // What several verdicts need together.
    private static final HandoverField[] LOOP = {VOLT, CURVE, RATING, EARTHING, DEVICE};
    private static final HandoverField[] CONDUCTORS = {SIZE, BACK, LENGTH, INSULATION};
    private static final HandoverField[] CABLE_AS_USED = {INSULATION, ACCESSORY, SIZE, LENGTH};

    private final HandoverValues given;
    private final Limits limits;
    private final List<Placed> placed = new ArrayList<>();

    private HandoverFigures(HandoverValues given, Limits limits) {
        this.given = given;
        this.limits = limits;
    }

    /** Every verdict, given or not, in the order of the circuit. */
    public static List<Placed> of(HandoverValues given, Limits limits) {
        HandoverFigures figures = new HandoverFigures(given, limits);
        figures.expected();
        figures.measured();
        return figures.placed.stream().sorted((one, other) -> one.part().compareTo(other.part())).toList();
    }

    private void expected() {
        put(Part.ORIGIN, Stage.EXPECTED, "earthing", () -> Surroundings.earthing(earthing(), given.is(METAL, "EARTHED"), given.residual(), limits), EARTHING, METAL, DEVICE);
        put(Part.ORIGIN, Stage.EXPECTED, "external loop", () -> Surroundings.externalLoop(earthing(), given.number(ZE), limits), EARTHING, ZE);
        put(Part.DEVICE, Stage.EXPECTED, "way of its own", () -> Surroundings.way(given.is(SPARE_WAY, "YES"), limits), SPARE_WAY);
        put(Part.DEVICE, Stage.EXPECTED, "device and board", () -> Surroundings.suited(given.is(SUITED, "YES"), limits), SUITED);
        put(Part.DEVICE, Stage.EXPECTED, "design current", () -> Sizing.design(load(), given.number(VOLT), rating(), limits), HEATER, OTHER_LOAD, VOLT, RATING);
        if (given.has(INRUSH)) {
            put(Part.DEVICE, Stage.EXPECTED, "switching on", () -> Sizing.switchingOn(given.number(INRUSH), curve(), rating(), limits), CURVE, RATING);
        }
        put(Part.DEVICE, Stage.EXPECTED, "breaking capacity", () -> TestResults.breaking(given.number(FAULT_CURRENT), given.number(BREAKING), limits), FAULT_CURRENT, BREAKING);
        if (!given.is(DEVICE, "MCB")) {
            put(Part.DEVICE, Stage.EXPECTED, "residual-current type", () -> Surroundings.residualType(residualType(), limits),
                    RESIDUAL_TYPE);
            put(Part.DEVICE, Stage.EXPECTED, "rated residual current", () -> Surroundings.residualRating((int) given.number(RESIDUAL), limits), RESIDUAL);
        }
        put(Part.DEVICE, Stage.EXPECTED, "disconnection time", () -> loop().disconnection(hot()), needs(LOOP, CONDUCTORS, ZE, ACCESSORY));
        if (given.is(METHOD, "OTHER") || given.is(CABLE, "OTHER")) {
            placed.add(new Placed(Part.CABLE, Stage.EXPECTED, Verdict.notInTables("rating of the cable", given.is(CABLE, "OTHER")
                    ? "the tables of this edition have armoured and sheathed cable alone" : "the tables of this edition have no way of laying it but those that have a name above", limits)));
        } else {
            put(Part.CABLE, Stage.EXPECTED, "rating of the cable", () -> sizing().carries(run(), rating()), needs(CABLE_AS_USED, CABLE, RATING, AMBIENT, GROUPED, METHOD));
            put(Part.CABLE, Stage.EXPECTED, "overload protection", () -> sizing().overload(run(), load() / given.number(VOLT), rating()),
                    needs(CABLE_AS_USED, CABLE, RATING, AMBIENT, GROUPED, METHOD, HEATER, OTHER_LOAD, VOLT));
        }
        put(Part.CABLE, Stage.EXPECTED, "voltage drop", () -> sizing().drop(load() / given.number(VOLT), given.number(VOLT), given.is(USE, "LIGHTING") ? Use.LIGHTING : Use.OTHER,
                given.is(NETWORK, "PRIVATE") ? Network.PRIVATE : Network.PUBLIC, loaded(), conductor()), needs(CABLE_AS_USED, HEATER, OTHER_LOAD, VOLT));
        put(Part.CABLE, Stage.EXPECTED, "fault loop, hot", () -> loop().ofHot(hot()), needs(LOOP, CONDUCTORS, ZE, ACCESSORY));
        put(Part.CABLE, Stage.EXPECTED, "longest run", () -> loop().reach(given.number(LENGTH), given.number(ZE), r1r2(), hotFactor()), needs(LOOP, CONDUCTORS, ZE));
        if (!isBackUnknown()) {
            put(Part.CABLE, Stage.EXPECTED, "protective conductor", () -> bears(given.number(ZE) + r1r2()), needs(LOOP, CONDUCTORS, ZE));
        }
        put(Part.FUSED_UNIT, Stage.EXPECTED, "switch of the unit", () -> Surroundings.unit(given.is(SWITCHED, "SWITCHED"), limits), SWITCHED);
        put(Part.FUSED_UNIT, Stage.EXPECTED, "fuse", () -> Sizing.fuse(load(), given.number(VOLT), (int) given.number(FUSE), rating(), limits), HEATER, OTHER_LOAD, VOLT, FUSE,
                RATING);
        put(Part.FUSED_UNIT, Stage.EXPECTED, "fault behind the fuse", () -> FaultLoop.behindFuse(hot(), given.number(VOLT), (int) given.number(FUSE), limits), needs(CONDUCTORS, ZE, FUSE, VOLT));
        put(Part.FUSED_UNIT, Stage.EXPECTED, "breaking capacity of the fuse", () -> TestResults.fuseBreaking(given.number(FAULT_CURRENT), given.number(VOLT),
                2 * Conductors.line(given.number(SIZE), given.number(LENGTH), conductor(), limits), limits), FAULT_CURRENT, VOLT, SIZE, LENGTH, FUSE);
        put(Part.LAMP, Stage.EXPECTED, "lamp", () -> Surroundings.lamp(given.is(LAMP_SIDE, "LOAD"), limits), LAMP_SIDE);
        put(Part.CABINET, Stage.EXPECTED, "enclosure", () -> Surroundings.enclosure(IpCode.of(given.text(IP_CODE).orElseThrow()).orElseThrow(),
                given.text(IP_CODE).orElseThrow(), Exposure.valueOf(given.text(EXPOSURE).orElseThrow()), limits), IP_CODE, EXPOSURE);
        if (given.has(IMPACT)) {
            put(Part.CABINET, Stage.EXPECTED, "impact", () -> Surroundings.impact(Integer.parseInt(given.text(IMPACT).orElseThrow().substring(2)), limits), IMPACT);
        }
        put(Part.CABINET, Stage.EXPECTED, "height", () -> Surroundings.height(given.number(HEIGHT), limits), HEIGHT);
    }

    private void measured() {
        if (given.is(EARTHING, "TT")) {
            put(Part.ORIGIN, Stage.MEASURED, "earth electrode", () -> loop().ofElectrode(given.number(ELECTRODE)), needs(LOOP, ELECTRODE));
        }
        if (!given.is(DEVICE, "MCB")) {
            trips();
            if (given.has(TRIP_AT)) {
                put(Part.DEVICE, Stage.MEASURED, "residual current, rising", () -> TestResults.ramp(given.reading(TRIP_AT), (int) given.number(RESIDUAL), residualType(), limits),
                        RESIDUAL, RESIDUAL_TYPE);
            }
            put(Part.DEVICE, Stage.MEASURED, "test button", () -> TestResults.testButton(given.is(TEST_BUTTON, "OPENS"), limits), TEST_BUTTON);
            put(Part.DEVICE, Stage.MEASURED, "standing leakage", () -> TestResults.leakage(given.number(LEAKAGE), (int) given.number(RESIDUAL), limits), LEAKAGE, RESIDUAL);
        }
        put(Part.CABLE, Stage.MEASURED, "R1 + R2", () -> Conductors.agreement(given.number(R1R2), given.number(R1R2_AT), r1r2(), conductor(), limits), needs(CONDUCTORS, R1R2, R1R2_AT));
        if (isBackUnknown()) {
            put(Part.CABLE, Stage.MEASURED, "protective conductor", () -> bears(given.number(ZS)), needs(LOOP, CONDUCTORS, ZS));
        }
        put(Part.CABLE, Stage.MEASURED, "insulation", () -> TestResults.insulation(given.reading(MEGOHM), given.number(VOLT), limits), MEGOHM, VOLT);
        put(Part.FUSED_UNIT, Stage.MEASURED, "fault loop, as read", () -> loop().ofReading(given.number(ZS)), needs(LOOP, ZS));
        put(Part.FUSED_UNIT, Stage.MEASURED, "reading against expectation", () -> loop().agreement(given.number(ZS), given.number(ZE) + given.number(R1R2)),
                needs(LOOP, ZS, ZE, R1R2));
        put(Part.FUSED_UNIT, Stage.MEASURED, "polarity", () -> Surroundings.polarity(given.is(POLARITY, "CORRECT"), limits), POLARITY);
    }

    private void trips() {
        List<HandoverField> missing = Stream.of(EARTHING, VOLT, DELAY).filter(field -> !given.has(field)).toList();
        if (!missing.isEmpty()) {
            notGiven(Part.DEVICE, Stage.MEASURED, "residual current", missing);
            return;
        }
        Map<Double, Reading> times = new HashMap<>();
        // A device that stayed closed did so for the whole of the instrument's window, which is 2 s.
        given.text(TRIP_HALF).ifPresent(half -> times.put(0.5, half.equals("STAYED") ? Reading.moreThan(2000) : Reading.of(0)));
        if (given.has(TRIP_ONCE)) {
            times.put(1.0, given.reading(TRIP_ONCE));
        }
        if (given.has(TRIP_FIVE)) {
            times.put(5.0, given.reading(TRIP_FIVE));
        }
        TestResults.trips(times, given.is(DELAY, "S"), earthing(), given.number(VOLT), limits)
                .forEach(verdict -> placed.add(new Placed(Part.DEVICE, Stage.MEASURED, verdict)));
    }

    private static HandoverField[] needs(HandoverField[] some, HandoverField... more) {
        List<HandoverField> all = new ArrayList<>(Arrays.asList(some));
        all.addAll(Arrays.asList(more));
        return all.toArray(HandoverField[]::new);
    }

    private static HandoverField[] needs(HandoverField[] some, HandoverField[] others, HandoverField... more) {
        return needs(needs(some, others), more);
    }

    private void put(Part part, Stage stage, String what, Supplier<Verdict> worked, HandoverField... needs) {
        List<HandoverField> missing = Arrays.stream(needs).distinct().filter(field -> !given.has(field)).collect(Collectors.toCollection(ArrayList::new));
        boolean needsBackSize = Arrays.asList(needs).contains(BACK) && given.isNeeded(BACK_SIZE) && !given.has(BACK_SIZE);
        if (needsBackSize) {
            missing.add(BACK_SIZE);
        }
        boolean needsResidual = Arrays.asList(needs).contains(DEVICE) && given.is(DEVICE, "RCBO") && !given.has(RESIDUAL);
        if (needsResidual) {
            missing.add(RESIDUAL);
        }
        if (!missing.isEmpty()) {
            notGiven(part, stage, what, missing);
            return;
        }
        try {
            placed.add(new Placed(part, stage, worked.get()));
        } catch (IllegalArgumentException notInTheTables) {
            placed.add(new Placed(part, stage, Verdict.notInTables(what, notInTheTables.getMessage(), limits)));
        }
    }

    private void notGiven(Part part, Stage stage, String what, List<HandoverField> missing) {
        placed.add(new Placed(part, stage, Verdict.notGiven(what, missing.stream().map(HandoverField::label).collect(Collectors.joining(", ")), limits)));
    }

    private Earthing earthing() {
        return Earthing.valueOf(given.text(EARTHING).orElseThrow());
    }

    private int rating() {
        return (int) given.number(RATING);
    }

    private Curve curve() {
        return Curve.valueOf(given.text(CURVE).orElseThrow());
    }

    private ResidualType residualType() {
        return ResidualType.valueOf(given.text(RESIDUAL_TYPE).orElseThrow());
    }

    private Conductor conductor() {
        return given.text(CONDUCTOR).map(Conductor::valueOf).orElse(Conductor.PLAIN);
    }

    private Loaded loaded() {
        return given.text(LOADED).map(Loaded::valueOf).orElse(Loaded.TWO);
    }

    private Run run() {
        return new Run(given.is(CABLE, "SWA") ? Cable.ARMOURED : Cable.SHEATHED, Laying.valueOf(given.text(METHOD).orElseThrow()), loaded(), given.number(AMBIENT),
                (int) given.number(GROUPED), given.text(SPACING).map(Spacing::valueOf).orElse(Spacing.BUNCHED));
    }

    private boolean isArmourOfAluminium() {
        return given.is(ARMOUR_METAL, "ALUMINIUM") && (given.is(BACK, "ARMOUR") || given.is(BACK, "CORE_AND_ARMOUR"));
    }

    /** No table here has the resistance of what carries a fault current back: what was measured has to do. */
    private boolean isBackUnknown() {
        return given.is(BACK, "CONDUIT") || isArmourOfAluminium();
    }

    private double load() {
        return given.number(HEATER) + given.number(OTHER_LOAD);
    }

    private FaultLoop loop() {
        OptionalInt residual = given.residual();
        return new FaultLoop(given.number(VOLT), curve(), rating(), residual, earthing(), limits);
    }

    /** As the tables name it: as it is, or as what it ends in lets it be. */
    private String insulation(boolean asUsed) {
        boolean isHotter = given.is(INSULATION, "THERMOSETTING_90") && !(asUsed && given.is(ACCESSORY, "C70"));
        return isHotter ? "thermosetting 90" : "thermoplastic 70";
    }

    private Sizing sizing() {
        return new Sizing(insulation(true), given.number(SIZE), given.number(LENGTH), limits);
    }

    private double r1r2() {
        if (isArmourOfAluminium()) {
            throw new IllegalArgumentException("the tables of this edition have no resistance of aluminium armour");
        }
        Optional<Double> back = given.has(BACK_SIZE) ? Optional.of(given.number(BACK_SIZE)) : Optional.empty();
        return Conductors.r1r2(given.number(SIZE), back.orElse(given.number(SIZE)), Protective.valueOf(given.text(BACK).orElseThrow()), given.number(LENGTH), conductor(), limits);
    }

    /** At the highest temperature of the insulation itself, whatever it ends in: a fault may come when it is as warm as it can be. */
    private double hot() {
        return FaultLoop.hot(given.number(ZE), r1r2(), hotFactor());
    }

    private double hotFactor() {
        return limits.insulations().get(insulation(false)).hotFactor();
    }

    /** @param cold the loop of the whole circuit at 20 °C, worked out or as read, in Ω */
    private Verdict bears(double cold) {
        double current = FaultLoop.current(given.number(VOLT), cold);
        double seconds = cold <= loop().overcurrentLimit() ? INSTANT : limits.disconnectWithin(earthing(), given.number(VOLT)).orElse(5);
        Sizing cable = new Sizing(insulation(false), given.number(SIZE), given.number(LENGTH), limits);
        ProtectiveKind kind = switch (Protective.valueOf(given.text(BACK).orElseThrow())) {
            // With the armour beside it a core bears less than all of the current; that it could bear all is on the safe side.
            case CORE, CORE_AND_ARMOUR -> ProtectiveKind.CORE;
            case SEPARATE -> ProtectiveKind.SEPARATE;
            case ARMOUR -> isArmourOfAluminium() ? ProtectiveKind.ALUMINIUM_ARMOUR : ProtectiveKind.STEEL_ARMOUR;
            case CONDUIT -> ProtectiveKind.STEEL_CONDUIT;
        };
        boolean isCopper = kind == ProtectiveKind.CORE || kind == ProtectiveKind.SEPARATE;
        // No table here has the cross-section of armour or conduit: its maker's has.
        if (!isCopper && !given.has(ARMOUR_SIZE)) {
            return cable.sizeNotGiven(kind, current, seconds);
        }
        return cable.bears(given.number(isCopper ? BACK_SIZE : ARMOUR_SIZE), kind, current, seconds);
    }
}
