package org.lampkeeper.simulator;

import java.time.Duration;

/**
 * How every sensor of a fleet behaves when nothing is wrong.
 *
 * @param interval       between two reports; more than zero
 * @param promise        what each report says about the next ({@code ut}); a whole number of seconds, at least 1
 * @param outsideCelsius the air outside the cabinets, −60 to 60 °C
 * @param timeConstant   with which an unheated cabinet cools towards the outside; more than zero
 * @param seed           of all chance: the same seed, sensors and faults give the same reports at the same offsets
 */
public record FleetSettings(Duration interval, Duration promise, double outsideCelsius, Duration timeConstant, long seed) {

    public FleetSettings {
        if (interval.isNegative() || interval.isZero()) {
            throw new IllegalArgumentException("interval between reports: " + interval + ", must be more than zero");
        }
        if (promise.getSeconds() < 1 || promise.getNano() != 0) {
            throw new IllegalArgumentException("promise of the next report: " + promise + ", must be whole seconds, at least 1");
        }
        if (!(outsideCelsius >= -60 && outsideCelsius <= 60)) {
            throw new IllegalArgumentException("outside temperature: " + outsideCelsius + " °C, must be -60 to 60");
        }
        if (timeConstant.isNegative() || timeConstant.isZero()) {
            throw new IllegalArgumentException("time constant of the cabinet: " + timeConstant + ", must be more than zero");
        }
    }

    /** A report every 30 s, promised for as long; −2 °C outside; a cabinet with 20 mm of foam (2.8 h). */
    public static FleetSettings usual() {
        return new FleetSettings(Duration.ofSeconds(30), Duration.ofSeconds(30), -2, Duration.ofMinutes(168), 1);
    }

    /** The same with another interval; the promise becomes the interval, rounded up to whole seconds. */
    public FleetSettings reportingEvery(Duration newInterval) {
        long seconds = newInterval.getNano() == 0 ? newInterval.getSeconds() : newInterval.getSeconds() + 1;
        return new FleetSettings(newInterval, Duration.ofSeconds(seconds), outsideCelsius, timeConstant, seed);
    }

    public FleetSettings promising(Duration newPromise) {
        return new FleetSettings(interval, newPromise, outsideCelsius, timeConstant, seed);
    }

    public FleetSettings outside(double celsius) {
        return new FleetSettings(interval, promise, celsius, timeConstant, seed);
    }

    public FleetSettings coolingWith(Duration newTimeConstant) {
        return new FleetSettings(interval, promise, outsideCelsius, newTimeConstant, seed);
    }

    public FleetSettings seeded(long newSeed) {
        return new FleetSettings(interval, promise, outsideCelsius, timeConstant, newSeed);
    }
}
