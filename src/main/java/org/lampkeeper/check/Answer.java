package org.lampkeeper.check;

/** What somebody says about the lamp or the cabinet. */
public enum Answer {
    /** The lamp is lit; of a cabinet or its content: all is well. */
    LIT,
    /** The lamp is out. */
    OUT,
    /** They could not get there or could not see it. */
    NOT_SEEN,
    /** Something is damaged or missing. */
    DAMAGED;

    /** Whether somebody has to do something at once. */
    public boolean needsAPerson() {
        return this == OUT || this == DAMAGED;
    }

    /** Whether the look was taken at all. */
    public boolean isLook() {
        return this != NOT_SEEN;
    }
}
