package org.lampkeeper.electrical;

import java.util.Collections;
import java.util.List;
import java.util.Map;
import java.util.NavigableMap;
import java.util.Optional;
import java.util.OptionalDouble;
import java.util.TreeMap;
import java.util.stream.Collectors;

/**
 * The tables of one edition. They are configuration: each site owner's standard and national rules decide, and tables are amended.
 *
 * @param edition          as it is shown: "BS 7671:2018+A2:2022"
 * @param remark           shown with every verdict: which amendment the tables were not checked against
 * @param minimumVoltageFactor Cmin of IEC 60364-4-41 411.4.4
 * @param loopScreen       share of the limit under which a cold reading needs no correction for temperature
 * @param disconnection    longest times for final circuits
 * @param finalUpTo        rating in A up to which a circuit of fixed equipment is to disconnect within these
 * @param beyondFinal      longest times in s for others; the shorter ones are compared with all the same
 * @param touchVoltage     the 50 V of 411.5.3, in V
 * @param electrodeDoubt   above this an earth electrode may not be stable, in Ω
 * @param trips            what a residual-current device must do at a multiple of its rated residual current
 * @param insulation       by nominal voltage
 * @param continuity   what an instrument for the resistance of conductors has to do
 * @param conductors   resistance of a copper conductor at 20 °C in mΩ/m, by what it is like and by cross-section in mm²
 * @param armour       resistance of steel-wire armour of three-core cable at 20 °C in mΩ/m, by cross-section of the cores
 * @param insulations  what a kind of insulation carries and drops
 * @param k            of the adiabatic equation, by what the protective conductor is and by insulation
 * @param grouped      factor for several circuits in air or in one enclosure: bunched, by their number
 * @param groupedLayer the same for cables clipped to a surface in one layer that touch
 * @param groupedDucts the same for single ducts in the ground that touch
 * @param groupedBuried the same for cables in the ground that touch
 * @param dropPercent  largest voltage drop of a circuit
 * @param dropMore     how much more is allowed on a long cable
 * @param leakageShare largest standing current to earth as a share of the rated residual current
 * @param ramps        with which current a residual-current device opens when it rises slowly
 * @param externalLoop what distributors usually declare as the most for Ze, in Ω
 * @param fuses        of connection units, by rating in A
 * @param fuseCommon   what all of them have in common
 */
