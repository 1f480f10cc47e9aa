package org.lampkeeper.callout;

/** Where a call-out stands. */
public enum Phase {
    /** Nobody need be told now: not begun, the condition is gone, or it is held back. Whatever was told stays told. */
    RESTING,
    /** The turns of the list are told, one after the other. */
    CLIMBING,
    /** The list was gone through as often as it says, and nobody took it: everybody of the site is told, again and again. */
    LAST_RESORT,
    /** Somebody has it. */
    TAKEN,
    /** Somebody has it and has asked another to take it over; until that one does, the first still has it. */
    HANDED_ON,
    /** Over for good. */
    ENDED;

    /** Whether people are being told until one takes it. */
    public boolean isCalling() {
        return switch (this) {
            case CLIMBING, LAST_RESORT -> true;
            case RESTING, TAKEN, HANDED_ON, ENDED -> false;
        };
    }

    /** Whether somebody has it. */
    public boolean isTaken() {
        return switch (this) {
            case TAKEN, HANDED_ON -> true;
            case RESTING, CLIMBING, LAST_RESORT, ENDED -> false;
        };
    }

    /** Whether something happens at a stated time if nobody does anything. */
    boolean hasDeadline() {
        return isCalling() || isTaken();
    }
}
