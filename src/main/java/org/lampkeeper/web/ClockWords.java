package org.lampkeeper.web;

import java.util.Locale;

/** By how much a clock differs from another, in words. */
final class ClockWords {

    private static final double MS_A_SECOND = 1000;

    private ClockWords() {
    }

    /** "2.0 s behind", "0.3 s ahead". {@code offset}: how far the other clock is ahead, in milliseconds. */
    static String off(long offset) {
        return String.format(Locale.ROOT, "%.1f s %s", Math.abs(offset) / MS_A_SECOND, offset >= 0 ? "behind" : "ahead");
    }
}
