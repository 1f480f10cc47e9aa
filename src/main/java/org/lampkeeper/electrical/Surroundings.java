package org.lampkeeper.electrical;

import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import java.util.Optional;
import java.util.OptionalInt;

/** What the place asks of a circuit besides its figures: earthing, water, reach. */
public final class Surroundings {

    // Common practice, no source: reachable from a wheelchair, out of the way of hoses and feet.
    private static final double LOWEST_METRES = 1.0;
    private static final double HIGHEST_METRES = 1.5;
    private static final double KIND_METRES = 1.2;

    // 415.1.1, from memory: what counts as additional protection.
    private static final int ADDITIONAL_MILLIAMPERE = 30;

    /** How a residual-current part reads the current (IEC 61008-1, IEC 62423). */
    public enum ResidualType {
        AC,
        A,
        F,
        B
    }

    // Trade press on harbours, a secondary copy: on or above a jetty. IEC 62262 names the codes.
    private static final int JETTY_IMPACT = 8;

    private Surroundings() {
    }

    /** Ze against what distributors usually declare as the most: a hint, what was measured counts in every sum. In Ω. */
    public static Verdict externalLoop(Earthing earthing, double ze, Limits limits) {
        if (!limits.externalLoop().containsKey(earthing)) {
            return Verdict.notInTables("external loop", "the tables of this edition have no usual figure for " + earthing.words(), limits);
        }
        double usual = limits.externalLoop().get(earthing);
        boolean isUsual = ze <= usual;
        return new Verdict("external loop", isUsual ? Grade.WITHIN : Grade.LOOK_AGAIN, "Ze " + Verdict.ohm(ze) + " against the " + Verdict.ohm(usual) + " that is usually declared for "
                + earthing.words() + " as the most.", "Ze ≤ what is usually declared", List.of("Ze " + Verdict.figure(ze, 4) + " Ω", earthing.words()),
                Optional.of(Verdict.figure(usual, 2) + " Ω"), limits.edition(), "what distributors usually declare, from memory", isUsual ? List.of()
                        : List.of(earthing == Earthing.TT ? Verdict.figure(usual, 0) + " Ω is the network’s part alone: is your own electrode in it? The figure that was entered counts in every sum."
                                : "The figure that was entered counts in every sum. Is the earthing what was chosen, and is it whole? Ask whoever runs the network."));
    }

    /** @param code of IEC 62262: 8 for IK08 */
    public static Verdict impact(int code, Limits limits) {
        String written = String.format(Locale.ROOT, "IK%02d", code);
        String least = String.format(Locale.ROOT, "IK%02d", JETTY_IMPACT);
        boolean isWithin = code >= JETTY_IMPACT;
        return new Verdict("impact", isWithin ? Grade.WITHIN : Grade.LOOK_AGAIN, "It bears blows of " + written + "; on or above a jetty " + least + " is asked for.", "code ≥ " + least, List.of(written),
                Optional.of(least), limits.edition(), "IEC 62262; needs of a jetty: trade press on harbours", isWithin ? List.of()
                        : List.of("Boats, trolleys and gangways hit what stands there. Elsewhere this may be enough."));
    }

