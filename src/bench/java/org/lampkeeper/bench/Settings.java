package org.lampkeeper.bench;

import java.nio.file.Path;
import java.util.Arrays;
import java.util.EnumSet;
import java.util.List;
import java.util.Locale;
import java.util.Set;
import java.util.stream.Collectors;

/**
 * What to measure and how much of it, from system properties named {@code bench.*}.
 *
 * @param heap the longest heap of each measured process, as {@code -Xmx} takes it; the bare loop gets the same
 */
record Settings(Set<Part> parts, Set<Database> databases, boolean quick, List<Integer> fleets, int rounds, int messages, String heap,
        Path program, Path folder) {

    /** What can be measured alone. */
    enum Part {
        INGEST, LOSS, FLOOD, LOOKS, OVERDUE, PAGE, START, YEAR, REPORT
    }

    static Settings read() {
        boolean quick = !System.getProperty("bench.quick", "false").equals("false");
        return new Settings(
                chosen(Part.class, "bench.part"),
                chosen(Database.class, "bench.database"),
                quick,
                Arrays.stream(text("bench.sensors", quick ? "2000" : "10000,100000").split(",")).map(Integer::valueOf).toList(),
                Integer.parseInt(text("bench.rounds", quick ? "2" : "7")),
                Integer.parseInt(text("bench.messages", quick ? "10000" : "50000")),
                text("bench.heap", "256m"),
                Path.of(text("bench.program", "target/quarkus-app/quarkus-run.jar")).toAbsolutePath(),
                Path.of(text("bench.folder", "target/bench")).toAbsolutePath());
    }

    /** How many sensors stand idle while the overdue ones are looked for: few, and many. */
    List<Integer> idleRows() {
        return quick ? List.of(1_000, 50_000) : List.of(1_000, 1_000_000);
    }

    int secondsOfLosses() {
        return quick ? 10 : 60;
    }

    /** How many cabinets of one intake are lost together. */
    int flood() {
        return quick ? 500 : 5_000;
    }

    /** Of how many cabinets a year of temperatures is written. */
    int sampleOfAYear() {
        return quick ? 5 : 50;
    }

    /** Of how many cabinets at one site a month is told, with how many years behind it. */
    int cabinetsOfHistory() {
        return quick ? 50 : 1_000;
    }

    /** See {@link #cabinetsOfHistory()}. */
    int yearsOfHistory() {
        return quick ? 1 : 5;
    }

    /** How many looks open at the same minute. */
    int looks() {
        return Integer.parseInt(text("bench.looks", quick ? "5000" : "100000"));
    }

    /** The fleet during which memory is looked at. */
    int largestFleet() {
        return fleets.get(fleets.size() - 1);
    }

    /** An empty property, as Maven hands it over where none was set, counts as none. */
    private static String text(String name, String otherwise) {
        String value = System.getProperty(name, "");
        return value.isBlank() ? otherwise : value;
    }

    private static <E extends Enum<E>> Set<E> chosen(Class<E> type, String property) {
        String value = text(property, "all");
        if (value.equals("all")) {
            return EnumSet.allOf(type);
        }
        return Arrays.stream(value.split(",")).map(each -> Enum.valueOf(type, each.trim().toUpperCase(Locale.ROOT)))
                .collect(Collectors.toCollection(() -> EnumSet.noneOf(type)));
    }
}
