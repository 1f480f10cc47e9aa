package org.lampkeeper.telemetry;

import java.nio.charset.StandardCharsets;

/**
 * A message that was not used.
 *
 * @param detail what was wrong, where, and what would be right, for the people who build and run sensors; printable ASCII, at most
 *               {@value #DETAIL_LENGTH} characters, whatever the message contained
 */
public record Refusal(Reason reason, String detail) implements Decoded, LinkReading {

    static final int DETAIL_LENGTH = 400;
    static final int SAMPLE_LENGTH = 2000;
    private static final int QUOTE_LENGTH = 60;

    public Refusal {
        detail = shortened(printable(detail), DETAIL_LENGTH);
    }

    /** The start of a payload as it may be stored and shown: printable ASCII, at most {@value #SAMPLE_LENGTH} characters. */
    public static String sampleOf(byte[] payload) {
        int length = Math.min(payload.length, SAMPLE_LENGTH);
        return printable(new String(payload, 0, length, StandardCharsets.ISO_8859_1));
    }

    /** A piece of a message inside one of our sentences: in quotes, and short. */
    static String quoted(String text) {
        return "'" + shortened(printable(text), QUOTE_LENGTH) + "'";
    }

    private static String shortened(String text, int length) {
        return text.length() <= length ? text : text.substring(0, length - 3) + "...";
    }

    /** Control characters would forge log lines, and neither NUL nor half a surrogate pair can be stored by PostgreSQL. */
    private static String printable(String text) {
        StringBuilder shown = new StringBuilder(text.length());
        for (int i = 0; i < text.length(); i++) {
            char c = text.charAt(i);
            shown.append(c >= ' ' && c <= '~' ? c : '?');
        }
        return shown.toString();
    }
}
