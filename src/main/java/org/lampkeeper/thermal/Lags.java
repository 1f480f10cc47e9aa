package org.lampkeeper.thermal;

/**
 * A temperature as a sum of first-order lags of the outside, z' = (w·outside − z) / τ. Each is stepped by its exact solution, so a step may be
 * as long as the outside is straight: an explicit Euler step of a quarter of τ is half a kelvin off after four.
 */
final class Lags {

    private final double[] tau;
    private final double[] weight;
    private final double[] state;

    private Lags(double[] tau, double[] weight, double[] state) {
        this.tau = tau;
        this.weight = weight;
        this.state = state;
    }

    /** Air and content are one body. Seconds. */
    static Lags oneNode(double inside, double tau) {
        return new Lags(new double[] {tau}, new double[] {1}, new double[] {inside});
    }

    /**
     * The device behind its air: air' = (outside − air) / t1 + (device − air) / t2, device' = (air − device) / t3, seconds. Its two own rates
     * are always real and unlike, so the device is the sum of two lags.
     */
    static Lags device(double air, double device, double t1, double t2, double t3) {
        double sum = 1 / t1 + 1 / t2 + 1 / t3;
        double product = 1 / (t1 * t3);
        double fast = (sum + Math.sqrt(sum * sum - 4 * product)) / 2;
        // The small root as a quotient: as a difference it would lose its digits.
        double slow = product / fast;
        double[] tau = {1 / slow, 1 / fast};
        double[] weight = {tau[0] / (tau[0] - tau[1]), -tau[1] / (tau[0] - tau[1])};
        double first = ((device - air) / t3 - device * fast) / (slow - fast);
        return new Lags(tau, weight, new double[] {first, device - first});
    }

    boolean isOneNode() {
        return tau.length == 1;
    }

    double now() {
        return after(0, 0, 0);
    }

    /** The temperature {@code seconds} later, while the outside goes from {@code outside} on by {@code slope} K/s. */
    double after(double seconds, double outside, double slope) {
        double sum = 0;
        for (int i = 0; i < tau.length; i++) {
            sum += lag(i, seconds, outside, slope);
        }
        return sum;
    }

    /** How fast it changes then, in K/s. */
    double changeAfter(double seconds, double outside, double slope) {
        double sum = 0;
        for (int i = 0; i < tau.length; i++) {
            double distance = state[i] - weight[i] * (outside - slope * tau[i]);
            sum += weight[i] * slope - distance * Math.exp(-seconds / tau[i]) / tau[i];
        }
        return sum;
    }

    Lags stepped(double seconds, double outside, double slope) {
        double[] next = new double[tau.length];
        for (int i = 0; i < tau.length; i++) {
            next[i] = lag(i, seconds, outside, slope);
        }
        return new Lags(tau, weight, next);
    }

    private double lag(int i, double seconds, double outside, double slope) {
        double distance = state[i] - weight[i] * (outside - slope * tau[i]);
        return seconds == 0 ? state[i] : weight[i] * (outside + slope * (seconds - tau[i])) + distance * Math.exp(-seconds / tau[i]);
    }
}
