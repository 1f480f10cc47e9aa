package org.lampkeeper.message;

import java.time.Duration;
import java.time.Instant;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;

import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

import org.lampkeeper.message.PersonChannel.Night;

import static org.assertj.core.api.Assertions.assertThat;
import static org.lampkeeper.message.MessageFixture.NOW;

class RouteTest {

    static final Duration LIFE = Duration.ofDays(90);

    /**
     * Each letter a channel, in order: P proven, U never, O proven so long ago that it ends at this very moment, S proven but silent at night,
     * R proven and rings at night.
     */
    @ParameterizedTest
    @CsvSource({
            "ALARM, P, 1", "ALARM, PP, 1", "ALARM, PU, 1", "ALARM, UP, 2", "ALARM, UPU, 2", "ALARM, UU, 2", "ALARM, UUU, 3", "ALARM, O, 1",
            "ALARM, OU, 2", "ALARM, OP, 2", "ALARM, SP, 2", "ALARM, SU, 2", "ALARM, SURU, 3", "NOTICE, UP, 1", "NOTICE, PU, 1", "NOTICE, SP, 1"
    })
    void alarmNeverReliesOnAChannelAloneThatIsNotProvenOrDoesNotRing(Purpose purpose, String channels, int told) {
        List<PersonChannel> inOrder = channels(channels);

        assertThat(Route.first(purpose, inOrder, LIFE, NOW)).isEqualTo(inOrder.subList(0, told));
    }

    @ParameterizedTest
    @CsvSource({"ALARM", "NOTICE"})
    void nobodyIsToldByNothing(Purpose purpose) {
        assertThat(Route.first(purpose, List.of(), LIFE, NOW)).isEmpty();
    }

    static List<PersonChannel> channels(String letters) {
        List<PersonChannel> inOrder = new ArrayList<>();
        for (char each : letters.toCharArray()) {
            Optional<Instant> provenAt = each == 'U' ? Optional.empty() : Optional.of(each == 'O' ? NOW.minus(LIFE) : NOW.minus(LIFE).plusMillis(1));
            Optional<Night> night = each == 'S' ? Optional.of(new Night(ProofAnswer.SILENT, NOW))
                    : each == 'R' ? Optional.of(new Night(ProofAnswer.RANG, NOW)) : Optional.empty();
            inOrder.add(new PersonChannel(inOrder.size(), 7, "MAIL", "a" + inOrder.size(), inOrder.size(), false, provenAt, night, Optional.empty(), Optional.empty(), 0));
        }
        return inOrder;
    }
}
