package org.lampkeeper.callout;

import java.time.LocalDate;

/**
 * Somebody does a shift instead of whoever it belongs to, each time that it begins on one of these days.
 *
 * @param until the last day, included
 */
public record StandIn(long id, long shiftId, long personId, LocalDate from, LocalDate until) {

    public StandIn {
        if (until.isBefore(from)) {
            throw new IllegalArgumentException("stand-in " + id + ": until " + until + ", must not be before " + from);
        }
    }

    boolean covers(LocalDate day) {
        return !day.isBefore(from) && !day.isAfter(until);
    }
}