public record Limits(String edition, String remark, double minimumVoltageFactor, double loopScreen, Map<Earthing, List<Disconnection>> disconnection,
        int finalUpTo, Map<Earthing, Double> beyondFinal, double touchVoltage, double electrodeDoubt, List<Trip> trips, List<InsulationTest> insulation,
        Continuity continuity, Map<Conductor, NavigableMap<Double, Double>> conductors, NavigableMap<Double, Double> armour, Map<String, Insulation> insulations,
        Map<ProtectiveKind, Map<String, Double>> k, NavigableMap<Integer, Double> grouped, NavigableMap<Integer, Double> groupedLayer, NavigableMap<Integer, Double> groupedDucts,
        NavigableMap<Integer, Double> groupedBuried, Map<Network, Map<Use, Double>> dropPercent, DropMore dropMore, double leakageShare, List<Ramp> ramps,
        Map<Earthing, Double> externalLoop, NavigableMap<Integer, Fuse> fuses, FuseCommon fuseCommon) {

    /** @param above   nominal voltage to earth in V, excluded @param upTo included @param seconds longest time to disconnect */
    public record Disconnection(double above, double upTo, double seconds) {
    }

    /**
     * @param delayed   of the time-delayed type S
     * @param times     of the rated residual current; 0.5 must not trip
     * @param atLeastMs shortest time in ms
     * @param atMostMs  longest time in ms; none: must not trip
     * @param required  whether this edition asks for it
     */
    public record Trip(boolean delayed, double times, double atLeastMs, Optional<Double> atMostMs, boolean required) {
    }

    /** @param upTo nominal voltage in V, included @param testVolt d.c. @param megohm at least */
    public record InsulationTest(double upTo, double testVolt, double megohm) {
    }

    /** @param fromVolt open circuit @param toVolt open circuit @param atLeastMilliampere that it drives */
    public record Continuity(double fromVolt, double toVolt, double atLeastMilliampere) {
    }

    /**
     * @param aboveMa rated residual current, excluded
     * @param from    of the rated residual current: below it does not open
     * @param upTo    of the rated residual current: with this at the latest it opens
     */
    public record Ramp(Surroundings.ResidualType type, int aboveMa, double from, double upTo) {
    }

    /**
     * @param colour   of the fuse link
     * @param loop     largest loop impedance in Ω behind it for 0.4 s, before {@code minimumVoltageFactor}
     * @param loopSlow the same for 5 s
     * @param blows    by current, in rising order
     */
    public record Fuse(String colour, double loop, double loopSlow, List<Zone> blows) {

        public Fuse {
            blows = List.copyOf(blows);
        }

        /** What the largest current of the zones that does not exceed this one says; none: it is less than any of them. */
        Optional<Zone> at(double ampere) {
            return blows.stream().filter(zone -> zone.ampere() <= ampere).reduce((less, more) -> more);
        }
    }

    /** @param ampere with this current @param fromSeconds it blows not before @param toSeconds and not after */
    public record Zone(double ampere, double fromSeconds, double toSeconds) {
    }

    /**
     * @param breakingKa  what one breaks
     * @param volt        nominal voltage up to which it is made for
     * @param fusing      of its rating: with this current it blows
     * @param fusingMinutes within this
     * @param otherColour of every rating that has none of its own
     */
    public record FuseCommon(double breakingKa, double volt, double fusing, double fusingMinutes, String otherColour) {
    }

    /** @param fromMetres of cable @param percentPerMetre beyond these @param atMost in percent */
    public record DropMore(double fromMetres, double percentPerMetre, double atMost) {

        /** In percent of the nominal voltage. */
        double of(double metres) {
            return Math.min(atMost, Math.max(0, metres - fromMetres) * percentPerMetre);
        }
    }

    /**
     * @param laid   in which ways
     * @param source where it stands, with the method, and how far it is to be trusted
     * @param ampere by cross-section in mm², 30 °C in air and 20 °C in the ground, one circuit
     */
    public record Rating(Cable cable, List<Laying> laid, String source, NavigableMap<Double, Double> ampere) {

        public Rating {
            laid = List.copyOf(laid);
            ampere = sorted(ampere);
        }
    }

    /**
     * @param conductorLimit    highest temperature of the conductor in °C
     * @param hotFactor         resistance at that temperature to that at 20 °C
     * @param ratings           by kind of cable and way of laying, two loaded conductors; what is not there is not judged
     * @param ratingsThree      the same for three loaded conductors
     * @param dropMillivolt     mV/A/m by cross-section, single phase
     * @param dropMillivoltThree the same between two lines of three phases loaded alike
     * @param ambient           factor by temperature of the air in °C
     * @param ground            factor by temperature of the ground in °C
     */
    public record Insulation(double conductorLimit, double hotFactor, List<Rating> ratings, List<Rating> ratingsThree, NavigableMap<Double, Double> dropMillivolt,
            NavigableMap<Double, Double> dropMillivoltThree, NavigableMap<Integer, Double> ambient, NavigableMap<Integer, Double> ground) {

        public Insulation {
            ratings = List.copyOf(ratings);
            ratingsThree = List.copyOf(ratingsThree);
            dropMillivolt = sorted(dropMillivolt);
            dropMillivoltThree = sorted(dropMillivoltThree);
            if (!dropMillivoltThree.keySet().equals(dropMillivolt.keySet())) {
                throw new IllegalArgumentException("dropMillivoltThree has " + dropMillivoltThree.keySet() + " mm², must have those of dropMillivolt, " + dropMillivolt.keySet());
            }
            ambient = sorted(ambient);
            ground = sorted(ground);
        }

        Optional<Rating> rating(Run run) {
            return (run.loaded() == Loaded.THREE ? ratingsThree : ratings).stream().filter(rating -> rating.cable() == run.cable() && rating.laid().contains(run.laying())).findFirst();
        }
    }

    /** @throws IllegalArgumentException where a largest voltage drop is missing */
    public Limits {
        for (Network network : Network.values()) {
            for (Use use : Use.values()) {
                if (!dropPercent.containsKey(network) || !dropPercent.get(network).containsKey(use)) {
                    throw new IllegalArgumentException("dropPercent has no " + network + " " + use + ", must have one");
                }
            }
        }
        conductors = conductors.entrySet().stream().collect(Collectors.toUnmodifiableMap(Map.Entry::getKey, each -> sorted(each.getValue())));
        armour = sorted(armour);
        grouped = sorted(grouped);
        groupedLayer = sorted(groupedLayer);
        groupedDucts = sorted(groupedDucts);
        groupedBuried = sorted(groupedBuried);
        fuses = sorted(fuses);
        k = Map.copyOf(k);
        dropPercent = Map.copyOf(dropPercent);
        ramps = List.copyOf(ramps);
        externalLoop = Map.copyOf(externalLoop);
        trips = List.copyOf(trips);
        insulation = List.copyOf(insulation);
        disconnection = Map.copyOf(disconnection);
        beyondFinal = Map.copyOf(beyondFinal);
        insulations = Map.copyOf(insulations);
    }

    /** Longest time to disconnect, in s; none for a voltage that the table does not have. */
    public OptionalDouble disconnectWithin(Earthing earthing, double volt) {
        return disconnection.getOrDefault(earthing.family(), List.of()).stream().filter(row -> volt > row.above() && volt <= row.upTo())
                .mapToDouble(Disconnection::seconds).findFirst();
    }

    /** By number of circuits that run together. */
    NavigableMap<Integer, Double> grouped(Run run) {
        return switch (run.laying()) {
            case B, C, E -> run.isLayer() ? groupedLayer : grouped;
            case D1 -> groupedDucts;
            case D2 -> groupedBuried;
        };
    }

    /** Longest time in s for a circuit that is no final one, or that has a larger device than {@link #finalUpTo}. */
    OptionalDouble disconnectBeyondFinal(Earthing earthing) {
        return beyondFinal.containsKey(earthing.family()) ? OptionalDouble.of(beyondFinal.get(earthing.family())) : OptionalDouble.empty();
    }

    /** Of its colour, also where no other figure of this rating is known. */
    String fuseColour(int ampere) {
        return fuses.containsKey(ampere) ? fuses.get(ampere).colour() : fuseCommon.otherColour();
    }

    private static <K extends Comparable<K>, V> NavigableMap<K, V> sorted(Map<K, V> table) {
        return Collections.unmodifiableNavigableMap(new TreeMap<>(table));
    }
}
