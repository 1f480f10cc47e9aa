package org.lampkeeper.report;

import java.io.ByteArrayInputStream;
import java.nio.charset.StandardCharsets;
import java.time.Instant;
import java.util.List;

import net.fortuna.ical4j.data.CalendarBuilder;
import net.fortuna.ical4j.model.Calendar;
import net.fortuna.ical4j.model.Component;
import net.fortuna.ical4j.model.component.VEvent;
import org.junit.jupiter.api.Test;

import org.lampkeeper.report.CalendarFile.Duty;

import static org.assertj.core.api.Assertions.assertThat;

/** Against RFC 5545: by the library's parser and validator, and by hand where those are lenient. */
class CalendarFileTest {

    private static final Instant NOW = Instant.parse("2026-11-25T12:00:00Z");
    private static final String HOSTILE = "Quay; gate, north\\south\nEND:VCALENDAR\r\nÄÖÜ ä⚓ " + "wind and wåves ".repeat(20).strip();

    private final byte[] file = CalendarFile.of(List.of(
            new Duty("shift-7-2026-11-25@lampkeeper.example", Instant.parse("2026-11-25T22:00:00Z"), Instant.parse("2026-11-26T06:00:00Z"),
                    "On duty: duty manager, Hallow Water", HOSTILE, HOSTILE),
            new Duty("shift-7-2026-11-26@lampkeeper.example", Instant.parse("2026-11-26T22:00:00Z"), Instant.parse("2026-11-27T06:00:00Z"),
                    "On duty: duty manager, Hallow Water", "Quay 1", "stand-in")), NOW);
    private final String text = new String(file, StandardCharsets.UTF_8);

    @Test
    void whatWasWrittenIsReadBackByTheLibraryAndValid() throws Exception {
        Calendar read = new CalendarBuilder().build(new ByteArrayInputStream(file));

        assertThat(read.validate(true).hasErrors()).isFalse();
        List<VEvent> events = read.getComponents(Component.VEVENT);
        assertThat(events).hasSize(2);
        assertThat(events.get(0).getUid().orElseThrow().getValue()).isEqualTo("shift-7-2026-11-25@lampkeeper.example");
        assertThat(events.get(0).getDateTimeStart().orElseThrow().getValue()).isEqualTo("20261125T220000Z");
        assertThat(events.get(0).getDateTimeEnd().orElseThrow().getValue()).isEqualTo("20261126T060000Z");
        assertThat(events.get(0).getDateTimeStamp().orElseThrow().getValue()).isEqualTo("20261125T120000Z");
        assertThat(events.get(0).getLocation().orElseThrow().getValue().replace("\r\n", "\n")).isEqualTo(HOSTILE.replace("\r\n", "\n"));
        assertThat(events.get(1).getDescription().orElseThrow().getValue()).isEqualTo("stand-in");
    }

    /** 3.1: lines end with CRLF, and have at most 75 octets before it; a folded one goes on after one space. */
    @Test
    void linesEndAndFoldAsTheStandardSays() {
        assertThat(text).endsWith("END:VCALENDAR\r\n").doesNotContainPattern("[^\r]\n").doesNotContainPattern("\r[^\n]");
        assertThat(text.split("\r\n")).allSatisfy(line -> assertThat(line.getBytes(StandardCharsets.UTF_8).length).isBetween(1, 75));
        assertThat(text.split("\r\n")).anyMatch(line -> line.startsWith(" "));
        assertThat(text.replace("\r\n ", "").split("\r\n")).allMatch(line -> line.matches("[A-Z-]+[:;].*"));
    }

    /** 3.3.11: a semicolon, a comma, a backslash and the end of a line are escaped, so that text cannot end the calendar. */
    @Test
    void textIsEscaped() {
        assertThat(text.replace("\r\n ", "")).contains("Quay\\; gate\\, north\\\\south\\nEND:VCALENDAR");
        assertThat(text.split("\r\n")).filteredOn("END:VCALENDAR"::equals).hasSize(1);
    }

    /** 3.6: version and product come first, once each. */
    @Test
    void headSaysWhatItIs() {
        assertThat(text.split("\r\n")).startsWith("BEGIN:VCALENDAR").containsOnlyOnce("VERSION:2.0", "PRODID:-//Lampkeeper//Duty//EN", "CALSCALE:GREGORIAN");
    }

    @Test
    void somebodyWithoutDutyHasAnEmptyCalendar() throws Exception {
        Calendar read = new CalendarBuilder().build(new ByteArrayInputStream(CalendarFile.of(List.of(), NOW)));

        assertThat(read.getComponents()).isEmpty();
    }
}
