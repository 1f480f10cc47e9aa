package org.lampkeeper.bench;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.StandardOpenOption;
import java.time.Instant;
import java.time.temporal.ChronoUnit;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;

import com.fasterxml.jackson.databind.ObjectMapper;

/** Prints each figure and appends it, one JSON object a line, to a file that outlives the run. */
public final class Results {

    private final ObjectMapper json = new ObjectMapper();
    private final Path folder;

    Results(Path folder) {
        this.folder = folder;
    }

    /** Keeps one measurement; {@code goal} says in words what was aimed at. */
    public void keep(String part, String database, Map<String, Object> figures, String goal) throws IOException {
        Map<String, Object> line = new LinkedHashMap<>();
        line.put("at", Instant.now().truncatedTo(ChronoUnit.SECONDS).toString());
        line.put("part", part);
        line.put("database", database);
        line.putAll(figures);
        line.put("goal", goal);
        Files.createDirectories(folder);
        Files.writeString(folder.resolve(part + ".jsonl"), json.writeValueAsString(line) + "\n", StandardOpenOption.CREATE,
                StandardOpenOption.APPEND);
        System.out.println("RESULT " + part + ", " + database + ": " + figures + "; goal: " + goal);
    }

    /** The value below which {@code share} (0 to 1) of the values are; the list must not be empty. */
    public static double quantile(List<Double> values, double share) {
        List<Double> sorted = values.stream().sorted().toList();
        return sorted.get((int) Math.min(sorted.size() - 1L, Math.max(0, Math.ceil(share * sorted.size()) - 1)));
    }

    public static double median(List<Double> values) {
        return quantile(values, 0.5);
    }

    /** Rounded for people. */
    public static double rounded(double value) {
        return Double.parseDouble(String.format(Locale.ROOT, value < 10 ? "%.3f" : "%.0f", value));
    }
}
