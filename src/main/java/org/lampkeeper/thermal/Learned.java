package org.lampkeeper.thermal;

import java.time.Duration;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.EnumMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;

import org.apache.commons.math3.distribution.ChiSquaredDistribution;
import org.apache.commons.math3.distribution.TDistribution;
import org.apache.commons.math3.stat.descriptive.moment.StandardDeviation;

/**
 * What the cool-downs on record say about the time constant. The interval is one of 95 % for the cabinet as it is; where the cool-downs
 * differ by more than their readings explain, one for the next night. A storm, or more content, is in it only if it was on record.
 */
public sealed interface Learned {

    /**
     * @param tau     marked as learnt
     * @param used    cool-downs that it rests on
     * @param leftOut how many were not used, by reason
     */
    record Fitted(TimeConstant tau, int used, Map<Doubt, Integer> leftOut) implements Learned {

        public Fitted {
            leftOut = Map.copyOf(leftOut);
        }
    }

    /**
     * The data do not carry an answer; the nominal figure stays.
     *
     * @param reason  the one that stood in the way most often
     * @param leftOut how many cool-downs were not used, by reason
     */
    record Refused(Doubt reason, Map<Doubt, Integer> leftOut) implements Learned {

        public Refused {
            leftOut = Map.copyOf(leftOut);
        }
    }

    /** Why a cool-down, or all of them together, are not used. */
    enum Doubt {
        TOO_FEW_COOL_DOWNS, TOO_FEW_READINGS, TOO_SHORT,
        /** It fell by too little to tell how fast. */
        TOO_LITTLE_FALL,
        /** Inside and outside were nearly alike when it began. */
        TOO_NEAR_THE_OUTSIDE,
        /** It cooled faster later than at first: a door was opened, or the content was taken out. */
        BENT, UNLIKE_THE_OTHERS, TOO_UNCERTAIN, NOTHING_FITS
    }

    /** Ours: one night says nothing about how nights differ. */
    int LEAST_COOL_DOWNS = 2;

    /** Ours: two halves of four can be told apart. */
    int LEAST_READINGS = 8;

    Duration LEAST_LENGTH = Duration.ofMinutes(30);

    /** Ours: two reports of a sensor that promises one in 15 minutes. */
    Duration LONGEST_GAP = Duration.ofMinutes(30);

    /** Ours, K: seven times what a usual sensor is off by, which is 0.2 from memory. */
    double LEAST_FALL = 1.5;

    /** Ours, K: a degree by which the two sensors differ is then a fifth at most. */
    double LEAST_DIFFERENCE = 5;

    /** Ours: a range from half to twice is no better than the nominal one. */
    double MOST_REACH = Math.log(2);

    static Learned from(List<CoolDown> record) {
        Map<Doubt, Integer> leftOut = new EnumMap<>(Doubt.class);
        List<Screened> sound = new ArrayList<>();
        for (CoolDown each : record) {
            Screened.of(each).into(sound, leftOut);
        }
        List<Screened> alike = alike(sound);
        if (alike.size() < sound.size()) {
            leftOut.merge(Doubt.UNLIKE_THE_OTHERS, sound.size() - alike.size(), Integer::sum);
        }
        if (alike.size() < LEAST_COOL_DOWNS || alike.size() <= sound.size() / 2) {
            return new Refused(commonest(leftOut).orElse(Doubt.TOO_FEW_COOL_DOWNS), leftOut);
        }
        Optional<CoolDownFit> fit = CoolDownFit.of(alike.stream().map(Screened::coolDown).toList());
        if (fit.isEmpty()) {
            return new Refused(Doubt.NOTHING_FITS, leftOut);
        }
        double reach = reach(fit.get(), alike);
        return reach > MOST_REACH ? new Refused(Doubt.TOO_UNCERTAIN, leftOut) : new Fitted(range(fit.get().logTau(), reach), alike.size(), leftOut);
    }

    /** Without those that are far from the middle one, beyond what their own readings leave open. */
    private static List<Screened> alike(List<Screened> all) {
        if (all.isEmpty()) {
            return all;
        }
        double middle = all.stream().map(each -> each.fit().logTau()).sorted().toList().get(all.size() / 2);
        // Ours: half as long again, and three and a half standard errors.
        return all.stream().filter(each -> Math.abs(each.fit().logTau() - middle) <= Math.max(Math.log(1.5), 3.5 * each.fit().standardError())).toList();
    }

    /**
     * How far ln τ may be off. Where the nights differ by more than chance would have it once in a hundred times, it is the next night that has
     * to be within: t · s · √(1 + 1/n), the prediction interval of a normal sample.
     */
    private static double reach(CoolDownFit all, List<Screened> each) {
        int freedom = each.size() - 1;
        double weights = each.stream().mapToDouble(Screened::weight).sum();
        double mean = each.stream().mapToDouble(one -> one.weight() * one.fit().logTau()).sum() / weights;
        double chi2 = each.stream().mapToDouble(one -> one.weight() * Math.pow(one.fit().logTau() - mean, 2)).sum();
        if (chi2 <= new ChiSquaredDistribution(null, freedom).inverseCumulativeProbability(0.99)) {
            return all.reach();
        }
        double spread = new StandardDeviation().evaluate(each.stream().mapToDouble(one -> one.fit().logTau()).toArray());
        double t = new TDistribution(null, freedom).inverseCumulativeProbability(0.975);
        return Math.max(all.reach(), t * spread * Math.sqrt(1 + 1.0 / each.size()));
    }

    private static TimeConstant range(double logTau, double reach) {
        return new TimeConstant(seconds(logTau - reach), seconds(logTau), seconds(logTau + reach), TimeConstant.Basis.LEARNED);
    }

    private static Duration seconds(double log) {
        return Duration.ofMillis(Math.round(Math.exp(Math.min(log, CoolDownFit.LONGEST)) * 1000));
    }

    private static Optional<Doubt> commonest(Map<Doubt, Integer> leftOut) {
        return leftOut.entrySet().stream().max(Comparator.comparing(Map.Entry::getValue)).map(Map.Entry::getKey);
    }
}
