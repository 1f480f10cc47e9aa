package org.lampkeeper.simulator;

import java.time.Duration;

/**
 * One fault of a play.
 *
 * @param offset   from the start of the play; zero or more
 * @param duration more than zero
 */
public record PlannedFault(Duration offset, String deviceId, Fault fault, Duration duration) {

    public PlannedFault {
        if (offset.isNegative()) {
            throw new IllegalArgumentException(fault.word() + " at " + deviceId + ": offset " + offset + ", must be zero or more");
        }
        if (duration.isNegative() || duration.isZero()) {
            throw new IllegalArgumentException(fault.word() + " at " + deviceId + ": duration " + duration + ", must be more than zero");
        }
    }
}
