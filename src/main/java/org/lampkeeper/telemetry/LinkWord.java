package org.lampkeeper.telemetry;

import java.nio.charset.StandardCharsets;

/** Whether a sensor is connected to the broker: its birth message, or the will that the broker publishes for it. */
public enum LinkWord implements LinkReading {
    UP,
    DOWN;

    /** A line end or blanks around the word are ignored: shells and firmware add them unasked. */
    public static LinkReading read(byte[] payload) {
        if (payload.length > SenmlRecords.MOST_BYTES) {
            return new Refusal(Reason.TOO_LARGE, "link message of " + payload.length + " bytes, must be the word up or down");
        }
        String word = new String(payload, StandardCharsets.ISO_8859_1);
        return switch (word.strip()) {
            case "up" -> UP;
            case "down" -> DOWN;
            default -> new Refusal(Reason.UNKNOWN_WORD, "link message " + Refusal.quoted(word) + ", must be the word up or down");
        };
    }
}
