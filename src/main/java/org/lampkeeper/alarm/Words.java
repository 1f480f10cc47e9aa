package org.lampkeeper.alarm;

import java.util.List;
import java.util.Locale;
import java.util.stream.Collectors;
import java.util.stream.Stream;

/** Small English for the sentences of this room. */
final class Words {

    /** Ours: more names than this are counted, so that a sentence about a thousand cabinets stays a sentence. */
    private static final int NAMES_AT_MOST = 4;
    private static final List<String> NUMBERS = List.of("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine");

    private Words() {
    }

    /** "A", "A and B", "A, B and C"; from the fifth name on "A, B, C and 7 more". */
    static String list(List<String> names) {
        if (names.size() > NAMES_AT_MOST) {
            int shown = NAMES_AT_MOST - 1;
            return String.join(", ", names.subList(0, shown)) + " and " + (names.size() - shown) + " more";
        }
        if (names.size() < 2) {
            return String.join("", names);
        }
        return String.join(", ", names.subList(0, names.size() - 1)) + " and " + names.get(names.size() - 1);
    }

    /** The same, however many there are: for faults, of which none may go uncounted. */
    static String all(List<String> items) {
        if (items.size() < 2) {
            return String.join("", items);
        }
        return String.join(", ", items.subList(0, items.size() - 1)) + " and " + items.get(items.size() - 1);
    }

    static String number(int value) {
        return value >= 0 && value < NUMBERS.size() ? NUMBERS.get(value) : Integer.toString(value);
    }

    /** "board A" for what the register calls "A" or "Board A". */
    static String board(String name) {
        return named("board", name);
    }

    /** "way 4" for what the register calls "4" or "way 4". */
    static String way(String name) {
        return named("way", name);
    }

    /** " (quay kiosk, key 7)"; nothing where nothing is filled in. */
    static String inBrackets(String... parts) {
        String known = Stream.of(parts).filter(part -> !part.isBlank()).map(String::strip).collect(Collectors.joining(", "));
        return known.isEmpty() ? "" : " (" + known + ")";
    }

    static String capital(String sentence) {
        return sentence.isEmpty() ? sentence : sentence.substring(0, 1).toUpperCase(Locale.ROOT) + sentence.substring(1);
    }

    private static String named(String noun, String name) {
        String stripped = name.strip();
        String lower = stripped.toLowerCase(Locale.ROOT);
        return noun + " " + (lower.startsWith(noun + " ") ? stripped.substring(noun.length()).strip() : stripped);
    }
}
