package org.lampkeeper.callout;

import java.time.Duration;

/**
 * One place on a call-out list.
 *
 * @param after how long after the turn before, or after the start for the first; zero (told together with the turn before) or more
 */
public record Turn(long personId, Duration after) {

    public Turn {
        if (after.isNegative()) {
            throw new IllegalArgumentException("turn of person " + personId + ": after " + after + ", must be zero or more");
        }
    }
}
