package org.lampkeeper.web;

import java.time.Instant;
import java.time.ZoneId;
import java.util.ArrayList;
import java.util.List;

import org.lampkeeper.alarm.Attendance;
import org.lampkeeper.alarm.Sentences;

/** An attendance record as it is read: only what was said. */
final class AttendanceWords {

    private AttendanceWords() {
    }

    record Line(String name, String value) {
    }

    static List<Line> lines(Attendance said, ZoneId zone, Instant now) {
        List<Line> lines = new ArrayList<>();
        said.arrivedAt().ifPresent(at -> lines.add(new Line("Arrived", Sentences.clock(at, zone, now))));
        said.cause().ifPresent(cause -> lines.add(new Line("Cause", cause.text())));
        add(lines, "Done", said.done());
        said.fuseFittedAmpere().ifPresent(ampere -> lines.add(new Line("Fuse fitted", ampere + " A")));
        add(lines, "Tested afterwards by", said.retestedBy().isBlank() ? ""
                : said.retestedBy() + (said.retesterCompetent() ? ", a competent person" : ", not said whether competent"));
        said.content().ifPresent(content -> lines.add(new Line("Content",
                content.words() + (said.contentMovedTo().isBlank() ? "" : ": " + said.contentMovedTo()))));
        if (said.peopleTold()) {
            lines.add(new Line("Those who rely on it", "told"));
        }
        said.fit().ifPresent(fit -> lines.add(new Line("Fit for use again", fit.words())));
        add(lines, "Why there is no record", said.noneBecause());
        return List.copyOf(lines);
    }

    private static void add(List<Line> lines, String name, String value) {
        if (!value.isBlank()) {
            lines.add(new Line(name, value));
        }
    }
}
