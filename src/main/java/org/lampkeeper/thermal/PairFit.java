package org.lampkeeper.thermal;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.Comparator;
import java.util.List;
import java.util.Optional;

import org.apache.commons.math3.distribution.TDistribution;
import org.apache.commons.math3.exception.ConvergenceException;
import org.apache.commons.math3.exception.TooManyEvaluationsException;
import org.apache.commons.math3.exception.TooManyIterationsException;
import org.apache.commons.math3.fitting.leastsquares.LeastSquaresBuilder;
import org.apache.commons.math3.fitting.leastsquares.LevenbergMarquardtOptimizer;
import org.apache.commons.math3.linear.Array2DRowRealMatrix;
import org.apache.commons.math3.linear.ArrayRealVector;
import org.apache.commons.math3.linear.LUDecomposition;
import org.apache.commons.math3.linear.RealMatrix;
import org.apache.commons.math3.linear.RealVector;
import org.apache.commons.math3.linear.SingularMatrixException;
import org.apache.commons.math3.util.Pair;

/**
 * Nonlinear least squares of the three times of {@link AirAndDevice} over several cool-downs with both series. Where each began is fitted along; the two
 * temperatures enter linearly, so they are worked out for all times that are tried (variable projection). What is stated with an interval is the
 * slowest time constant, for that is what a forecast of hours rests on.
 *
 * @param times         t1, t2, t3 in seconds, each within {@link #SHORTEST} and {@link CoolDownFit#LONGEST}
 * @param logTau        of the slowest time constant in seconds
 * @param standardError of {@code logTau}
 * @param noise         K, of one reading
 * @param freedom       readings less what was fitted, 1 or more
 */
record PairFit(List<Double> times, double logTau, double standardError, double noise, int freedom) implements Estimate {

    /** Ours: with a reading in minutes at best, whatever follows within one follows at once. */
    static final double SHORTEST = CoolDownFit.SHORTEST;

    private static final double SLOPE_STEP = 1e-4;
    private static final int MOST_ROUNDS = 100;
    private static final int DEVICE_BY_AIR = 2;

    /** Minutes that are tried first, for each of the three: least squares of exponentials has far ends where it runs away. */
    private static final double[][] ROWS = {{2, 10, 50, 250, 1250}, {2, 10, 50, 250}, {4, 20, 100, 500}};

    /** Empty where nothing fits, where the device cannot be told from its air, or where the three cannot be told apart. */
    static Optional<PairFit> of(List<CoolDown> coolDowns) {
        List<Run> runs = coolDowns.stream().map(Run::of).toList();
        try {
            return of(runs, start(runs), List.of(0, 1, 2));
        } catch (TooManyEvaluationsException | TooManyIterationsException | ConvergenceException | SingularMatrixException noneFits) {
            return Optional.empty();
        }
    }

    /** {@code free}: which of the three are fitted. One that leaves its range is put at the end of it, and the others are fitted once more. */
    private static Optional<PairFit> of(List<Run> runs, double[] start, List<Integer> free) {
        int readings = runs.stream().mapToInt(each -> 2 * each.air().length).sum();
        int freedom = readings - 2 * runs.size() - free.size();
        if (freedom < 1 || free.isEmpty()) {
            return Optional.empty();
        }
        double[] point = new LevenbergMarquardtOptimizer().optimize(new LeastSquaresBuilder().start(chosen(start, free))
                .target(new double[readings]).lazyEvaluation(false).maxEvaluations(MOST_ROUNDS).maxIterations(MOST_ROUNDS)
                .model(some -> new Pair<RealVector, RealMatrix>(new ArrayRealVector(residuals(runs, whole(start, free, some.toArray())), false),
                        slopes(runs, whole(start, free, some.toArray()), free)))
                .build()).getPoint().toArray();
        double[] best = whole(start, free, point);
        Optional<Integer> farthest = free.stream().filter(each -> outOfRange(best[each]) > 0).max(Comparator.comparing(each -> outOfRange(best[each])));
        if (farthest.isPresent()) {
            // A device that follows its air at once is no second body, and walls that never let anything through are none.
            boolean isNoPair = best[DEVICE_BY_AIR] <= SHORTEST || best[0] >= CoolDownFit.LONGEST;
            return isNoPair ? Optional.empty() : of(runs, putBack(best, farthest.get()), free.stream().filter(each -> !each.equals(farthest.get())).toList());
        }
        return judged(runs, best, free, freedom);
    }

