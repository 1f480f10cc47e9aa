package org.lampkeeper.access;

import java.time.Duration;

import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

import static org.assertj.core.api.Assertions.assertThat;

class GuessingLimitTest {

    // Seconds after so many wrong ones, with five of them free.
    @ParameterizedTest
    @CsvSource({"0, 0", "4, 0", "5, 5", "6, 10", "7, 20", "8, 40", "9, 60", "10, 60", "2000000000, 60"})
    void waitDoublesUpToTheLongest(int failures, long seconds) {
        assertThat(new Guessing.Limit(5, Duration.ofSeconds(60)).waitAfter(failures)).isEqualTo(Duration.ofSeconds(seconds));
    }

    @ParameterizedTest
    @CsvSource({"4, false", "5, true", "6, false", "10, true", "15, false", "20, true", "40, true"})
    void journalHearsOfItEachTimeTheNumberHasDoubled(int failures, boolean isNews) {
        assertThat(new Guessing.Try(failures, java.util.Optional.empty()).isNews()).isEqualTo(isNews);
    }
}
