package org.lampkeeper.watch;

import java.time.Duration;
import java.util.function.UnaryOperator;

import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.ValueSource;

import org.lampkeeper.testing.NtpCounterpart;
import org.lampkeeper.watch.TimeServer.Compared;
import org.lampkeeper.watch.TimeServer.NotCompared;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

/** Against a server on this machine whose packets are laid out by hand after RFC 5905, section 7.3, figure 8. */
class TimeServerTest {

    private static final Duration PATIENCE = Duration.ofSeconds(10);

    private static Compared ask(NtpCounterpart server) throws NotCompared {
        return new TimeServer("127.0.0.1", server.port(), PATIENCE).ask();
    }

    /** RFC 5905, section 8: theta = ((T2 - T1) + (T3 - T4)) / 2, wrong by at most half of the delay; a millisecond more, since times are told in milliseconds. */
    @ParameterizedTest
    @ValueSource(longs = {0, 7_300, -7_300, 3_600_000, -86_400_000})
    void offsetIsHowFarTheServerIsAhead(long milliseconds) throws Exception {
        try (NtpCounterpart server = NtpCounterpart.ahead(Duration.ofMillis(milliseconds))) {
            Compared found = ask(server);

            assertThat(found.delay()).isBetween(Duration.ZERO, PATIENCE);
            assertThat(found.offset()).isBetween(Duration.ofMillis(milliseconds - 1).minus(found.delay().dividedBy(2)),
                    Duration.ofMillis(milliseconds + 1).plus(found.delay().dividedBy(2)));
        }
    }

    /** RFC 5905: section 7.4 of a stratum of 0, figure 9 of the leap indicator, figure 11 of stratum 16, figure 10 of modes, section 8 of bogus packets. */
    @ParameterizedTest
    @CsvSource(delimiter = '|', value = {
        "stratum 0  | it refused to answer, code RATE",
        "leap 3     | it says that its own clock is not synchronised",
        "stratum 16 | it says that its own clock is not synchronised",
        "mode 3     | its answer is of mode 3, must be 4, a server's",
        "no time    | its answer has no time",
        "origin     | it cannot be asked, or its answer cannot be used: Originate time does not match the request",
    })
    void answerThatTheStandardSaysNotToUseIsNotUsed(String wrong, String why) throws Exception {
        UnaryOperator<byte[]> spoilt = packet -> {
            switch (wrong) {
                case "stratum 0" -> {
                    packet[1] = 0;
                    System.arraycopy("RATE".getBytes(java.nio.charset.StandardCharsets.US_ASCII), 0, packet, 12, 4);
                }
                case "leap 3" -> packet[0] = (byte) (packet[0] | 0xC0);
                case "stratum 16" -> packet[1] = 16;
                case "mode 3" -> packet[0] = (byte) (packet[0] & 0xF8 | 3);
                case "no time" -> java.util.Arrays.fill(packet, 40, 48, (byte) 0);
                case "origin" -> packet[27] = (byte) (packet[27] ^ 0x40);
                default -> throw new IllegalArgumentException(wrong);
            }
            return packet;
        };
        try (NtpCounterpart server = NtpCounterpart.ahead(Duration.ZERO).spoiling(spoilt)) {
            assertThatThrownBy(() -> ask(server)).isInstanceOf(NotCompared.class).hasMessage(why);
        }
    }

    @Test
    void serverThatDoesNotAnswerIsNotWaitedForForEver() throws Exception {
        try (NtpCounterpart silent = NtpCounterpart.silent()) {
            assertThatThrownBy(() -> new TimeServer("127.0.0.1", silent.port(), Duration.ofMillis(200)).ask()).isInstanceOf(NotCompared.class)
                    .hasMessage("it did not answer within 200 ms");
        }
        // RFC 6761, section 6.4: a name that never resolves.
        assertThatThrownBy(() -> new TimeServer("clock.invalid", 123, Duration.ofMillis(200)).ask()).isInstanceOf(NotCompared.class).hasMessage("there is no server of this name");
    }
}
