package org.lampkeeper.thermal;

import java.time.Duration;
import java.util.Comparator;
import java.util.List;
import java.util.stream.DoubleStream;

import org.apache.commons.math3.stat.regression.OLSMultipleLinearRegression;

/**
 * Least squares of the lift for one time constant: inside = begin · e^(−t/τ) + answer to the outside + lift · (1 − e^(−t/τ)).
 *
 * @param tau           seconds
 * @param lift          K
 * @param standardError K
 * @param squares       what is left, K²
 */
record LiftFit(double tau, double lift, double standardError, double squares) {

    /** Ours: steps of a tenth; how much faster it is need not be known better. */
    private static final double FINE = 1.1;

    /** Ours: how far beyond the known range it is looked for. */
    private static final double FAR = 30;

    /** @param readings four or more */
    static LiftFit of(List<HeaterReading> readings, double tau) {
        int many = readings.size();
        double[] left = new double[many];
        double[][] shares = new double[many][];
        double forced = 0;
        for (int i = 0; i < many; i++) {
            HeaterReading here = readings.get(i);
            if (i > 0) {
                HeaterReading before = readings.get(i - 1);
                double step = seconds(before, here);
                forced = Lags.oneNode(forced, tau).after(step, before.outside().value(), (here.outside().value() - before.outside().value()) / step);
            }
            double fade = Math.exp(-seconds(readings.get(0), here) / tau);
            left[i] = here.inside().value() - forced;
            shares[i] = new double[] {fade, 1 - fade};
        }
        OLSMultipleLinearRegression regression = new OLSMultipleLinearRegression();
        regression.setNoIntercept(true);
        regression.newSampleData(left, shares);
        return new LiftFit(tau, regression.estimateRegressionParameters()[1], regression.estimateRegressionParametersStandardErrors()[1],
                regression.calculateResidualSumOfSquares());
    }

    /** With the time constant that fits best, near and far below {@code early}. */
    static LiftFit free(List<HeaterReading> readings, double early, double late) {
        return DoubleStream.iterate(early / FAR, tau -> tau <= late * FINE, tau -> tau * FINE).mapToObj(tau -> of(readings, tau))
                .min(Comparator.comparingDouble(LiftFit::squares)).orElseThrow();
    }

    private static double seconds(HeaterReading from, HeaterReading to) {
        return Duration.between(from.at(), to.at()).toMillis() / 1000.0;
    }
}
