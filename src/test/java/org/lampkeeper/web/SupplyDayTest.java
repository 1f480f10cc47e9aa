package org.lampkeeper.web;

import java.time.Instant;
import java.time.ZoneOffset;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalLong;

import org.junit.jupiter.api.Test;

import org.lampkeeper.supply.Reading;
import org.lampkeeper.supply.SensorState;
import org.lampkeeper.web.JournalReading.EntryRow;
import org.lampkeeper.web.SupplyDay.Kind;
import org.lampkeeper.web.SupplyDay.Span;

import static org.assertj.core.api.Assertions.assertThat;

class SupplyDayTest {

    private static final Instant NOW = Instant.parse("2026-11-25T12:00:00Z");
    private static final Instant SINCE = NOW.minusSeconds(86_400);

    @Test
    void whatEndedSaysWhenItBegan() {
        assertThat(day(Optional.empty(), entry("supply-returned", "lost-since", 7200, "at", 3600), entry("dip-ended", "from", 10_000, "to", 9_990),
                entry("sensor-heard-again", "quiet-since", 20_000, "at", 19_000)))
                .containsExactly(span(Kind.LOST, 7200, 3600), span(Kind.DIP, 10_000, 9_990), span(Kind.NOT_HEARD, 20_000, 19_000));
    }

    @Test
    void whatHasNotEndedGoesOnUntilNow() {
        SensorState lost = new SensorState(Reading.UNKNOWN, Optional.of(NOW), OptionalLong.empty(), Optional.empty(), Optional.empty(),
                Optional.empty(), Optional.of(NOW.minusSeconds(600)), Optional.of(NOW.minusSeconds(60)), true, false, false, 0, Optional.empty());

        assertThat(day(Optional.of(lost))).containsExactly(new Span(Kind.NOT_HEARD, NOW.minusSeconds(60), Optional.empty()),
                new Span(Kind.LOST, NOW.minusSeconds(600), Optional.empty()));
    }

    @Test
    void whatEndedBeforeTheDayBeganIsNoPartOfIt() {
        assertThat(day(Optional.empty(), entry("supply-returned", "lost-since", 100_000, "at", 86_400))).isEmpty();
        assertThat(day(Optional.empty(), entry("supply-returned", "lost-since", 100_000, "at", 86_399))).hasSize(1);
    }

    @Test
    void tamperedEntrySaysNothing() {
        EntryRow row = new EntryRow(1, OptionalLong.empty(), NOW, "dip-ended", OptionalLong.of(30), OptionalLong.empty(), "Two", ZoneOffset.UTC, "{}",
                Map.of("from", "yesterday", "to", NOW.toString()));

        assertThat(SupplyDay.of(List.of(row), Optional.empty(), SINCE)).isEmpty();
    }

    private static List<Span> day(Optional<SensorState> state, EntryRow... entries) {
        return SupplyDay.of(List.of(entries), state, SINCE);
    }

    private static Span span(Kind kind, long from, long to) {
        return new Span(kind, NOW.minusSeconds(from), Optional.of(NOW.minusSeconds(to)));
    }

    private static EntryRow entry(String kind, String from, long fromAgo, String to, long toAgo) {
        return new EntryRow(1, OptionalLong.empty(), NOW, kind, OptionalLong.of(30), OptionalLong.empty(), "Two", ZoneOffset.UTC, "{}",
                Map.of(from, NOW.minusSeconds(fromAgo).toString(), to, NOW.minusSeconds(toAgo).toString()));
    }
}
