package org.lampkeeper.simulator;

import java.time.Duration;
import java.time.format.DateTimeParseException;
import java.util.Locale;

/** Times as people write them: {@code 30s}, {@code 2m}, {@code 1h30m}, {@code 0.5s}; {@code PT30S} is understood too. */
final class Span {

    private Span() {
    }

    /** @throws IllegalArgumentException when it is not such a time, or negative */
    static Duration parse(String text) {
        String upper = text.strip().toUpperCase(Locale.ROOT);
        try {
            Duration span = Duration.parse(upper.startsWith("P") ? upper : "PT" + upper);
            if (span.isNegative()) {
                throw new IllegalArgumentException("time \"" + text + "\" is negative, must be zero or more");
            }
            return span;
        } catch (DateTimeParseException unreadable) {
            throw new IllegalArgumentException("time \"" + text + "\" cannot be read; write 30s, 2m, 1h30m", unreadable);
        }
    }

    static String words(Duration span) {
        return span.toString().substring(2).toLowerCase(Locale.ROOT);
    }
}
