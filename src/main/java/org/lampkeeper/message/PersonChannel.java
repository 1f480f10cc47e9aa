package org.lampkeeper.message;

import java.time.Instant;
import java.util.Optional;

/**
 * One way to reach one person.
 *
 * @param place         the lowest of a person is tried first
 * @param followsSignIn the mail address of the register, which changes only there
 * @param provenAt      when its person last showed that it reaches them
 * @param night         what its person last said of the night; empty when they were not asked or did not answer
 * @param remindedAt    when its person was last told that the proof is old; empty when not since it was proven
 * @param returned      the first message by it that came back; empty when none did since it was proven
 */
public record PersonChannel(long id, long personId, String kind, String address, int place, boolean followsSignIn, Optional<Instant> provenAt,
        Optional<Night> night, Optional<Instant> remindedAt, Optional<Returned> returned, int version) {

    /** Whether it rings through the telephone's night setting, as its person said at that time. */
    public record Night(ProofAnswer answer, Instant at) {
        public Night {
            if (!answer.isOfTheNight()) {
                throw new IllegalArgumentException(answer + " says nothing of the night");
            }
        }
    }

    /** @param why goes on after "a message", such as "came back: 5.1.1" (RFC 3463); without addresses */
    public record Returned(Instant at, String why) {
    }

    /** Its person said that it does not ring at night. */
    public boolean isSilentAtNight() {
        return night.filter(it -> it.answer() == ProofAnswer.SILENT).isPresent();
    }

    /** Without the address. */
    @Override
    public String toString() {
        return "channel " + id + " (" + kind + ") of person " + personId;
    }
}
