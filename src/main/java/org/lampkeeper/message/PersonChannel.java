package org.lampkeeper.message;

import java.time.Instant;
import java.util.Optional;

/**
 * One way to reach one person.
 *
 * @param place         the lowest of a person is tried first
 * @param followsSignIn the mail address of the register, which changes only there
 * @param provenAt      when its person last showed that it reaches them
 * @param ringsAtNight  what its person said; empty when they were not asked or did not answer
 */
public record PersonChannel(long id, long personId, String kind, String address, int place, boolean followsSignIn, Optional<Instant> provenAt,
        Optional<Boolean> ringsAtNight, int version) {

    /** Without the address. */
    @Override
    public String toString() {
        return "channel " + id + " (" + kind + ") of person " + personId;
    }
}
