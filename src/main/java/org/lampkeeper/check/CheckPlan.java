package org.lampkeeper.check;

import java.time.Duration;
import java.time.Instant;
import java.time.LocalDate;
import java.time.LocalTime;
import java.time.ZoneId;
import java.time.ZonedDateTime;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.TreeMap;
import java.util.function.Predicate;

/**
 * How often a cabinet is to be looked at, and between which times of the day.
 *
 * @param opens      on the wall clock of the site
 * @param closes     likewise; not after {@code opens}: of the day after
 * @param grace      how long after closing it is missed; 0 to 12 hours
 * @param whenClosed what becomes of it on a closed day
 */
public record CheckPlan(CheckKind kind, Recurrence recurrence, LocalTime opens, LocalTime closes, Duration grace, WhenClosed whenClosed) {

    /** Ours: whoever has not looked half a day later has not looked. */
    public static final Duration LONGEST_GRACE = Duration.ofHours(12);

    // Ours: a site that is closed for longer has no next open day worth waiting for.
    private static final int FARTHEST_MOVE = 60;

    /** @throws IllegalArgumentException when the grace is out of range */
    public CheckPlan {
        if (grace.isNegative() || grace.compareTo(LONGEST_GRACE) > 0) {
            throw new IllegalArgumentException("grace of a check is " + grace + ", must be 0 to " + LONGEST_GRACE.toHours() + " hours");
        }
    }

    /**
     * What is due on the days from {@code from} (included) to {@code until} (excluded), a day at most once, in order.
     *
     * @param isClosed of a day at the site
     */
    public List<CheckDue> due(ZoneId zone, Predicate<LocalDate> isClosed, LocalDate from, LocalDate until) {
        Map<LocalDate, CheckDue> due = new TreeMap<>();
        // What moves comes from before.
        LocalDate earliest = whenClosed == WhenClosed.MOVE ? from.minusDays(FARTHEST_MOVE) : from;
        for (ZonedDateTime start : recurrence.starts(opens, zone, earliest, until)) {
            LocalDate planned = start.toLocalDate();
            boolean closed = isClosed.test(planned);
            if (!closed || whenClosed == WhenClosed.SOMEBODY_ELSE) {
                due.put(planned, on(planned, zone, closed));
            } else if (whenClosed == WhenClosed.MOVE) {
                nextOpen(planned, isClosed, zone).forEach(day -> due.putIfAbsent(day, on(day, zone, false)));
            }
        }
        return due.values().stream().filter(each -> !each.day().isBefore(from) && each.day().isBefore(until)).toList();
    }

    private List<LocalDate> nextOpen(LocalDate closed, Predicate<LocalDate> isClosed, ZoneId zone) {
        List<LocalDate> found = new ArrayList<>();
        for (int ahead = 1; ahead <= FARTHEST_MOVE && found.isEmpty(); ahead++) {
            LocalDate day = closed.plusDays(ahead);
            if (!isClosed.test(day) && ZonedDateTime.of(day.atStartOfDay(), zone).toLocalDate().equals(day)) {
                found.add(day);
            }
        }
        return found;
    }

    private CheckDue on(LocalDate day, ZoneId zone, boolean bySomebodyElse) {
        LocalDate closingDay = closes.isAfter(opens) ? day : day.plusDays(1);
        Duration onTheWall = Duration.between(day.atTime(opens), closingDay.atTime(closes));
        Instant from = ZonedDateTime.of(day.atTime(opens), zone).toInstant();
        Instant to = ZonedDateTime.of(closingDay.atTime(closes), zone).toInstant();
        // Where the opening falls into the hour that the clocks leave out, it may have moved behind the closing.
        Instant end = to.isAfter(from) ? to : from.plus(onTheWall);
        return new CheckDue(day, from, end, end.plus(grace), bySomebodyElse);
    }
}
