package org.lampkeeper.alarm;

import java.time.Duration;

import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

import static org.assertj.core.api.Assertions.assertThat;

class OwnConditionTest {

    private static final Duration MINUTE = Duration.ofSeconds(60);

    @ParameterizedTest
    @CsvSource({"'0:w', false", "'0:w 59:w', false", "'0:w 60:w', true", "'0:w 30:- 60:w 119:w', false", "'0:w 60:w 61:-', true", "'0:w 60:w 61:- 120:-', true",
            "'0:w 60:w 61:- 121:-', false", "'0:w 60:w 61:- 100:w 121:-', true", "'0:-', false"})
    void countsOnceItHasLastedAndIsOverOnceItHasBeenAwayForAsLong(String looks, boolean there) {
        OwnCondition condition = OwnCondition.WELL;
        for (String look : looks.split(" ")) {
            String[] parts = look.split(":");
            condition = condition.seen(parts[1].equals("w"), MINUTE, MINUTE, Duration.ofSeconds(Long.parseLong(parts[0])));
        }

        assertThat(condition.there()).isEqualTo(there);
    }

    @Test
    void withoutConfirmationItCountsAtOnce() {
        assertThat(OwnCondition.WELL.seen(true, Duration.ZERO, MINUTE, Duration.ofSeconds(7)).there()).isTrue();
    }

    @ParameterizedTest
    @CsvSource({"3, 3, ", "8, 3, ", "9, 3, 6", "-3, 3, -6", "-2, 3, ", "3, 3600, -3597"})
    void clockJumpsWhenItGainsOrLosesMoreThanTheLimit(long byClock, long byCounter, Long jump) {
        assertThat(OwnCondition.jump(Duration.ofSeconds(byClock), Duration.ofSeconds(byCounter), Duration.ofSeconds(5)).map(Duration::toSeconds).orElse(null))
                .isEqualTo(jump);
    }
}
