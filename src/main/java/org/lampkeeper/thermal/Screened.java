package org.lampkeeper.thermal;

import java.util.Arrays;
import java.util.List;
import java.util.Map;
import java.util.Optional;

import org.lampkeeper.thermal.CoolDownFit.Run;
import org.lampkeeper.thermal.Learned.Doubt;

/** That part of a cool-down which one time constant explains, with what it says by itself. */
record Screened(CoolDown coolDown, CoolDownFit fit) {

    /** Ours: six standard deviations are no noise. */
    private static final double SUDDEN = 6;

    /** Ours, K: less is no door in the cold. */
    private static final double LEAST_SUDDEN = 1;

    /** A normal distribution's standard deviation over its median deviation; handbook value, 1.4826. */
    private static final double FROM_MEDIAN = 1.4826;

    /** Ours: so much may the second half differ, beyond three standard errors, before it is called a bend. */
    private static final double BEND = Math.log(1.3);

    /** A cool-down that may be used, or why it may not. */
    record Result(Optional<Screened> sound, Optional<Doubt> doubt) {

        void into(List<Screened> all, Map<Doubt, Integer> leftOut) {
            sound.ifPresent(all::add);
            doubt.ifPresent(each -> leftOut.merge(each, 1, Integer::sum));
        }
    }

    static Result of(CoolDown recorded) {
        CoolDown steady = toFirstJump(recorded.beginning(Learned.LONGEST).toFirstGap(Learned.LONGEST_GAP));
        Optional<Doubt> tooLittle = tooLittle(steady);
        if (tooLittle.isPresent()) {
            return refused(tooLittle.get());
        }
        int half = steady.samples().size() / 2;
        Optional<CoolDownFit> first = CoolDownFit.of(List.of(steady.first(half)));
        Optional<CoolDownFit> second = CoolDownFit.of(List.of(steady.from(half)));
        if (first.isEmpty() || second.isEmpty() || !isBent(first.get(), second.get())) {
            return fitted(steady);
        }
        // Slower later: at first the air came down by itself, or a door stood open. From then on it is the content that cools.
        boolean isSlowerLater = second.get().logTau() > first.get().logTau();
        CoolDown later = steady.from(half);
        return isSlowerLater && tooLittle(later).isEmpty() ? fitted(later) : refused(Doubt.BENT);
    }

    private static Result fitted(CoolDown coolDown) {
        return CoolDownFit.of(List.of(coolDown)).map(fit -> new Result(Optional.of(new Screened(coolDown, fit)), Optional.empty()))
                .orElse(refused(Doubt.NOTHING_FITS));
    }

    private static Result refused(Doubt doubt) {
        return new Result(Optional.empty(), Optional.of(doubt));
    }

    private static boolean isBent(CoolDownFit first, CoolDownFit second) {
        double apart = Math.abs(first.logTau() - second.logTau());
        return apart > BEND && apart > 3 * Math.hypot(first.standardError(), second.standardError());
    }

    static Optional<Doubt> tooLittle(CoolDown coolDown) {
        if (coolDown.samples().size() < Learned.LEAST_READINGS) {
            return Optional.of(Doubt.TOO_FEW_READINGS);
        }
        if (coolDown.length().compareTo(Learned.LEAST_LENGTH) < 0) {
            return Optional.of(Doubt.TOO_SHORT);
        }
        if (coolDown.firstDifference() < Learned.LEAST_DIFFERENCE) {
            return Optional.of(Doubt.TOO_NEAR_THE_OUTSIDE);
        }
        return coolDown.fall() < Learned.LEAST_FALL ? Optional.of(Doubt.TOO_LITTLE_FALL) : Optional.empty();
    }

    /** A sudden drop is a door, a sudden rise a heater or a hand: what follows is another cabinet. */
    private static CoolDown toFirstJump(CoolDown coolDown) {
        Optional<CoolDownFit> rough = CoolDownFit.of(List.of(coolDown));
        if (rough.isEmpty()) {
            return coolDown;
        }
        double[] jumps = jumps(Run.of(coolDown), Math.exp(rough.get().logTau()));
        double most = sudden(jumps);
        for (int i = 0; i < jumps.length; i++) {
            if (Math.abs(jumps[i]) > most) {
                return coolDown.first(i + 1);
            }
        }
        return coolDown;
    }

    /** K beyond which one of these is no noise. */
    static double sudden(double[] jumps) {
        double[] sizes = Arrays.stream(jumps).map(Math::abs).sorted().toArray();
        return Math.max(LEAST_SUDDEN, SUDDEN * FROM_MEDIAN * sizes[sizes.length / 2]);
    }

    /** From each reading to the next, less what the cabinet does by itself, K. */
    private static double[] jumps(Run run, double tau) {
        double[] jumps = new double[run.steps().length];
        for (int i = 0; i < jumps.length; i++) {
            double slope = (run.outside()[i + 1] - run.outside()[i]) / run.steps()[i];
            jumps[i] = run.inside()[i + 1] - Lags.oneNode(run.inside()[i], tau).after(run.steps()[i], run.outside()[i], slope);
        }
        return jumps;
    }
}
