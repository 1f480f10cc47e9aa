package org.lampkeeper.alarm;

/** The states of an alarm with the letters of ISA-18.2 / IEC 62682. */
public enum AlarmState {
    NORMAL('A'),
    UNACKNOWLEDGED('B'),
    ACKNOWLEDGED('C'),
    /** The condition went away before anybody acknowledged it. */
    RETURNED_UNACKNOWLEDGED('D'),
    /** Held back by a person, until a stated end. */
    SHELVED('E'),
    /** Held back by a rule (announced work, commissioning, a test press), until a stated end. */
    SUPPRESSED_BY_DESIGN('F'),
    /** Held back for maintenance, until a stated end. */
    OUT_OF_SERVICE('G');

    private final char letter;

    AlarmState(char letter) {
        this.letter = letter;
    }

    public char letter() {
        return letter;
    }

    /** Whether the alarm is held back for now; what the condition does meanwhile is remembered and counts at the end. */
    public boolean isHold() {
        return switch (this) {
            case NORMAL, UNACKNOWLEDGED, ACKNOWLEDGED, RETURNED_UNACKNOWLEDGED -> false;
            case SHELVED, SUPPRESSED_BY_DESIGN, OUT_OF_SERVICE -> true;
        };
    }
}
