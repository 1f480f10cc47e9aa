package org.lampkeeper.message;

/** What a person says of a message that asks whether it reaches them. */
public enum ProofAnswer {
    /** By day: it is there. */
    ARRIVED,
    /** By night: it rang. */
    RANG,
    /** By night: it was there, and did not ring. */
    SILENT,
    /** By night: whether it rang is not known. */
    SEEN_LATER;

    /** Whether it is an answer to a message that was sent to ring at night. */
    public boolean isOfTheNight() {
        return this != ARRIVED;
    }
}