    private static double outOfRange(double log) {
        return Math.max(SHORTEST - log, log - CoolDownFit.LONGEST);
    }

    /** An air that is all too light keeps the share in which it stands between outside and device: both its times are lengthened alike. */
    private static double[] putBack(double[] logs, int which) {
        double[] back = logs.clone();
        back[which] = Math.min(Math.max(logs[which], SHORTEST), CoolDownFit.LONGEST);
        if (which != DEVICE_BY_AIR && logs[which] < SHORTEST) {
            back[1 - which] += back[which] - logs[which];
        }
        return back;
    }

    /** The noise of the outside is carried along by the cabinet; all three sensors are taken to be alike. */
    private static Optional<PairFit> judged(List<Run> runs, double[] best, List<Integer> free, int freedom) {
        RealMatrix slopes = slopes(runs, best, free);
        RealMatrix inverse = new LUDecomposition(slopes.transpose().multiply(slopes)).getSolver().getInverse();
        double[] gradient = new double[free.size()];
        for (int i = 0; i < gradient.length; i++) {
            gradient[i] = (logSlowest(moved(best, free.get(i), SLOPE_STEP)) - logSlowest(moved(best, free.get(i), -SLOPE_STEP))) / (2 * SLOPE_STEP);
        }
        double[] weights = slopes.operate(inverse.operate(gradient));
        double noise2 = CoolDownFit.squares(residuals(runs, best)) / freedom;
        double carried = 0;
        int at = 0;
        for (Run run : runs) {
            int many = 2 * run.air().length;
            carried += run.carriedBack(Arrays.copyOfRange(weights, at, at + many), node(best));
            at += many;
        }
        double variance = noise2 * (CoolDownFit.squares(weights) + carried);
        return Double.isFinite(variance) ? Optional.of(new PairFit(Arrays.stream(best).map(Math::exp).boxed().toList(), logSlowest(best),
                Math.sqrt(variance), Math.sqrt(noise2), freedom)) : Optional.empty();
    }

    /** How far ln τ may be off, two-sided 95 %, Student's t. */
    double reach() {
        return new TDistribution(null, freedom).inverseCumulativeProbability(0.975) * standardError;
    }

    AirAndDevice cabinet() {
        return new AirAndDevice(times.get(0), times.get(1), times.get(2));
    }

    private static double[] start(List<Run> runs) {
        double[] best = {};
        double least = Double.POSITIVE_INFINITY;
        for (double outer : ROWS[0]) {
            for (double byDevice : ROWS[1]) {
                for (double byAir : ROWS[2]) {
                    double[] each = {Math.log(60 * outer), Math.log(60 * byDevice), Math.log(60 * byAir)};
                    double sum = CoolDownFit.squares(residuals(runs, each));
                    if (sum < least || best.length == 0) {
                        least = sum;
                        best = each;
                    }
                }
            }
        }
        return best;
    }

    private static double[] chosen(double[] all, List<Integer> free) {
        return free.stream().mapToDouble(each -> all[each]).toArray();
    }

    private static double[] whole(double[] fixed, List<Integer> free, double[] some) {
        double[] all = fixed.clone();
        for (int i = 0; i < some.length; i++) {
            all[free.get(i)] = some[i];
        }
        return all;
    }

    private static double[] moved(double[] logs, int which, double by) {
        double[] all = logs.clone();
        all[which] += by;
        return all;
    }

    private static AirAndDevice node(double[] logs) {
        double[] seconds = Arrays.stream(logs).map(each -> Math.exp(Math.min(Math.max(each, -5), 25))).toArray();
        return new AirAndDevice(seconds[0], seconds[1], seconds[2]);
    }

    private static double logSlowest(double[] logs) {
        return Math.log(node(logs).slowest());
    }

