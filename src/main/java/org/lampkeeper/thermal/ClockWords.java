package org.lampkeeper.thermal;

import java.time.Duration;
import java.time.Instant;
import java.time.ZoneId;
import java.time.ZonedDateTime;
import java.time.format.DateTimeFormatter;
import java.util.Locale;

/** Moments of a forecast on the clocks of the site, seen from {@code now}. */
record ClockWords(ZoneId zone, Instant now) {

    // English, so that a month reads the same whatever the server's own language is.
    private static final DateTimeFormatter TIME = DateTimeFormatter.ofPattern("HH:mm", Locale.ENGLISH);
    private static final DateTimeFormatter TWICE = DateTimeFormatter.ofPattern("HH:mm zzz", Locale.ENGLISH);
    private static final DateTimeFormatter DAY = DateTimeFormatter.ofPattern("d MMM", Locale.ENGLISH);

    /** Ours: a minute would claim more than a forecast knows. */
    private static final long STEP = Duration.ofMinutes(5).toSeconds();

    /** Ours: what is so near needs no date, also over midnight. */
    private static final Duration NEAR = Duration.ofHours(12);

    String exact(Instant at) {
        return said(at);
    }

    /** Cut off, so that nobody comes too late. */
    String early(Instant at) {
        return said(down(at));
    }

    String late(Instant at) {
        return said(up(at));
    }

    /** Without the date where {@code early} has the same. */
    String lateAfter(Instant early, Instant at) {
        return down(early).atZone(zone).toLocalDate().equals(up(at).atZone(zone).toLocalDate()) ? time(up(at).atZone(zone)) : late(at);
    }

    static Instant down(Instant at) {
        return Instant.ofEpochSecond(Math.floorDiv(at.getEpochSecond(), STEP) * STEP);
    }

    private static Instant up(Instant at) {
        Instant down = down(at);
        return down.equals(at) ? at : down.plusSeconds(STEP);
    }

    private String said(Instant at) {
        ZonedDateTime local = at.atZone(zone);
        boolean isNear = Duration.between(now, at).abs().compareTo(NEAR) < 0 || local.toLocalDate().equals(now.atZone(zone).toLocalDate());
        return isNear ? time(local) : DAY.format(local) + " " + time(local);
    }

    /** With the zone's short name in the hour that comes twice when the clocks go back. */
    private String time(ZonedDateTime local) {
        return (zone.getRules().getValidOffsets(local.toLocalDateTime()).size() > 1 ? TWICE : TIME).format(local);
    }
}
