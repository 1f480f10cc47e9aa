package org.lampkeeper.report;

import java.time.ZoneId;
import java.util.List;
import java.util.Map;
import java.util.Optional;

import org.lampkeeper.journal.Head;
import org.lampkeeper.journal.JournalExtract.Line;
import org.lampkeeper.journal.JournalExtract.Told;

/**
 * What there is about one cabinet in a stretch of time, for whoever has to show afterwards what happened.
 *
 * @param entries  what the journal has about the cabinet, its site and the listening in this time, in the order of the chain
 * @param tables   what was measured, answered, told and done, as rows; times in them are ISO 8601 in UTC
 * @param names    the people behind the references that occur; those who were erased are missing
 * @param photos   by the SHA-256 that the journal has of them
 * @param handover the hand-over record that was signed last before the end of this time
 */
public record Evidence(Cabinet cabinet, Span span, List<Line> entries, Map<Part, Table> tables, Map<String, String> names, Map<String, byte[]> photos,
        Optional<Signed> handover, Stretch chain) {

    public Evidence {
        entries = List.copyOf(entries);
        tables = Map.copyOf(tables);
        names = Map.copyOf(names);
        photos = Map.copyOf(photos);
    }

    public record Cabinet(long id, String code, String name, long siteId, String site, ZoneId zone) {
    }

    /** What a table is about; the file is named after it. */
    public enum Part {
        THEN("record", "What was registered when it began"), ALARMS("alarms", "Alarms"), MESSAGES("messages", "Who was told"), LOOKS("looks", "Looks"),
        ATTENDANCE("attendance", "What was done"), UNFIT("unfit", "When it was not fit for use"), TEMPERATURES("temperatures", "What was measured"), CLOCK("clock", "How far Lampkeeper’s clock was off");

        private final String file;
        private final String heading;

        Part(String file, String heading) {
            this.file = file;
            this.heading = heading;
        }

        public String file() {
            return file;
        }

        public String heading() {
            return heading;
        }
    }

    /** {@code columns} in the order of the cells of each row; a cell of nothing is empty. */
    public record Table(List<String> columns, List<List<String>> rows) {

        public Table {
            columns = List.copyOf(columns);
            rows = rows.stream().map(List::copyOf).toList();
        }
    }

    /** @param document as both signed it; {@code fingerprint} is its SHA-256 */
    public record Signed(String document, String fingerprint) {
    }

    /**
     * The stretch of the journal's chain that the entries stand in, from one head that left with a mail to the next.
     *
     * @param from   the head before its first entry; of the empty journal where no mail had left before
     * @param until  its last head
     * @param before the mail that {@code from} left with; empty where it is the beginning of the journal
     * @param after  the mail that {@code until} left with; empty while none has
     * @param lines  every entry as a line of JSON; what is not about this cabinet only as its digest
     * @param broken the first place that does not follow from what is before it; empty when all do
     */
    public record Stretch(Head from, Head until, Optional<Told> before, Optional<Told> after, String lines, Optional<Long> broken) {
    }
}
