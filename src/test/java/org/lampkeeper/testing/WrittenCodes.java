package org.lampkeeper.testing;

import java.util.Set;
import java.util.TreeSet;

/** Reads labels that were written as ranges, independently of what writes them. */
public final class WrittenCodes {

    private WrittenCodes() {
    }

    /** The labels that a letter names: by board, or the one that it is about. */
    public static Set<String> inLetter(String body) {
        Set<String> codes = new TreeSet<>();
        for (String line : body.split("\n")) {
            if (line.matches("(All \\d+|\\d+ of \\d+|The only one) on board .*: .*\\.")) {
                codes.addAll(of(line.substring(line.indexOf(": ") + 2, line.length() - 1)));
            } else if (line.contains(", label ")) {
                codes.add(line.substring(line.indexOf(", label ") + 8).split(",")[0]);
            }
        }
        return codes;
    }

    /** As a person reads it: from the one end of a range to the other, with as many digits as the first has, or more. */
    public static Set<String> of(String written) {
        Set<String> codes = new TreeSet<>();
        for (String part : written.isEmpty() ? new String[0] : written.split(", ")) {
            String[] ends = part.split(" to ");
            if (ends.length == 1) {
                codes.add(part);
                continue;
            }
            String stem = ends[0].replaceFirst("\\d+$", "");
            String first = ends[0].substring(stem.length());
            long last = Long.parseLong(ends[1].substring(stem.length()));
            for (long number = Long.parseLong(first); number <= last; number++) {
                codes.add(stem + "0".repeat(Math.max(0, first.startsWith("0") ? first.length() - Long.toString(number).length() : 0)) + number);
            }
        }
        return codes;
    }
}
