package org.lampkeeper.thermal;

import java.time.Duration;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.EnumMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;


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

    /** Ours: as far as a forecast looks. By then a cabinet is as cold as it gets, and a winter without supply would be reckoned for minutes while its site waits. */
    Duration LONGEST = Duration.ofHours(48);

    /** Ours: two reports of a sensor that promises one in 15 minutes. */
    Duration LONGEST_GAP = Duration.ofMinutes(30);

    /** Ours, K: seven times what a usual sensor is off by, which is 0.2 from memory. */
    double LEAST_FALL = 1.5;

    /** Ours, K: a degree by which the two sensors differ is then a fifth at most. */
    double LEAST_DIFFERENCE = 5;

    /** Ours: a range from half to twice is no better than the nominal one. */
    double MOST_REACH = Math.log(2);

    /**
     * Ours: as the fit has it, the interval held the truth in 93.9 % of 1,000 simulated records of the kind that fared worst, where it says 95. A tenth wider
     * it held in 95.8 % and more of each kind.
     */
    double MARGIN = 1.1;

    static Learned from(List<CoolDown> record) {
        Map<Doubt, Integer> leftOut = new EnumMap<>(Doubt.class);
        List<Screened> sound = new ArrayList<>();
        for (CoolDown each : record) {
            Screened.of(each).into(sound, leftOut);
        }
        List<Screened> alike = Nights.alike(sound, Screened::fit);
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
        double reach = MARGIN * Nights.reach(fit.get().reach(), alike.stream().map(Screened::fit).toList());
        return reach > MOST_REACH ? new Refused(Doubt.TOO_UNCERTAIN, leftOut) : new Fitted(range(fit.get().logTau(), reach), alike.size(), leftOut);
    }

    private static TimeConstant range(double logTau, double reach) {
        return new TimeConstant(seconds(logTau - reach), seconds(logTau), seconds(logTau + reach), TimeConstant.Basis.LEARNED);
    }

    private static Duration seconds(double log) {
        return Duration.ofMillis(Math.round(Math.exp(Math.min(log, CoolDownFit.LONGEST)) * 1000));
    }

    /** The one that stood in the way most often. */
    static Optional<Doubt> commonest(Map<Doubt, Integer> leftOut) {
        return leftOut.entrySet().stream().max(Comparator.comparing(Map.Entry::getValue)).map(Map.Entry::getKey);
    }
}
