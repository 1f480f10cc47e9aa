package org.lampkeeper.check;

import java.time.Duration;
import java.time.Instant;

import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

import static org.assertj.core.api.Assertions.assertThat;

class LookTimeTest {

    private static final Instant NOON = Instant.parse("2026-11-02T12:00:00Z");

    /** Seconds before or after noon, when the server received it: looked and sent by the phone's clock; then what is believed. */
    @ParameterizedTest
    @CsvSource({"-3600, -5, -3600, , true", "-5, -2, -5, , false", "-3600, -120, -3600, , true", "-3600, -121, -3479, 121, true",
            "-7200, -3600, -3600, 3600, true", "0, 3600, -3600, -3600, true", "100, 60, 0, , false", "90, 100, 0, , false", "5000, 3600, 0, -3600, false",
        // The clock of the phone ahead: just within what a transfer explains, and a second over.
        "-60, 120, -60, , false", "60, 120, 0, , false", "61, 121, -60, -121, false", "-60, 121, -181, -121, true",
        // Under way for as long as a transfer may take, and a second more.
        "-120, -1, -120, , false", "-121, -1, -121, , true"})
    void momentIsCorrectedByWhatThePhonesClockIsWrongBy(long looked, long sent, long believed, Long wrongBy, boolean isLate) {
        LookTime time = LookTime.of(NOON.plusSeconds(looked), NOON.plusSeconds(sent), NOON);

        assertThat(time.at()).isEqualTo(NOON.plusSeconds(believed));
        assertThat(time.clockWrongBy().map(Duration::toSeconds).orElse(null)).isEqualTo(wrongBy);
        assertThat(time.isReceivedLate()).isEqualTo(isLate);
    }
}
