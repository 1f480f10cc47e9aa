package org.lampkeeper.thermal;

import java.util.Arrays;
import java.util.List;
import java.util.Optional;

import org.apache.commons.math3.distribution.TDistribution;
import org.apache.commons.math3.exception.ConvergenceException;
import org.apache.commons.math3.exception.TooManyEvaluationsException;
import org.apache.commons.math3.exception.TooManyIterationsException;
import org.apache.commons.math3.fitting.leastsquares.LeastSquaresBuilder;
import org.apache.commons.math3.fitting.leastsquares.LeastSquaresOptimizer.Optimum;
import org.apache.commons.math3.fitting.leastsquares.LevenbergMarquardtOptimizer;
import org.apache.commons.math3.linear.Array2DRowRealMatrix;
import org.apache.commons.math3.linear.ArrayRealVector;
import org.apache.commons.math3.util.Pair;

/**
 * Nonlinear least squares of one time constant over several cool-downs. Where each began is fitted too; it enters linearly, so it is worked out
 * for every time constant that is tried (variable projection), and one parameter is left: ln τ.
 *
 * @param logTau        of τ in seconds
 * @param standardError of {@code logTau}
 * @param noise         K, of one reading
 * @param freedom       readings less what was fitted, 1 or more
 */
record CoolDownFit(double logTau, double standardError, double noise, int freedom) implements Estimate {

    /** Half the range for the slope in ln τ: small against any doubt, large against rounding. */
    private static final double SLOPE_STEP = 1e-4;

    private static final int MOST_ROUNDS = 60;

    /** e to these: 1 min, and the longest that {@link TimeConstant} takes. */
    static final double SHORTEST = Math.log(60);
    static final double LONGEST = Math.log(TimeConstant.MOST_DAYS * 86_400.0);

    /** Empty where nothing between a minute and the longest time constant fits. */
    static Optional<CoolDownFit> of(List<CoolDown> coolDowns) {
        int readings = coolDowns.stream().mapToInt(each -> each.samples().size()).sum();
        int freedom = readings - coolDowns.size() - 1;
        if (freedom < 1) {
            return Optional.empty();
        }
        List<Run> runs = coolDowns.stream().map(Run::of).toList();
        try {
            Optimum best = new LevenbergMarquardtOptimizer().optimize(new LeastSquaresBuilder().start(new double[] {start(runs)})
                    .target(new double[readings]).lazyEvaluation(false).maxEvaluations(MOST_ROUNDS).maxIterations(MOST_ROUNDS)
                    .model(point -> new Pair<>(new ArrayRealVector(residuals(runs, point.getEntry(0)), false), column(slope(runs, point.getEntry(0)))))
                    .build());
            double logTau = best.getPoint().getEntry(0);
            return logTau < SHORTEST || logTau > LONGEST ? Optional.empty() : judged(runs, logTau, freedom);
        } catch (TooManyEvaluationsException | TooManyIterationsException | ConvergenceException noneFits) {
            return Optional.empty();
        }
    }

    /**
     * The noise of the inside counts at each reading, that of the outside is carried along by the cabinet: both are taken to be alike, for the two
     * sensors are. Leaving out the second would make the interval too narrow by a third.
     */
    private static Optional<CoolDownFit> judged(List<Run> runs, double logTau, int freedom) {
        double[] slope = slope(runs, logTau);
        double information = squares(slope);
        double noise2 = squares(residuals(runs, logTau)) / freedom;
        double carried = 0;
        int at = 0;
        for (Run run : runs) {
            carried += squares(run.carriedBack(Arrays.copyOfRange(slope, at, at + run.inside().length), Math.exp(logTau)));
            at += run.inside().length;
        }
        double variance = noise2 * (1 + carried / information) / information;
        return Double.isFinite(variance) ? Optional.of(new CoolDownFit(logTau, Math.sqrt(variance), Math.sqrt(noise2), freedom)) : Optional.empty();
    }

    /** How far ln τ may be off, two-sided 95 %, Student's t. */
    double reach() {
        return new TDistribution(null, freedom).inverseCumulativeProbability(0.975) * standardError;
    }

    /** The best of a coarse row, one a doubling: least squares of an exponential has a far end where it runs away. */
    private static double start(List<Run> runs) {
        double best = SHORTEST;
        double least = Double.POSITIVE_INFINITY;
        for (double each = SHORTEST; each <= LONGEST; each += Math.log(2)) {
            double sum = squares(residuals(runs, each));
            if (sum < least) {
                least = sum;
                best = each;
            }
        }
        return best;
    }

    private static double[] residuals(List<Run> runs, double logTau) {
        double tau = Math.exp(Math.min(Math.max(logTau, -5), 40));
        return runs.stream().map(run -> run.residuals(tau)).flatMapToDouble(Arrays::stream).toArray();
    }

    private static double[] slope(List<Run> runs, double logTau) {
        double[] above = residuals(runs, logTau + SLOPE_STEP);
        double[] below = residuals(runs, logTau - SLOPE_STEP);
        double[] slope = new double[above.length];
        for (int i = 0; i < slope.length; i++) {
            slope[i] = (above[i] - below[i]) / (2 * SLOPE_STEP);
        }
        return slope;
    }

    private static Array2DRowRealMatrix column(double[] values) {
        return new Array2DRowRealMatrix(values);
    }

    static double squares(double[] values) {
        return Arrays.stream(values).map(each -> each * each).sum();
    }

    /** One cool-down as figures: seconds between readings, °C. */
    record Run(double[] steps, double[] inside, double[] outside) {

        static Run of(CoolDown coolDown) {
            return new Run(coolDown.steps(), coolDown.inside(), coolDown.outside());
        }

        /** What the cabinet would have shown, less what was measured, with the beginning that fits best. */
        double[] residuals(double tau) {
            double[] forced = new double[inside.length];
            double[] fading = new double[inside.length];
            fading[0] = 1;
            for (int i = 1; i < inside.length; i++) {
                double slope = (outside[i] - outside[i - 1]) / steps[i - 1];
                forced[i] = Lags.oneNode(forced[i - 1], tau).after(steps[i - 1], outside[i - 1], slope);
                fading[i] = fading[i - 1] * Math.exp(-steps[i - 1] / tau);
            }
            double along = 0;
            for (int i = 0; i < inside.length; i++) {
                along += fading[i] * (inside[i] - forced[i]);
            }
            double begin = along / squares(fading);
            double[] residuals = new double[inside.length];
            for (int i = 0; i < inside.length; i++) {
                residuals[i] = forced[i] + begin * fading[i] - inside[i];
            }
            return residuals;
        }

        /** For each reading outside: how much an error in it moves what {@code weights} sum up. The steps of {@link Lags}, run backwards. */
        double[] carriedBack(double[] weights, double tau) {
            double[] carried = new double[outside.length];
            double later = 0;
            for (int i = outside.length - 1; i > 0; i--) {
                later += weights[i];
                double fade = Math.exp(-steps[i - 1] / tau);
                double between = tau / steps[i - 1] * (1 - fade);
                carried[i] += later * (1 - between);
                carried[i - 1] += later * (between - fade);
                later *= fade;
            }
            return carried;
        }
    }
}
