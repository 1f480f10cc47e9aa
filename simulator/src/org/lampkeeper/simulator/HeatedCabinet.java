package org.lampkeeper.simulator;

import java.time.Duration;

/**
 * The air in one cabinet with a thermostat, as a single heat capacity behind a single wall: T(t) = Tend + (T0 − Tend)·e^(−t/τ), where
 * Tend is the outside, or the outside and what the heater can add. Steps are exact, so it does not matter how time is cut into pieces.
 */
public final class HeatedCabinet {

    // Ours: a heater that aims at 8 °C and does not chatter.
    static final double HEATER_ON_BELOW = 7;
    static final double HEATER_OFF_ABOVE = 9;
    // Ours: holds 8 °C down to -27 °C outside.
    private static final double HEATER_LIFT = 35;
    // Ours: an open door loses heat about ten times as fast.
    private static final double OPEN_DOOR = 10;

    private double outside;
    private final double timeConstant;
    private double inside;
    private boolean supplied = true;
    private boolean heating;
    private boolean doorOpen;

    public HeatedCabinet(double inside, double outside, Duration timeConstant) {
        this.inside = inside;
        this.outside = outside;
        this.timeConstant = seconds(timeConstant);
        switchHeater();
    }

    public double inside() {
        return inside;
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
