package org.lampkeeper.alarm;

import java.time.Instant;
import java.util.Optional;

import org.junit.jupiter.api.Test;

import static org.assertj.core.api.Assertions.assertThat;

class BrokerDropsTest {

    private static final Instant NOON = Instant.parse("2026-11-25T12:00:00Z");
    private static final Instant LATER = NOON.plusSeconds(120);

    private static BrokerDrops grown(long told, Instant at) {
        return new BrokerDrops(told, Optional.of(at));
    }

    @Test
    void growsWithTheCountAndStaysWithTheSame() {
        BrokerDrops first = BrokerDrops.first(7);

        assertThat(first.heard(7, NOON)).isEqualTo(first);
        assertThat(first.heard(8, NOON)).isEqualTo(grown(8, NOON));
        assertThat(first.heard(8, NOON).heard(8, LATER)).isEqualTo(grown(8, NOON));
        assertThat(first.heard(8, NOON).heard(9, LATER)).isEqualTo(grown(9, LATER));
    }

    @Test
    void brokerThatStartedAnewBeginsAtZeroAndWhatItDroppedSinceCounts() {
        assertThat(BrokerDrops.first(7).heard(0, NOON)).isEqualTo(BrokerDrops.first(0));
        assertThat(BrokerDrops.first(7).heard(3, NOON)).isEqualTo(grown(3, NOON));
        assertThat(grown(7, NOON).heard(3, LATER)).isEqualTo(grown(3, LATER));
    }

    @Test
    void lowerCountOfAnInstanceThatHearsItASecondLaterIsNoNewStart() {
        assertThat(grown(8, NOON).heard(7, NOON.plusSeconds(1))).isEqualTo(grown(8, NOON));
        assertThat(grown(8, NOON).heard(0, NOON.plusSeconds(59))).isEqualTo(grown(8, NOON));
        assertThat(grown(8, NOON).heard(0, NOON.plusSeconds(60))).isEqualTo(grown(0, NOON));
    }

    @Test
    void isOverWhenItHasNotGrownForAnHour() {
        BrokerDrops dropped = grown(8, NOON);

        assertThat(dropped.heard(8, NOON.plusSeconds(3599))).isEqualTo(dropped);
        assertThat(dropped.heard(8, NOON.plusSeconds(3600))).isEqualTo(BrokerDrops.first(8));
        assertThat(dropped.passed(NOON.plusSeconds(3600))).isEqualTo(BrokerDrops.first(8));
        assertThat(dropped.heard(0, NOON.plusSeconds(3600))).isEqualTo(BrokerDrops.first(0));
    }
}
