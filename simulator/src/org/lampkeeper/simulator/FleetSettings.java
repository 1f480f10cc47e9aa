package org.lampkeeper.simulator;

import java.time.Duration;
import java.util.Optional;

/**
 * How every sensor of a fleet behaves when nothing is wrong.
 *
 * @param interval       between two reports; more than zero
 * @param promise        what each report says about the next ({@code ut}); a whole number of seconds, at least 1
 * @param outsideCelsius the air outside the cabinets, −60 to 60 °C
 * @param timeConstant   with which an unheated cabinet cools towards the outside; more than zero
 * @param content        for sensors that measure the content beside the air; empty for the others
 * @param noise          by how much a reading is off, K: the standard deviation, 0 to 5
 * @param seed           of all chance: the same seed, sensors and faults give the same reports at the same offsets
 */
public record FleetSettings(Duration interval, Duration promise, double outsideCelsius, Duration timeConstant, Optional<HeatedCabinet.Content> content,
        double noise, long seed) {

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
        if (!(noise >= 0 && noise <= 5)) {
            throw new IllegalArgumentException("noise of a reading: " + noise + " K, must be 0 to 5");
        }
    }

    /** A report every 30 s, promised for as long; −2 °C outside; a cabinet with 20 mm of foam (2.8 h), its air measured to 0.05 K. */
    public static FleetSettings usual() {
        return new FleetSettings(Duration.ofSeconds(30), Duration.ofSeconds(30), -2, Duration.ofMinutes(168), Optional.empty(), 0.05, 1);
    }

    /** The same with another interval; the promise becomes the interval, rounded up to whole seconds. */
    public FleetSettings reportingEvery(Duration newInterval) {
        long seconds = newInterval.getNano() == 0 ? newInterval.getSeconds() : newInterval.getSeconds() + 1;
        return new FleetSettings(newInterval, Duration.ofSeconds(seconds), outsideCelsius, timeConstant, content, noise, seed);
    }

    public FleetSettings promising(Duration newPromise) {
        return new FleetSettings(interval, newPromise, outsideCelsius, timeConstant, content, noise, seed);
    }

    public FleetSettings outside(double celsius) {
        return new FleetSettings(interval, promise, celsius, timeConstant, content, noise, seed);
    }

    public FleetSettings coolingWith(Duration newTimeConstant) {
        return new FleetSettings(interval, promise, outsideCelsius, newTimeConstant, content, noise, seed);
    }

    public FleetSettings seeded(long newSeed) {
        return new FleetSettings(interval, promise, outsideCelsius, timeConstant, content, noise, newSeed);
    }

    /** Sensors that measure the content too. */
    public FleetSettings measuring(HeatedCabinet.Content newContent) {
        return new FleetSettings(interval, promise, outsideCelsius, timeConstant, Optional.of(newContent), noise, seed);
    }

    public FleetSettings offBy(double newNoise) {
        return new FleetSettings(interval, promise, outsideCelsius, timeConstant, content, newNoise, seed);
    }
}
