package org.lampkeeper.watch;

import java.time.Duration;
import java.time.Instant;
import java.time.ZoneId;
import java.util.ArrayList;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.Set;

import org.junit.jupiter.api.Test;

import org.lampkeeper.thermal.Forecast;
import org.lampkeeper.thermal.Leeway;
import org.lampkeeper.thermal.Situation;
import org.lampkeeper.thermal.StorageLimits;

import static org.assertj.core.api.Assertions.assertThat;

class OutlooksTest {

    private static final Instant NOW = Instant.parse("2026-12-01T12:00:00Z");

    private final List<Set<Long>> questions = new ArrayList<>();
    private final Outlooks outlooks = Outlooks.by(cabinets -> {
        questions.add(Set.copyOf(cabinets));
        Map<Long, ContentOutlook> answers = new HashMap<>();
        cabinets.stream().filter(id -> id != 9).forEach(id -> answers.put(id, outlook(id)));
        return answers;
    });

    @Test
    void eachCabinetIsAskedForOnceAlsoWhereThereIsNoAnswer() {
        assertThat(outlooks.of(1)).hasValueSatisfying(it -> assertThat(it.cabinetId()).isEqualTo(1));
        assertThat(outlooks.of(Set.of(1L, 2L, 9L))).containsOnlyKeys(1L, 2L);
        assertThat(outlooks.of(9)).isEmpty();
        assertThat(outlooks.of(Set.of())).isEmpty();

        assertThat(questions).containsExactly(Set.of(1L), Set.of(2L, 9L));
    }

    private static ContentOutlook outlook(long id) {
        Situation situation = new Situation(Optional.empty(), Optional.empty(), Optional.empty(), new StorageLimits(Optional.empty(), Optional.empty()), Leeway.USUAL);
        return new ContentOutlook(id, ZoneId.of("Europe/London"), situation, Forecast.of(situation, Duration.ofHours(1), NOW), false, false);
    }
}