    /**
     * What the way of earthing means for a cabinet outdoors.
     *
     * @param isMetal    whether there is metal that can be touched and is earthed
     * @param residualMa rated residual current; none: there is no such part
     */
    public static Verdict earthing(Earthing earthing, boolean isMetal, OptionalInt residualMa, Limits limits) {
        List<String> advice = new ArrayList<>();
        Grade grade = Grade.WITHIN;
        if (earthing == Earthing.TT && residualMa.isEmpty()) {
            grade = Grade.OUTSIDE;
            advice.add("On a TT system only a residual-current part opens at a fault to earth in time: there is none here.");
        } else if (earthing == Earthing.TT) {
            grade = Grade.LOOK_AGAIN;
            advice.add("The electrode is a part of this protection: it is measured, written down, and measured again at each inspection.");
        } else if (earthing == Earthing.TN_C_S && isMetal) {
            grade = Grade.LOOK_AGAIN;
            advice.add("If the supply's combined neutral breaks, earthed metal outdoors may become live against the ground: think of an enclosure of class II or an electrode of its own, and ask whoever"
                    + " runs the network.");
        }
        if (earthing == Earthing.TN_C_S) {
            advice.add("Metalwork of boats and caravans is never connected to such an earthing terminal.");
        }
        return new Verdict("earthing", grade, "The supply is " + earthing.words() + (isMetal ? ", the cabinet is earthed metal." : ", the cabinet shows no earthed metal."),
                "system · metalwork · residual-current part", List.of(earthing.words(), isMetal ? "earthed metal" : "class II or no metal", residualMa.isPresent()
                        ? "IΔn " + residualMa.getAsInt() + " mA" : "no residual-current part"), Optional.empty(), limits.edition(),
                "411.4, 411.5; ESQCR 2002 reg. 9(4); a cabinet on a broken neutral: common practice, no source", advice);
    }

    /** Whether the residual-current part is of a type that heater electronics and small power supplies do not blind. */
    public static Verdict residualType(ResidualType type, Limits limits) {
        return new Verdict("residual-current type", type == ResidualType.AC ? Grade.LOOK_AGAIN : Grade.WITHIN, "It is of type " + type + ".",
                "AC only for loads known to have no direct component", List.of("type " + type), Optional.of("type A"), limits.edition(), "531.3.3", type == ResidualType.AC
                        ? List.of("A thermostat, a sensor's supply or a lamp with electronics may draw a direct component: type A at least, unless each load is known to have none.")
                        : List.of());
    }

    /** Whether the rated residual current is low enough for additional protection outdoors. */
    public static Verdict residualRating(int milliampere, Limits limits) {
        return new Verdict("rated residual current", milliampere <= ADDITIONAL_MILLIAMPERE ? Grade.WITHIN : Grade.LOOK_AGAIN, "It is rated " + milliampere + " mA.",
                "IΔn ≤ 30 mA", List.of("IΔn " + milliampere + " mA"), Optional.of(ADDITIONAL_MILLIAMPERE + " mA"), limits.edition(), "415.1.1, from memory",
                milliampere <= ADDITIONAL_MILLIAMPERE ? List.of() : List.of("Above 30 mA it protects the wiring, not a person who touches a live part."));
    }

    /** Whether the enclosure keeps out the water of its place. */
    public static Verdict enclosure(IpCode code, String written, Exposure exposure, Limits limits) {
        IpCode.Meets meets = code.meets(exposure.need());
        Grade grade = meets == IpCode.Meets.YES ? Grade.WITHIN : meets == IpCode.Meets.NO ? Grade.OUTSIDE : Grade.LOOK_AGAIN;
        String says = switch (meets) {
            case YES -> written + " meets " + exposure.least() + ".";
            case NO -> written + " does not meet " + exposure.least() + ".";
            case UNKNOWN -> written + " does not say whether it meets " + exposure.least() + ".";
        };
        List<String> advice = meets == IpCode.Meets.YES ? List.of("Only with its glands fitted, no entry from the top, and a drip loop.",
                        "Near salt water, of a material that does not corrode.")
                : List.of("To stand under water (7, 8) is not to stand a jet (5, 6); X is not stated, and never nought.");
        return new Verdict("enclosure", grade, says, "code ≥ need of the place", List.of(written + ": " + code.words(), "place: " + exposure.least()), Optional.of(exposure.least()),
                limits.edition(), "IEC 60529; needs of the place: trade press on harbours", advice);
    }

