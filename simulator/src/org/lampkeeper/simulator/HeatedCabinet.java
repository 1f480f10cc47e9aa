package org.lampkeeper.simulator;

import java.time.Duration;
import java.util.Optional;

/**
 * The air in one cabinet with a thermostat, as a single heat capacity behind a single wall: T(t) = Tend + (T0 − Tend)·e^(−t/τ), where
 * Tend is the outside, or the outside and what the heater can add. Steps are exact, so it does not matter how time is cut into pieces.
 *
 * <p>With a content of its own behind the air there are two heat capacities, and time is cut into pieces of seconds (Runge and Kutta, order 4).
 */
public final class HeatedCabinet {

    // Ours: a heater that aims at 8 °C and does not chatter.
    static final double HEATER_ON_BELOW = 7;
    static final double HEATER_OFF_ABOVE = 9;
    // Ours: holds 8 °C down to -27 °C outside.
    private static final double HEATER_LIFT = 35;
    // Ours: an open door loses heat about ten times as fast.
    private static final double OPEN_DOOR = 10;
    // Ours, seconds: a hundredth of the fastest cabinet there is, with its door open.
    private static final double PIECE = 5;

    private double outside;
    private final double timeConstant;
    private double inside;
    private boolean supplied = true;
    private boolean heating;
    private boolean doorOpen;
    private final Optional<Content> behind;
    private double content;

    /**
     * What is in the cabinet, warmed and cooled by its air alone.
     *
     * @param lag   how slowly it follows the air; more than zero
     * @param share of the heat capacity of the whole cabinet, 0.05 to 0.95; the time constant of the cabinet is that of the whole
     */
    public record Content(Duration lag, double share) {

        public Content {
            if (lag.isNegative() || lag.isZero()) {
                throw new IllegalArgumentException("lag of the content: " + lag + ", must be more than zero");
            }
            if (!(share >= 0.05 && share <= 0.95)) {
                throw new IllegalArgumentException("share of the content in the heat capacity: " + share + ", must be 0.05 to 0.95");
            }
        }
    }

    public HeatedCabinet(double inside, double outside, Duration timeConstant) {
        this(inside, outside, timeConstant, Optional.empty());
    }

    /** Content and air begin alike. */
    public HeatedCabinet(double inside, double outside, Duration timeConstant, Optional<Content> behind) {
        this.inside = inside;
        this.content = inside;
        this.outside = outside;
        this.timeConstant = seconds(timeConstant);
        this.behind = behind;
        switchHeater();
    }

    public double inside() {
        return inside;
    }

    /** Of the content; where it is none of its own, that of the air. */
    public double content() {
        return behind.isPresent() ? content : inside;
    }

    public double outside() {
        return outside;
    }

    /** From now on; between two calls it stays. */
    public void outside(double celsius) {
        outside = celsius;
    }

    public boolean isHeating() {
        return heating;
    }

    public boolean isDoorOpen() {
        return doorOpen;
    }

    public void supply(boolean present) {
        supplied = present;
        switchHeater();
    }

    public void door(boolean open) {
        doorOpen = open;
    }

    /** Lets time pass with supply and door as they are; the thermostat switches on the way, at the moments when it would. */
    public void pass(Duration time) {
        double left = seconds(time);
        if (behind.isPresent()) {
            for (; left > 0; left -= PIECE) {
                passWithContent(Math.min(left, PIECE), behind.get());
            }
            return;
        }
        while (left > 0) {
            double lossFactor = doorOpen ? OPEN_DOOR : 1;
            double tau = timeConstant / lossFactor;
            double end = outside + (heating ? HEATER_LIFT / lossFactor : 0);
            double limit = heating ? HEATER_OFF_ABOVE : HEATER_ON_BELOW;
            boolean switches = supplied && (heating ? end > limit : end < limit);
            double untilSwitch = switches ? tau * Math.log((inside - end) / (limit - end)) : Double.POSITIVE_INFINITY;
            if (untilSwitch >= left) {
                inside = end + (inside - end) * Math.exp(-left / tau);
                return;
            }
            inside = limit;
            heating = !heating;
            left -= Math.max(untilSwitch, 0);
        }
    }

    private void passWithContent(double seconds, Content its) {
        double lossFactor = doorOpen ? OPEN_DOOR : 1;
        double end = outside + (heating ? HEATER_LIFT / lossFactor : 0);
        double byOutside = timeConstant * (1 - its.share()) / lossFactor;
        double lag = seconds(its.lag());
        double byContent = lag * (1 - its.share()) / its.share();
        double[] change = new double[2];
        double[] sum = new double[2];
        for (int round = 0; round < 4; round++) {
            // Where the slope is taken: at the beginning, twice half-way, at the end; the middle ones count twice.
            double along = round == 0 ? 0 : round == 3 ? seconds : seconds / 2;
            double air = inside + along * change[0];
            double itself = content + along * change[1];
            change = new double[] {(end - air) / byOutside + (itself - air) / byContent, (air - itself) / lag};
            double weight = round == 0 || round == 3 ? 1 : 2;
            sum[0] += weight * change[0];
            sum[1] += weight * change[1];
        }
        inside += seconds * sum[0] / 6;
        content += seconds * sum[1] / 6;
        switchHeater();
    }

    private void switchHeater() {
        if (!supplied || inside >= HEATER_OFF_ABOVE) {
            heating = false;
        } else if (inside <= HEATER_ON_BELOW) {
            heating = true;
        }
    }

    private static double seconds(Duration duration) {
        return duration.toNanos() / 1e9;
    }
}
