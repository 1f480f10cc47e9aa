package org.lampkeeper.thermal;

/**
 * The air of a cabinet and the device in it, air' = (outside − air) / t1 + (device − air) / t2, device' = (air − device) / t3, stepped together by
 * their exact solution while the outside is straight. {@link Lags#device} is the same, of the device alone.
 */
final class AirAndDevice {

    private final double outer;
    private final double byDevice;
    private final double byAir;
    private final double fast;
    private final double slow;

    /** Seconds, each more than zero. */
    AirAndDevice(double outer, double byDevice, double byAir) {
        this.outer = outer;
        this.byDevice = byDevice;
        this.byAir = byAir;
        double sum = 1 / outer + 1 / byDevice + 1 / byAir;
        double product = 1 / (outer * byAir);
        fast = (sum + Math.sqrt(sum * sum - 4 * product)) / 2;
        // As a quotient: as a difference it would lose its digits.
        slow = product / fast;
    }

    /** Seconds in which both come nearer to a steady outside by 63.2 %, once what is fast has faded. */
    double slowest() {
        return 1 / slow;
    }

    /** Air and device so many seconds later; {@code from} holds the same two, {@code slope} is in K/s. */
    double[] after(double[] from, double seconds, double outside, double slope) {
        // Behind a straight outside both lag by so much once all else has faded.
        double airBehind = slope * outer * (1 + byAir / byDevice);
        double deviceBehind = airBehind + slope * byAir;
        double air = from[0] - outside + airBehind;
        double device = from[1] - outside + deviceBehind;
        double slowPart = (air - device * (1 - fast * byAir)) / ((fast - slow) * byAir);
        double fastPart = device - slowPart;
        double slowLeft = slowPart * Math.exp(-slow * seconds);
        double fastLeft = fastPart * Math.exp(-fast * seconds);
        double end = outside + slope * seconds;
        return new double[] {end - airBehind + slowLeft * (1 - slow * byAir) + fastLeft * (1 - fast * byAir), end - deviceBehind + slowLeft + fastLeft};
    }
}
