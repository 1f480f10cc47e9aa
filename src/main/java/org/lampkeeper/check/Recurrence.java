package org.lampkeeper.check;

import java.time.Instant;
import java.time.LocalDate;
import java.time.LocalDateTime;
import java.time.LocalTime;
import java.time.ZoneId;
import java.time.ZoneOffset;
import java.time.ZonedDateTime;
import java.util.ArrayList;
import java.util.EnumSet;
import java.util.List;
import java.util.Set;
import java.util.stream.Stream;

import org.dmfs.rfc5545.DateTime;
import org.dmfs.rfc5545.recur.Freq;
import org.dmfs.rfc5545.recur.InvalidRecurrenceRuleException;
import org.dmfs.rfc5545.recur.RecurrenceRule;
import org.dmfs.rfc5545.recur.RecurrenceRule.Part;
import org.dmfs.rfc5545.recur.RecurrenceRule.RfcMode;
import org.dmfs.rfc5545.recur.RecurrenceRuleIterator;

/**
 * On which days something comes round: a recurrence rule of RFC 5545, counted from a first day. At most once a day; the time of day is
 * given when it is asked for, and stays the same on the wall clock whatever the clocks do.
 *
 * <pre>{@code
 * new Recurrence("FREQ=WEEKLY;BYDAY=MO,FR", LocalDate.of(2026, 11, 2)).starts(LocalTime.of(9, 0), london, from, until)
 * }</pre>
 *
 * @param rule  as in an iCalendar file, without {@code RRULE:}; of whole days only
 * @param first the day of DTSTART
 */
public record Recurrence(String rule, LocalDate first) {

    private static final Set<Freq> OF_DAYS = EnumSet.of(Freq.DAILY, Freq.WEEKLY, Freq.MONTHLY, Freq.YEARLY);

    // Ours: more than any form writes; what is longer was not meant for a rule.
    private static final int LONGEST = 200;

    /** @throws IllegalArgumentException for what is no such rule; the message says why, and what would be one */
    public Recurrence {
        parsed(rule);
    }

    /** Every day from {@code first}. */
    public static Recurrence daily(LocalDate first) {
        return new Recurrence("FREQ=DAILY", first);
    }

    /**
     * The starts on days from {@code from} (included) to {@code until} (excluded), in order. RFC 5545 §3.3.5: a time that the clocks leave
     * out is as much later as they were put forward; of one that comes twice it is the first. A day that a zone leaves out whole has none.
     *
     * @param at of the day, on the clocks of {@code zone}
     */
    public List<ZonedDateTime> starts(LocalTime at, ZoneId zone, LocalDate from, LocalDate until) {
        List<ZonedDateTime> starts = new ArrayList<>();
        RecurrenceRule parsed = parsed(rule);
        DateTime last = parsed.getUntil();
        if (last != null) {
            parsed.setUntil(onTheWall(last, at, zone));
        }
        RecurrenceRuleIterator days = parsed.iterator(floating(first.atTime(at)));
        // With a COUNT every one from the first has to be counted.
        if (from.isAfter(first) && parsed.getCount() == null) {
            days.fastForward(floating(from.atStartOfDay()));
        }
        while (days.hasNext()) {
            DateTime next = days.nextDateTime();
            LocalDate day = LocalDate.of(next.getYear(), next.getMonth() + 1, next.getDayOfMonth());
            if (!day.isBefore(until)) {
                break;
            }
            if (!day.isBefore(from) && ZonedDateTime.of(day.atStartOfDay(), zone).toLocalDate().equals(day)) {
                starts.add(ZonedDateTime.of(day.atTime(at), zone));
            }
        }
        return starts;
    }

    /** The days alone. */
    public List<LocalDate> days(LocalDate from, LocalDate until) {
        return starts(LocalTime.NOON, ZoneOffset.UTC, from, until).stream().map(ZonedDateTime::toLocalDate).toList();
    }

    /** UNTIL may be a date, a time on the wall clock or one in UTC; the first includes its day. */
    private static DateTime onTheWall(DateTime until, LocalTime at, ZoneId zone) {
        LocalDate day = LocalDate.of(until.getYear(), until.getMonth() + 1, until.getDayOfMonth());
        if (until.isAllDay()) {
            return floating(day.atTime(at));
        }
        if (until.isFloating()) {
            return until;
        }
        return floating(LocalDateTime.ofInstant(Instant.ofEpochMilli(until.getTimestamp()), zone));
    }

    private static DateTime floating(LocalDateTime at) {
        return new DateTime(at.getYear(), at.getMonthValue() - 1, at.getDayOfMonth(), at.getHour(), at.getMinute(), at.getSecond());
    }

    private static RecurrenceRule parsed(String rule) {
        if (rule.length() > LONGEST) {
            throw new IllegalArgumentException("recurrence of " + rule.length() + " characters, must have at most " + LONGEST);
        }
        RecurrenceRule parsed;
        try {
            parsed = new RecurrenceRule(rule, RfcMode.RFC5545_STRICT);
        } catch (InvalidRecurrenceRuleException | IllegalArgumentException wrong) {
            throw new IllegalArgumentException("recurrence '" + rule + "' is no rule of RFC 5545 (" + wrong.getMessage()
                    + "), must be one such as FREQ=WEEKLY;BYDAY=MO", wrong);
        }
        // The library's parts can't be named before a rule was made: they are not a constant of this class for that.
        boolean isWithinADay = Stream.of(Part.BYHOUR, Part.BYMINUTE, Part.BYSECOND).anyMatch(parsed::hasPart);
        if (isWithinADay || !OF_DAYS.contains(parsed.getFreq())) {
            throw new IllegalArgumentException("recurrence '" + rule + "' comes round more than once a day, must be of whole days: "
                    + "FREQ=DAILY, WEEKLY, MONTHLY or YEARLY without an hour, minute or second");
        }
        return parsed;
    }
}
