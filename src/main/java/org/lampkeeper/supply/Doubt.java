package org.lampkeeper.supply;

/** Why the time of a report cannot be taken at its word. A doubtful loss starts a confirmation; a doubtful healthy report clears nothing. */
public enum Doubt {
    /** Dated too far in the future: the receive time is used instead. */
    CLOCK_AHEAD,
    /** Dated impossibly long ago on a live connection: the receive time is used instead. */
    CLOCK_ANCIENT,
    /** Its time is relative to a moment that nobody knows: it may have waited in a queue, or the broker kept it. */
    AGE_NOT_KNOWN
}
