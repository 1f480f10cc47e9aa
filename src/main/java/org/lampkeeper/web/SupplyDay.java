package org.lampkeeper.web;

import java.time.Instant;
import java.time.format.DateTimeParseException;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.List;
import java.util.Optional;

import org.lampkeeper.supply.SensorState;
import org.lampkeeper.web.JournalReading.EntryRow;

/** When a cabinet was without supply, or nobody knew, as far as the journal tells. Looks at no clock and no database. */
final class SupplyDay {

    /** The entries that end such a time; each says when it began. */
    static final List<String> KINDS = List.of("supply-returned", "dip-ended", "sensor-heard-again");

    private SupplyDay() {
    }

    enum Kind {
        LOST, DIP, NOT_HEARD
    }

    /** {@code to} is empty for what is still so. */
    record Span(Kind kind, Instant from, Optional<Instant> to) {
    }

    /** The times that reach into the day after {@code since}, newest first. {@code state}: of the sensor now, for what has not ended. */
    static List<Span> of(List<EntryRow> entries, Optional<SensorState> state, Instant since) {
        List<Span> spans = new ArrayList<>();
        for (EntryRow entry : entries) {
            switch (entry.kind()) {
                case "supply-returned" -> add(spans, Kind.LOST, entry, "lost-since", "at");
                case "dip-ended" -> add(spans, Kind.DIP, entry, "from", "to");
                case "sensor-heard-again" -> add(spans, Kind.NOT_HEARD, entry, "quiet-since", "at");
                default -> {
                    // says nothing of how long
                }
            }
        }
        state.flatMap(it -> it.lostSince().or(it::suspectedAt)).ifPresent(at -> spans.add(new Span(Kind.LOST, at, Optional.empty())));
        state.flatMap(SensorState::quietSince).ifPresent(at -> spans.add(new Span(Kind.NOT_HEARD, at, Optional.empty())));
        return spans.stream().filter(span -> span.to().filter(end -> !end.isAfter(since)).isEmpty())
                .sorted(Comparator.comparing(Span::from).reversed()).toList();
    }

    private static void add(List<Span> spans, Kind kind, EntryRow entry, String from, String to) {
        Optional<Instant> begin = moment(entry, from);
        Optional<Instant> end = moment(entry, to);
        if (begin.isPresent() && end.isPresent()) {
            spans.add(new Span(kind, begin.get(), end));
        }
    }

    private static Optional<Instant> moment(EntryRow entry, String name) {
        try {
            return Optional.ofNullable(entry.facts().get(name)).map(Object::toString).map(Instant::parse);
        } catch (DateTimeParseException e) {
            // A body that was tampered with is for the journal's verification to find; here it says nothing.
            return Optional.empty();
        }
    }
}