    private static double[] residuals(List<Run> runs, double[] logs) {
        AirAndDevice node = node(logs);
        return runs.stream().map(run -> run.residuals(node)).flatMapToDouble(Arrays::stream).toArray();
    }

    private static RealMatrix slopes(List<Run> runs, double[] logs, List<Integer> free) {
        List<double[]> columns = new ArrayList<>();
        for (int each : free) {
            double[] above = residuals(runs, moved(logs, each, SLOPE_STEP));
            double[] below = residuals(runs, moved(logs, each, -SLOPE_STEP));
            for (int i = 0; i < above.length; i++) {
                above[i] = (above[i] - below[i]) / (2 * SLOPE_STEP);
            }
            columns.add(above);
        }
        return new Array2DRowRealMatrix(columns.toArray(double[][]::new)).transpose();
    }

    /** One cool-down as figures: seconds between readings, °C. */
    record Run(double[] steps, double[] air, double[] device, double[] outside) {

        static Run of(CoolDown coolDown) {
            return new Run(coolDown.steps(), coolDown.inside(), coolDown.device(), coolDown.outside());
        }

        /** What the cabinet would have shown, less what was measured, with the two beginnings that fit best: first of the air, then of the device. */
        double[] residuals(AirAndDevice node) {
            double[] forced = along(node, new double[2], outside, 0);
            double[] fromAir = along(node, new double[] {1, 0}, new double[outside.length], 0);
            double[] fromDevice = along(node, new double[] {0, 1}, new double[outside.length], 0);
            double[] left = new double[forced.length];
            double aa = 0;
            double ad = 0;
            double dd = 0;
            double a = 0;
            double d = 0;
            for (int i = 0; i < left.length; i++) {
                left[i] = (i < air.length ? air[i] : device[i - air.length]) - forced[i];
                aa += fromAir[i] * fromAir[i];
                ad += fromAir[i] * fromDevice[i];
                dd += fromDevice[i] * fromDevice[i];
                a += fromAir[i] * left[i];
                d += fromDevice[i] * left[i];
            }
            double scale = aa * dd - ad * ad;
            double beginAir = (a * dd - d * ad) / scale;
            double beginDevice = (d * aa - a * ad) / scale;
            double[] residuals = new double[left.length];
            for (int i = 0; i < left.length; i++) {
                residuals[i] = beginAir * fromAir[i] + beginDevice * fromDevice[i] - left[i];
            }
            return residuals;
        }

        /** Of all readings outside: the squares of how much an error in each moves what {@code weights} sum up. */
        double carriedBack(double[] weights, AirAndDevice node) {
            double squares = 0;
            for (int reading = 0; reading < outside.length; reading++) {
                double[] pulse = new double[outside.length];
                pulse[reading] = 1;
                double[] answer = along(node, new double[2], pulse, Math.max(0, reading - 1));
                double moved = 0;
                for (int i = 0; i < weights.length; i++) {
                    moved += weights[i] * answer[i];
                }
                squares += moved * moved;
            }
            return squares;
        }

        /** From each reading to the next, less what the cabinet does by itself, K: first of the air, then of the device. */
        double[] jumps(AirAndDevice node) {
            double[] jumps = new double[2 * steps.length];
            for (int i = 0; i < steps.length; i++) {
                double[] next = node.after(new double[] {air[i], device[i]}, steps[i], outside[i], (outside[i + 1] - outside[i]) / steps[i]);
                jumps[i] = air[i + 1] - next[0];
                jumps[steps.length + i] = device[i + 1] - next[1];
            }
            return jumps;
        }

        private double[] along(AirAndDevice node, double[] begin, double[] outsides, int first) {
            double[] all = new double[2 * air.length];
            double[] state = begin;
            all[first] = state[0];
            all[air.length + first] = state[1];
            for (int i = first + 1; i < air.length; i++) {
                state = node.after(state, steps[i - 1], outsides[i - 1], (outsides[i] - outsides[i - 1]) / steps[i - 1]);
                all[i] = state[0];
                all[air.length + i] = state[1];
            }
            return all;
        }
    }
}
