package org.lampkeeper.supply;

import java.time.Instant;

import org.junit.jupiter.api.Test;

import static org.assertj.core.api.Assertions.assertThat;

class ProofTestTest {

    private static final Instant NOON = Instant.parse("2026-12-01T12:00:00Z");

    @Test
    void everythingThatHappenedStandsThereWithItsTimes() {
        ProofTest test = ProofTest.begun(NOON).lost(at(40), at(41)).told(true, at(61)).taken(at(91)).returned(at(150), at(151));

        assertThat(test.isProven()).isTrue();
        assertThat(test.endedAt()).contains(at(151));
        assertThat(test.lines()).containsExactly("The loss was heard 41.0 s after the start; the sensor says that it was 40.0 s after the start.",
                "The message left 20.0 s after the loss was heard.", "The message was taken 30.0 s after it left.",
                "The supply’s return was heard 1 min 50 s after the loss was heard.");
    }

    @Test
    void whatDidNotHappenIsSaid() {
        assertThat(ProofTest.begun(NOON).ended(at(1800)).lines()).containsExactly("Did not happen: no report without supply was heard.", "Did not happen: no message left.",
                "Did not happen: nobody took the message.", "Did not happen: no report of the supply’s return was heard.");
        assertThat(ProofTest.begun(NOON).lost(at(1), at(1)).told(false, at(21)).ended(at(1800)).lines()).contains("No message left: nobody on duty has a channel that reaches them.");
        assertThat(ProofTest.begun(NOON).lost(at(1), at(1)).returned(at(5), at(5)).lines()).contains("No message left: the supply was back before the loss counted. Leave it off for longer.",
                "That somebody takes it is waited for.");
    }

    @Test
    void reportOfATimeBeforeTheStartIsNotOfThisTest() {
        assertThat(ProofTest.begun(NOON).lost(NOON.minusSeconds(1), at(5))).isEqualTo(ProofTest.begun(NOON));
        assertThat(ProofTest.begun(NOON).lost(at(10), at(10)).returned(at(9), at(12)).backHeard()).isEmpty();
        assertThat(ProofTest.begun(NOON).returned(at(5), at(5))).as("a return without a loss").isEqualTo(ProofTest.begun(NOON));
        assertThat(ProofTest.begun(NOON).lost(at(10), at(10)).taken(at(12)).takenAt()).as("taken before it left").isEmpty();
    }

    @Test
    void itWatchesForHalfAnHourAndWhatComesAfterItsEndIsNotOfIt() {
        ProofTest over = ProofTest.begun(NOON).lost(at(1), at(1)).told(true, at(21)).ended(at(1800));

        assertThat(over.endsAt()).isEqualTo(at(1800));
        assertThat(over.taken(at(1801))).isEqualTo(over);
        assertThat(over.returned(at(1801), at(1802))).isEqualTo(over);
        assertThat(over.ended(at(1803))).isEqualTo(over);
    }

    private static Instant at(int second) {
        return NOON.plusSeconds(second);
    }
}
