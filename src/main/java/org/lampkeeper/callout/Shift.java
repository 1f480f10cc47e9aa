package org.lampkeeper.callout;

import java.time.DayOfWeek;
import java.time.Instant;
import java.time.LocalDate;
import java.time.LocalTime;
import java.time.ZoneId;
import java.time.temporal.ChronoUnit;
import java.time.temporal.TemporalAdjusters;
import java.util.EnumSet;
import java.util.Optional;
import java.util.OptionalLong;
import java.util.Set;

/**
 * A duty that comes again every week, or every few weeks, on the clocks of its site.
 *
 * @param personId   who is on; empty for a shift that is planned and that nobody has taken yet
 * @param days       on which it begins; at least one
 * @param to         where it is not after {@code from} the shift ends on the following day; the same as {@code from} is a whole day
 * @param everyWeeks 1 for every week; else counted from the week, Monday to Sunday, of {@code validFrom}
 * @param validFrom  the first day on which it may begin
 * @param validUntil the last day on which it may begin, included; empty for until further notice
 */
public record Shift(long id, DutyRole role, OptionalLong personId, Set<DayOfWeek> days, LocalTime from, LocalTime to, int everyWeeks,
        LocalDate validFrom, Optional<LocalDate> validUntil) {

    /** Ours: a year's turn among people is the longest cycle that anybody could keep in mind. */
    public static final int MOST_WEEKS = 52;

    public Shift {
        days = Set.copyOf(days);
        if (days.isEmpty()) {
            throw new IllegalArgumentException("shift " + id + ": no weekday, must begin on one at least");
        }
        if (everyWeeks < 1 || everyWeeks > MOST_WEEKS) {
            throw new IllegalArgumentException("shift " + id + ": every " + everyWeeks + " weeks, must be 1 to " + MOST_WEEKS);
        }
        if (validUntil.isPresent() && validUntil.get().isBefore(validFrom)) {
            throw new IllegalArgumentException("shift " + id + ": valid until " + validUntil.get() + ", must not be before " + validFrom);
        }
    }

    /** Weekdays as one number, as a row keeps them: bit 0 is Monday. */
    public static int bits(Set<DayOfWeek> days) {
        return days.stream().mapToInt(day -> 1 << day.ordinal()).sum();
    }

    /** The weekdays of such a number. */
    public static Set<DayOfWeek> days(int bits) {
        Set<DayOfWeek> days = EnumSet.noneOf(DayOfWeek.class);
        for (DayOfWeek day : DayOfWeek.values()) {
            if ((bits & 1 << day.ordinal()) != 0) {
                days.add(day);
            }
        }
        return days;
    }

    /** Whether one begins on this day of the site's calendar. */
    public boolean beginsOn(LocalDate day) {
        if (day.isBefore(validFrom) || validUntil.filter(day::isAfter).isPresent() || !days.contains(day.getDayOfWeek())) {
            return false;
        }
        return ChronoUnit.WEEKS.between(monday(validFrom), monday(day)) % everyWeeks == 0;
    }

    /** When the one of this day begins. A time that the clocks leave out is put off by the gap, one that comes twice is the first. */
    Instant begin(LocalDate day, ZoneId zone) {
        return day.atTime(from).atZone(zone).toInstant();
    }

    /** When the one of this day ends, by the same rule, so that where one shift ends and another begins no moment is lost. */
    Instant end(LocalDate day, ZoneId zone) {
        return (to.isAfter(from) ? day : day.plusDays(1)).atTime(to).atZone(zone).toInstant();
    }

    private static LocalDate monday(LocalDate day) {
        return day.with(TemporalAdjusters.previousOrSame(DayOfWeek.MONDAY));
    }
}
