package org.lampkeeper.register;

import java.time.DayOfWeek;
import java.time.LocalDate;
import java.time.LocalTime;
import java.util.List;
import java.util.Optional;
import java.util.OptionalLong;
import java.util.Set;

import org.lampkeeper.callout.DutyRole;
import org.lampkeeper.callout.Shift;

/**
 * A shift as entered. Times are those of the wall clock of the site, to the minute.
 *
 * @param personId   empty where nobody has taken it yet
 * @param to         where it is not after {@code from}, on the following day
 * @param everyWeeks 1 to {@value Shift#MOST_WEEKS}
 * @param validUntil the last day on which it begins
 */
public record NewShift(long siteId, DutyRole role, OptionalLong personId, Set<DayOfWeek> days, LocalTime from, LocalTime to, int everyWeeks,
        LocalDate validFrom, Optional<LocalDate> validUntil) {

    public NewShift {
        days = Set.copyOf(days);
    }

    /** Empty when it can be registered. */
    public List<Problem> problems() {
        return new Problems()
                .must("days", !days.isEmpty(), "no weekday is chosen, must begin on one at least")
                .must("from", isMinute(from), "begins at " + from + ", must be a whole minute")
                .must("to", isMinute(to), "ends at " + to + ", must be a whole minute")
                .range("everyWeeks", "comes again every", everyWeeks, 1, Shift.MOST_WEEKS, "weeks")
                .must("validUntil", validUntil.filter(validFrom::isAfter).isEmpty(), "the last day is before the first, " + validFrom)
                .list();
    }

    private static boolean isMinute(LocalTime time) {
        return time.toNanoOfDay() % 60_000_000_000L == 0;
    }
}
