package org.lampkeeper.report;

import java.time.Duration;

/** A length of time in words, to the two largest units that it has: a report is not read to the second. */
public final class Lengths {

    private static final int SECONDS_A_MINUTE = 60;
    private static final int MINUTES_AN_HOUR = 60;
    private static final int HOURS_A_DAY = 24;

    private Lengths() {
    }

    /** "40 s", "12 min", "3 h 20 min", "2 d 4 h"; rounded down. {@code length}: zero or more. */
    public static String words(Duration length) {
        long seconds = length.getSeconds();
        if (seconds < SECONDS_A_MINUTE) {
            return seconds + " s";
        }
        long minutes = seconds / SECONDS_A_MINUTE;
        if (minutes < MINUTES_AN_HOUR) {
            return two(minutes, "min", seconds % SECONDS_A_MINUTE, "s");
        }
        long hours = minutes / MINUTES_AN_HOUR;
        return hours < HOURS_A_DAY ? two(hours, "h", minutes % MINUTES_AN_HOUR, "min") : two(hours / HOURS_A_DAY, "d", hours % HOURS_A_DAY, "h");
    }

    private static String two(long large, String largeUnit, long small, String smallUnit) {
        return large + " " + largeUnit + (small == 0 ? "" : " " + small + " " + smallUnit);
    }
}