    /** @param metres of the cabinet's underside above the ground on which people stand */
    public static Verdict height(double metres, Limits limits) {
        boolean isReached = metres >= LOWEST_METRES && metres <= HIGHEST_METRES;
        boolean isKind = isReached && metres <= KIND_METRES;
        return new Verdict("height", isReached ? Grade.WITHIN : Grade.LOOK_AGAIN, "Its underside is " + Verdict.figure(metres, 2) + " m above the ground.",
                Verdict.figure(LOWEST_METRES, 1) + " m ≤ h ≤ " + Verdict.figure(HIGHEST_METRES, 1) + " m", List.of(Verdict.figure(metres, 2) + " m"),
                Optional.of(Verdict.figure(HIGHEST_METRES, 1) + " m"), limits.edition(), "common practice, no source", isKind ? List.of()
                        : List.of(isReached ? "Somebody in a wheelchair reaches a handle of at most 1.2 m." : "Can everybody who may need it reach it, from a wheelchair too?"));
    }

    /** @param isNamed whether the maker of the device, or of the board, names one for the other */
    public static Verdict suited(boolean isNamed, Limits limits) {
        return new Verdict("device and board", isNamed ? Grade.WITHIN : Grade.LOOK_AGAIN, isNamed ? "Its maker names the device for this board." : "Its maker does not name the device for this board.",
                "a device that was tested in this board", List.of(isNamed ? "named" : "not named"), Optional.of("named"), limits.edition(), "536.4.203, from memory", isNamed ? List.of()
                        : List.of("It may not sit on the busbar, and what the board was tested for does not count with it: take one that its maker names, or have its maker say so in writing."));
    }

    /** @param isItsOwn whether the way feeds nothing but the cabinet */
    public static Verdict way(boolean isItsOwn, Limits limits) {
        return new Verdict("way of its own", isItsOwn ? Grade.WITHIN : Grade.LOOK_AGAIN, isItsOwn ? "The way feeds the cabinet alone." : "The way feeds something else too.", "one way, one cabinet",
                List.of(isItsOwn ? "a way of its own" : "shared"), Optional.of("a way of its own"), limits.edition(), "common practice, no source", isItsOwn ? List.of()
                        : List.of("Somebody else’s fault darkens the cabinet. Was what else hangs on it counted with the load?"));
    }

    /** @param isSwitched whether the fused connection unit has a switch */
    public static Verdict unit(boolean isSwitched, Limits limits) {
        return new Verdict("switch of the unit", isSwitched ? Grade.LOOK_AGAIN : Grade.WITHIN, isSwitched ? "The fused connection unit has a switch." : "The fused connection unit has no switch.",
                "not switched", List.of(isSwitched ? "switched" : "not switched"), Optional.of("not switched"), limits.edition(), "common practice, no source", isSwitched
                        ? List.of("Somebody switches it off in passing, and the heater is out until somebody sees the lamp: take one without a switch, or one whose switch nobody reaches.") : List.of());
    }

    /** @param isOnLoadSide of the fuse */
    public static Verdict lamp(boolean isOnLoadSide, Limits limits) {
        return new Verdict("lamp", isOnLoadSide ? Grade.WITHIN : Grade.OUTSIDE, isOnLoadSide ? "The lamp is on the load side of the fuse."
                : "The lamp is on the supply side of the fuse: it stays lit when the fuse has blown.", "lamp after the fuse", List.of(isOnLoadSide ? "load side" : "supply side"),
                Optional.of("load side"), limits.edition(), "common practice, no source", List.of("Lit, it says nothing of the heater or its thermostat."));
    }

    public static Verdict polarity(boolean isCorrect, Limits limits) {
        return new Verdict("polarity", isCorrect ? Grade.WITHIN : Grade.OUTSIDE, isCorrect ? "Line and neutral are where they belong." : "Line and neutral are exchanged.",
                "fuse and device in the line", List.of(isCorrect ? "correct" : "exchanged"), Optional.of("correct"), limits.edition(), "643.6, from memory",
                isCorrect ? List.of() : List.of("Do not put it into service: an open fuse would leave everything behind it live."));
    }
}
