package org.lampkeeper.callout;

import java.time.Duration;
import java.time.Instant;
import java.util.ArrayList;
import java.util.List;

import net.jqwik.api.ForAll;
import net.jqwik.api.Property;
import net.jqwik.api.constraints.IntRange;
import net.jqwik.api.constraints.Size;
import org.junit.jupiter.api.Test;

import static org.assertj.core.api.Assertions.assertThat;

class MergingTest {

    private static final Instant NOON = Instant.parse("2026-12-01T12:00:00Z");

    @Test
    void afterTheFirstMessageTheNextComeFurtherAndFurtherApart() {
        Merging merging = Merging.NEW.told(NOON);
        List<Long> at = new ArrayList<>();
        for (int i = 0; i < 8; i++) {
            Instant last = merging.lastAt().orElseThrow();
            merging = merging.joined(last.plusMillis(1));
            Instant due = merging.dueAt().orElseThrow();
            at.add(Duration.between(last, due).toSeconds());
            merging = merging.done(due);
        }

        assertThat(at).containsExactly(20L, 40L, 80L, 160L, 320L, 600L, 600L, 600L);
    }

    @Test
    void beforeAnybodyWasToldNothingIsMerged() {
        assertThat(Merging.NEW.joined(NOON)).isEqualTo(Merging.NEW);
    }

    @Test
    void whatJoinsMuchLaterIsToldSoonWithWhatIsLostWithIt() {
        Merging merging = Merging.NEW.told(NOON).joined(NOON.plusSeconds(90));

        assertThat(merging.dueAt()).hasValue(NOON.plusSeconds(95));
        assertThat(merging.joined(NOON.plusSeconds(94))).isEqualTo(merging);
    }

    @Test
    void deadlineOfBeforeIsStale() {
        Merging merging = Merging.NEW.told(NOON).joined(NOON);

        assertThat(merging.isDue(0, NOON.plusSeconds(20))).isTrue();
        assertThat(merging.isDue(0, NOON.plusSeconds(19))).isFalse();
        assertThat(merging.isDue(1, NOON.plusSeconds(20))).isFalse();
        assertThat(merging.done(NOON.plusSeconds(20)).isDue(0, NOON.plusSeconds(90))).isFalse();
    }

    @Property
    void thereAreNeverMoreThanThreeMessagesInTheFirstMinuteAndNothingWaitsForEver(@ForAll @Size(min = 1, max = 60) List<@IntRange(max = 5_000) Integer> gaps) {
        Merging merging = Merging.NEW.told(NOON);
        List<Instant> messages = new ArrayList<>(List.of(NOON));
        Instant now = NOON;
        for (int gap : gaps) {
            Instant next = now.plusMillis(gap);
            while (merging.dueAt().filter(at -> !at.isAfter(next)).isPresent()) {
                Instant at = merging.dueAt().orElseThrow();
                messages.add(at);
                merging = merging.done(at);
            }
            now = next;
            merging = merging.joined(now);
            assertThat(merging.dueAt()).hasValueSatisfying(at -> assertThat(at).isAfter(next));
        }

        assertThat(messages.stream().filter(at -> !at.isAfter(NOON.plusSeconds(60)))).hasSizeLessThanOrEqualTo(3);
    }
}
