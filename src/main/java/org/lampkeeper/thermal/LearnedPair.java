package org.lampkeeper.thermal;

import java.time.Duration;
import java.util.ArrayList;
import java.util.EnumMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;

import org.lampkeeper.thermal.Learned.Doubt;

/**
 * What the cool-downs on record say about air and device as two bodies, where both were measured. The interval is that of the slowest time constant, one of
 * 95 %; all three times are stretched alike within it. As demanding as {@link Learned}, whose constants it uses.
 */
public sealed interface LearnedPair {

    /**
     * @param nodes   marked as learnt
     * @param slowest the time constant in which both cool once the beginning has faded
     * @param used    cool-downs that it rests on
     * @param leftOut how many were not used, by reason
     */
    record Fitted(Nodes.TwoNodes nodes, TimeConstant slowest, int used, Map<Doubt, Integer> leftOut) implements LearnedPair {

        public Fitted {
            leftOut = Map.copyOf(leftOut);
        }
    }

    /**
     * The data do not carry an answer: it is reckoned with one body.
     *
     * @param reason  the one that stood in the way most often
     * @param leftOut how many cool-downs were not used, by reason
     */
    record Refused(Doubt reason, Map<Doubt, Integer> leftOut) implements LearnedPair {

        public Refused {
            leftOut = Map.copyOf(leftOut);
        }
    }

    /** Ours, K: two and a half times what a usual sensor is off by, from memory; what misses the readings by more is not this cabinet, closed. */
    double MOST_NOISE = 0.5;

    static LearnedPair from(List<CoolDown> record) {
        Map<Doubt, Integer> leftOut = new EnumMap<>(Doubt.class);
        List<Night> sound = new ArrayList<>();
        for (CoolDown each : record) {
            screened(each, sound).ifPresent(doubt -> leftOut.merge(doubt, 1, Integer::sum));
        }
        List<Night> alike = Nights.alike(sound, Night::fit);
        if (alike.size() < sound.size()) {
            leftOut.merge(Doubt.UNLIKE_THE_OTHERS, sound.size() - alike.size(), Integer::sum);
        }
        if (alike.size() < Learned.LEAST_COOL_DOWNS || alike.size() <= sound.size() / 2) {
            return new Refused(Learned.commonest(leftOut).orElse(Doubt.TOO_FEW_COOL_DOWNS), leftOut);
        }
        Optional<PairFit> fit = PairFit.of(alike.stream().map(Night::coolDown).toList());
        if (fit.isEmpty()) {
            return new Refused(Doubt.NOTHING_FITS, leftOut);
        }
        double reach = Nights.reach(fit.get().reach(), alike.stream().map(Night::fit).toList());
        return reach > Learned.MOST_REACH || fit.get().logTau() + reach > CoolDownFit.LONGEST ? new Refused(Doubt.TOO_UNCERTAIN, leftOut)
                : new Fitted(nodes(fit.get(), reach), stretched(Math.exp(fit.get().logTau()), reach), alike.size(), leftOut);
    }

    /** A cool-down that may be used, with what it says by itself. */
    record Night(CoolDown coolDown, PairFit fit) {
    }

    /** Adds it to {@code sound}, or says why it may not be used. */
    private static Optional<Doubt> screened(CoolDown recorded, List<Night> sound) {
        CoolDown both = recorded.withDevice().beginning(Learned.LONGEST).toFirstGap(Learned.LONGEST_GAP);
        Optional<Doubt> tooLittle = tooLittle(both);
        if (tooLittle.isPresent()) {
            return tooLittle;
        }
        CoolDown steady = toFirstJump(both);
        Optional<Doubt> tooShort = steady.samples().size() < both.samples().size() ? tooLittle(steady) : Optional.empty();
        if (tooShort.isPresent()) {
            return tooShort;
        }
        Optional<PairFit> fit = PairFit.of(List.of(steady));
        if (fit.isEmpty()) {
            return Optional.of(Doubt.NOTHING_FITS);
        }
        if (fit.get().noise() > MOST_NOISE) {
            return Optional.of(Doubt.BENT);
        }
        sound.add(new Night(steady, fit.get()));
        return Optional.empty();
    }

    private static Optional<Doubt> tooLittle(CoolDown both) {
        return Screened.tooLittle(both).or(() -> both.deviceFall() < Learned.LEAST_FALL ? Optional.of(Doubt.TOO_LITTLE_FALL) : Optional.empty());
    }

    /** Up to where one of them moves by more than noise explains: a door, or a hand. */
    private static CoolDown toFirstJump(CoolDown coolDown) {
        Optional<PairFit> rough = PairFit.of(List.of(coolDown));
        if (rough.isEmpty()) {
            return coolDown;
        }
        double[] jumps = PairFit.Run.of(coolDown).jumps(rough.get().cabinet());
        double most = Screened.sudden(jumps);
        int steps = jumps.length / 2;
        for (int i = 0; i < steps; i++) {
            if (Math.abs(jumps[i]) > most || Math.abs(jumps[steps + i]) > most) {
                return coolDown.first(i + 1);
            }
        }
        return coolDown;
    }

    private static Nodes.TwoNodes nodes(PairFit fit, double reach) {
        List<Duration> times = fit.times().stream().map(LearnedPair::ofSeconds).toList();
        return new Nodes.TwoNodes(stretched(fit.times().get(0), reach), times.get(1), times.get(2));
    }

    private static TimeConstant stretched(double seconds, double reach) {
        return new TimeConstant(ofSeconds(seconds * Math.exp(-reach)), ofSeconds(seconds), ofSeconds(seconds * Math.exp(reach)), TimeConstant.Basis.LEARNED);
    }

    private static Duration ofSeconds(double seconds) {
        return Duration.ofMillis(Math.round(seconds * 1000));
    }
}
