package org.lampkeeper.report;

import java.time.Instant;
import java.time.ZoneId;
import java.time.format.DateTimeFormatter;
import java.util.Locale;

import org.lampkeeper.report.UnfitRecord.Reason;
import org.lampkeeper.report.UnfitRecord.Stretch;

/** What was not fit for use, in words. */
public final class UnfitWords {

    /** What is said where nothing is on record. */
    public static final String NOTHING = "Nothing is on record as not fit for use. That is no word about what nobody measured or looked at.";

    private static final DateTimeFormatter AT = DateTimeFormatter.ofPattern("d MMM uuuu HH:mm", Locale.ENGLISH);

    private UnfitWords() {
    }

    /** From when to when, for how long of the time that was asked for, and why; on the clocks of the site. */
    public static String of(Stretch stretch, ZoneId zone) {
        String end = stretch.ended().map(at -> " until " + at(at, zone)).orElse(" on, " + stillOn(stretch.reason()));
        boolean isPartOf = stretch.began().isBefore(stretch.within().from()) || stretch.ended().filter(at -> at.isAfter(stretch.within().until())).isPresent();
        return "From " + at(stretch.began(), zone) + end + (isPartOf ? ", of which in this time " : ", ") + Lengths.words(stretch.within().length()) + ": " + stretch.reason().words()
                + (stretch.because().isEmpty() ? "." : " (" + stretch.because() + ").");
    }

    private static String stillOn(Reason reason) {
        return switch (reason) {
            case OUT_OF_USE -> "it still is";
            case OUT_OF_DATE -> "it has not been replaced since";
            case DAMAGED -> "nobody has found it well since";
            case TOO_COLD, TOO_HOT, WITHOUT_SUPPLY_TOO_LONG, SAID_NOT_FIT -> "nobody has said since that it is fit";
        };
    }

    private static String at(Instant moment, ZoneId zone) {
        return AT.format(moment.atZone(zone));
    }
}
