package org.lampkeeper.check;

/** Where a due check stands. */
public enum CheckState {
    /** Somebody is asked. */
    OPEN,
    /** Looked at on time. */
    DONE,
    /** Nobody was known to have looked on time. Only a look that was on time and under way ends this; one that was late never does. */
    MISSED;

    public boolean isOver() {
        return this != OPEN;
    }
}
