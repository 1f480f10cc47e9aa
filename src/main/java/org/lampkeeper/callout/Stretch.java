package org.lampkeeper.callout;

import java.time.Instant;
import java.time.LocalDate;

/**
 * One person is on, without a break.
 *
 * @param day   on which the shift begins, on the clocks of the site
 * @param part  0, or higher for what is left of a shift after an absence in the middle of it
 * @param until excluded
 */
public record Stretch(long shiftId, LocalDate day, int part, DutyRole role, long personId, boolean isStandIn, Instant from, Instant until) {

    /** Whether they are on at this moment. */
    public boolean holds(Instant moment) {
        return !moment.isBefore(from) && moment.isBefore(until);
    }
}
