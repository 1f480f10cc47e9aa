package org.lampkeeper.electrical;

import java.util.Collections;
import java.util.List;
import java.util.Map;
import java.util.NavigableMap;
import java.util.Optional;
import java.util.OptionalDouble;
import java.util.TreeMap;

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
 * @param copper           resistance of a plain copper conductor at 20 °C in mΩ/m, by cross-section in mm²
 * @param armour           resistance of steel-wire armour of three-core cable at 20 °C in mΩ/m, by cross-section of the cores
 * @param insulations      what a kind of insulation carries and drops
 * @param grouped          factor for several circuits in air or in one enclosure: bunched, by their number
 * @param groupedDucts     the same for single ducts in the ground that touch
 * @param groupedBuried    the same for cables in the ground that touch
 * @param dropPercent      largest voltage drop of a circuit that is no lighting, from a public supply
 * @param dropMore         how much more is allowed on a long cable
 * @param leakageShare     largest standing current to earth as a share of the rated residual current
 * @param fuseLoop         largest loop impedance in Ω behind a fuse of this rating in A, for 0.4 s, before {@code minimumVoltageFactor}
 * @param fuseLoopSlow     the same for 5 s
 */
public record Limits(String edition, String remark, double minimumVoltageFactor, double loopScreen, Map<Earthing, List<Disconnection>> disconnection,
        int finalUpTo, Map<Earthing, Double> beyondFinal, double touchVoltage, double electrodeDoubt, List<Trip> trips, List<InsulationTest> insulation,
        NavigableMap<Double, Double> copper, NavigableMap<Double, Double> armour, Map<String, Insulation> insulations, NavigableMap<Integer, Double> grouped,
        NavigableMap<Integer, Double> groupedDucts, NavigableMap<Integer, Double> groupedBuried, double dropPercent, DropMore dropMore, double leakageShare,
        NavigableMap<Integer, Double> fuseLoop, NavigableMap<Integer, Double> fuseLoopSlow) {

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
     * @param ampere by cross-section in mm², two loaded conductors, 30 °C in air and 20 °C in the ground, one circuit
     */
    public record Rating(Cable cable, List<Laying> laid, String source, NavigableMap<Double, Double> ampere) {

        public Rating {
            laid = List.copyOf(laid);
            ampere = sorted(ampere);
        }
    }

    /**
     * @param conductorLimit highest temperature of the conductor in °C
     * @param hotFactor      resistance at that temperature to that at 20 °C
     * @param ratings        by kind of cable and way of laying; what is not there is not judged
     * @param dropMillivolt  mV/A/m by cross-section, single phase
     * @param ambient        factor by temperature of the air in °C
     * @param ground         factor by temperature of the ground in °C
     * @param k              of the adiabatic equation, for a core of the cable
     * @param armourK        likewise for its steel armour
     */
    public record Insulation(double conductorLimit, double hotFactor, List<Rating> ratings, NavigableMap<Double, Double> dropMillivolt,
            NavigableMap<Integer, Double> ambient, NavigableMap<Integer, Double> ground, double k, double armourK) {

        public Insulation {
            ratings = List.copyOf(ratings);
            dropMillivolt = sorted(dropMillivolt);
            ambient = sorted(ambient);
            ground = sorted(ground);
        }

        Optional<Rating> rating(Cable cable, Laying laying) {
            return ratings.stream().filter(rating -> rating.cable() == cable && rating.laid().contains(laying)).findFirst();
        }
    }

    public Limits {
        copper = sorted(copper);
        armour = sorted(armour);
        grouped = sorted(grouped);
        groupedDucts = sorted(groupedDucts);
        groupedBuried = sorted(groupedBuried);
        fuseLoop = sorted(fuseLoop);
        fuseLoopSlow = sorted(fuseLoopSlow);
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
    NavigableMap<Integer, Double> grouped(Laying laying) {
        return switch (laying) {
            case B, C, E -> grouped;
            case D1 -> groupedDucts;
            case D2 -> groupedBuried;
        };
    }

    /** Longest time in s for a circuit that is no final one, or that has a larger device than {@link #finalUpTo}. */
    OptionalDouble disconnectBeyondFinal(Earthing earthing) {
        return beyondFinal.containsKey(earthing.family()) ? OptionalDouble.of(beyondFinal.get(earthing.family())) : OptionalDouble.empty();
    }

    private static <K extends Comparable<K>> NavigableMap<K, Double> sorted(Map<K, Double> table) {
        return Collections.unmodifiableNavigableMap(new TreeMap<>(table));
    }
}
