package org.lampkeeper.access;

/**
 * Who asks.
 *
 * @param reference what the journal calls this person
 * @param isToken   a program with a token of this person's, not the person
 */
public record Caller(long personId, String name, String reference, Reach reach, boolean isToken) {
}
