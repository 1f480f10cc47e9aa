package org.lampkeeper.report;

import java.nio.charset.StandardCharsets;
import java.time.Instant;
import java.time.LocalDate;
import java.util.List;

import net.fortuna.ical4j.model.Calendar;
import net.fortuna.ical4j.model.component.VEvent;
import net.fortuna.ical4j.model.property.CalScale;
import net.fortuna.ical4j.model.property.Description;
import net.fortuna.ical4j.model.property.DtEnd;
import net.fortuna.ical4j.model.property.DtStamp;
import net.fortuna.ical4j.model.property.DtStart;
import net.fortuna.ical4j.model.property.Location;
import net.fortuna.ical4j.model.property.ProdId;
import net.fortuna.ical4j.model.property.Summary;
import net.fortuna.ical4j.model.property.Uid;
import net.fortuna.ical4j.model.property.Version;

/**
 * Somebody's duty, or what is due at a site, as an iCalendar object (RFC 5545), for a calendar program that subscribes to it. Times are in UTC, so that no time zone
 * need be described: each is a moment that has been worked out already, by the clocks of its site.
 */
public final class CalendarFile {

    // RFC 5545, 3.1: a line should not be longer than 75 octets, without its end.
    private static final int LONGEST_LINE = 75;

    private CalendarFile() {
    }

    /**
     * One duty.
     *
     * @param uid   the same for the same duty in every file; a program knows by it what was changed
     * @param until excluded
     */
    public record Duty(String uid, Instant from, Instant until, String summary, String place, String description) {
    }

    /**
     * Something that is due on a day, wherever its reader is.
     *
     * @param uid the same for the same thing in every file
     */
    public record Due(String uid, LocalDate day, String summary, String place, String description) {
    }

    /** What is due, in UTF-8, a whole day each. {@code now} and what is thrown: as {@link #of}. */
    public static byte[] ofDays(List<Due> all, Instant now) {
        Calendar calendar = begun("-//Lampkeeper//Dates//EN");
        for (Due due : all) {
            VEvent event = new VEvent(false);
            event.add(new Uid(due.uid()));
            event.add(new DtStamp(now));
            event.add(new DtStart<>(due.day()));
            event.add(new DtEnd<>(due.day().plusDays(1)));
            event.add(new Summary(due.summary()));
            event.add(new Location(due.place()));
            event.add(new Description(due.description()));
            calendar.add(event);
        }
        return written(calendar, all.size());
    }

    /**
     * The file, in UTF-8.
     *
     * @param now when it is made
     * @throws IllegalStateException where the standard would be broken, which is a fault of ours
     */
    public static byte[] of(List<Duty> duties, Instant now) {
        Calendar calendar = begun("-//Lampkeeper//Duty//EN");
        for (Duty duty : duties) {
            VEvent event = new VEvent(false);
            event.add(new Uid(duty.uid()));
            event.add(new DtStamp(now));
            event.add(new DtStart<>(duty.from()));
            event.add(new DtEnd<>(duty.until()));
            event.add(new Summary(duty.summary()));
            event.add(new Location(duty.place()));
            event.add(new Description(duty.description()));
            calendar.add(event);
        }
        return written(calendar, duties.size());
    }

    private static Calendar begun(String product) {
        Calendar calendar = new Calendar();
        calendar.add(new ProdId(product));
        calendar.add(new Version(new net.fortuna.ical4j.model.ParameterList(), "2.0"));
        calendar.add(new CalScale("GREGORIAN"));
        return calendar;
    }

    private static byte[] written(Calendar calendar, int events) {
        // A component is required (RFC 5545, 3.6), and somebody who is on for nothing has none: their calendar is answered all the same.
        if (events > 0 && calendar.validate(true).hasErrors()) {
            throw new IllegalStateException("calendar of " + events + " events: " + calendar.validate(true));
        }
        return folded(calendar.toString()).getBytes(StandardCharsets.UTF_8);
    }

    /** The library counts characters; the standard counts octets, and a letter with an accent has two. No character is cut in two. */
    static String folded(String lines) {
        StringBuilder folded = new StringBuilder(lines.length() + 64);
        int octets = 0;
        int i = 0;
        while (i < lines.length()) {
            int point = lines.codePointAt(i);
            i += Character.charCount(point);
            if (point == '\r' || point == '\n') {
                octets = 0;
                folded.appendCodePoint(point);
                continue;
            }
            int more = Character.toString(point).getBytes(StandardCharsets.UTF_8).length;
            if (octets + more > LONGEST_LINE) {
                folded.append("\r\n ");
                octets = 1;
            }
            octets += more;
            folded.appendCodePoint(point);
        }
        return folded.toString();
    }
}
