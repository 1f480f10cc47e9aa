package org.lampkeeper.telemetry;

/** Why a message was not used. The words are labels of metrics and stored with samples: they never change their meaning. */
public enum Reason {
    NOT_JSON("not-json"),
    TOO_LARGE("too-large"),
    TOO_MANY_RECORDS("too-many-records"),
    /** JSON, but not a list of SenML records. */
    NOT_SENML("not-senml"),
    /** No usable {@code supply} in the pack. */
    NO_SUPPLY("no-supply"),
    BAD_NUMBER("bad-number"),
    BAD_NAME("bad-name"),
    /** A version or a must-understand extension that this program does not know. */
    UNKNOWN_VERSION("unknown-version"),
    /** A {@code link} message that is neither {@code up} nor {@code down}. */
    UNKNOWN_WORD("unknown-word"),
    UNKNOWN_SENSOR("unknown-sensor"),
    BASE_NAME_DISAGREES("base-name-disagrees"),
    FOREIGN_TOPIC("foreign-topic"),
    /** Readable and allowed, but handling it failed every time it was tried. */
    NOT_HANDLED("not-handled");

    private final String word;

    Reason(String word) {
        this.word = word;
    }

    /** Lower case, words joined by hyphens; at most 32 characters. */
    public String word() {
        return word;
    }
}
