package org.lampkeeper.supply;

import java.time.Duration;
import java.time.Instant;
import java.util.OptionalLong;
import java.util.Set;

/**
 * One moment of one sensor, read and dated.
 *
 * @param supplied   whether at least the sensor's threshold voltage was present
 * @param observedAt when, as far as can be told; the receive time where the sensor's own cannot be used
 * @param seq        the sensor's counter, which orders reports of the same moment
 * @param nextWithin the sensor's promise of its next report; more than zero
 * @param doubts     what is odd about {@code observedAt}; empty for a clean report
 */
public record Report(boolean supplied, Instant observedAt, OptionalLong seq, Duration nextWithin, Set<Doubt> doubts) {

    public Report {
        if (nextWithin.isNegative() || nextWithin.isZero()) {
            throw new IllegalArgumentException("promise of the next report: " + nextWithin + ", must be more than zero");
        }
        doubts = Set.copyOf(doubts);
    }

    /** Whether nothing is odd about its time. */
    public boolean isClean() {
        return doubts.isEmpty();
    }

    /** Whether it can be told how long ago this was; false for a report that may have waited somewhere. */
    public boolean isAgeKnown() {
        return !doubts.contains(Doubt.AGE_NOT_KNOWN);
    }
}
