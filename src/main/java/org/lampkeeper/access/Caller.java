package org.lampkeeper.access;

import java.util.OptionalLong;

/**
 * Who asks.
 *
 * @param reference what the journal calls this person
 * @param tokenId   of the token with which a program asks for this person; empty for the person
 */
public record Caller(long personId, String name, String reference, Reach reach, OptionalLong tokenId) {

    /** A person who has signed in. */
    public Caller(long personId, String name, String reference, Reach reach) {
        this(personId, name, reference, reach, OptionalLong.empty());
    }

    /** A program with a token of this person's, not the person. */
    public boolean isToken() {
        return tokenId.isPresent();
    }
}
