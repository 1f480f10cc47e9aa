package org.lampkeeper.message;

import java.time.Duration;
import java.util.Random;

import net.jqwik.api.ForAll;
import net.jqwik.api.Property;
import net.jqwik.api.constraints.IntRange;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

class BackoffTest {

    private static final Duration CAP = Duration.ofMinutes(5);

    @ParameterizedTest
    @CsvSource({"1, 4, 6", "2, 12, 18", "3, 36, 54", "4, 96, 144", "5, 240, 360", "6, 240, 360", "1000, 240, 360"})   // seconds
    void pauseGrowsToTheCapWithAFifthOfJitter(int attempts, long least, long most) {
        for (int seed = 0; seed < 200; seed++) {
            assertThat(Backoff.after(attempts, CAP, new Random(seed))).isBetween(Duration.ofSeconds(least), Duration.ofSeconds(most));
        }
    }

    @Property
    void jitterSpreadsWhatFailedTogether(@ForAll @IntRange(min = 1, max = 20) int attempts) {
        Random random = new Random(7);

        assertThat(Backoff.after(attempts, CAP, random)).isNotEqualTo(Backoff.after(attempts, CAP, random));
    }

    @ParameterizedTest
    @CsvSource({"0", "-1"})
    void pauseBeforeAnyFailureIsAMistakeOfTheCaller(int attempts) {
        assertThatThrownBy(() -> Backoff.after(attempts, CAP, new Random())).isInstanceOf(IllegalArgumentException.class);
    }
}
