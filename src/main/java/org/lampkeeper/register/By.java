package org.lampkeeper.register;

import java.time.Instant;
import java.util.OptionalLong;

/**
 * Who changes the register, and when.
 *
 * @param personId empty where no person does: the demo, a start from files, a test
 */
public record By(OptionalLong personId, Instant at) {

    public static By person(long personId, Instant at) {
        return new By(OptionalLong.of(personId), at);
    }

    public static By nobody(Instant at) {
        return new By(OptionalLong.empty(), at);
    }
}
