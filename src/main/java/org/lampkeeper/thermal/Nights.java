package org.lampkeeper.thermal;

import java.util.List;
import java.util.function.Function;

import org.apache.commons.math3.distribution.ChiSquaredDistribution;
import org.apache.commons.math3.distribution.TDistribution;
import org.apache.commons.math3.stat.descriptive.moment.StandardDeviation;

/** How cool-downs of one cabinet compare: which are unlike the others, and what the next one will be like. */
final class Nights {

    private Nights() {
    }

    /** Without those that are far from the middle one, beyond what their own readings leave open. */
    static <T> List<T> alike(List<T> all, Function<T, ? extends Estimate> of) {
        if (all.isEmpty()) {
            return all;
        }
        double middle = all.stream().map(each -> of.apply(each).logTau()).sorted().toList().get(all.size() / 2);
        // Ours: half as long again, and three and a half standard errors.
        return all.stream().filter(each -> Math.abs(of.apply(each).logTau() - middle) <= Math.max(Math.log(1.5), 3.5 * of.apply(each).standardError())).toList();
    }

    /**
     * How far ln τ may be off. Where the nights differ by more than chance would have it once in a hundred times, it is the next night that has
     * to be within: t · s · √(1 + 1/n), the prediction interval of a normal sample.
     *
     * @param together what the fit of all of them leaves open
     * @param each     two or more
     */
    static double reach(double together, List<? extends Estimate> each) {
        int freedom = each.size() - 1;
        double weights = each.stream().mapToDouble(Nights::weight).sum();
        double mean = each.stream().mapToDouble(one -> weight(one) * one.logTau()).sum() / weights;
        double chi2 = each.stream().mapToDouble(one -> weight(one) * Math.pow(one.logTau() - mean, 2)).sum();
        if (chi2 <= new ChiSquaredDistribution(null, freedom).inverseCumulativeProbability(0.99)) {
            return together;
        }
        double spread = new StandardDeviation().evaluate(each.stream().mapToDouble(Estimate::logTau).toArray());
        double t = new TDistribution(null, freedom).inverseCumulativeProbability(0.975);
        return Math.max(together, t * spread * Math.sqrt(1 + 1.0 / each.size()));
    }

    private static double weight(Estimate one) {
        return 1 / (one.standardError() * one.standardError());
    }
}
