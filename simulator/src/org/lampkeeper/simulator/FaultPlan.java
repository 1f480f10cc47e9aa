package org.lampkeeper.simulator;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Duration;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.List;
import java.util.Map;
import java.util.Random;
import java.util.TreeMap;

/** Which sensor has which fault when: dealt out by a seed, or read from a script. Always in the order of their offsets. */
public final class FaultPlan {

    private static final Comparator<PlannedFault> BY_OFFSET = Comparator.comparing(PlannedFault::offset);

    private FaultPlan() {
    }

    /**
     * Deals so many of each fault to sensors and moments by chance.
     *
     * @param within all offsets are below this; more than zero
     */
    public static List<PlannedFault> dealt(Map<Fault, Integer> howMany, List<String> deviceIds, Duration within, long seed) {
        if (deviceIds.isEmpty()) {
            throw new IllegalArgumentException("faults need at least one sensor");
        }
        Random chance = new Random(seed);
        List<PlannedFault> plan = new ArrayList<>();
        for (Map.Entry<Fault, Integer> entry : new TreeMap<>(howMany).entrySet()) {
            if (entry.getValue() < 0) {
                throw new IllegalArgumentException(entry.getKey().word() + "=" + entry.getValue() + ": must be zero or more");
            }
            for (int i = 0; i < entry.getValue(); i++) {
                Duration offset = Duration.ofMillis((long) (chance.nextDouble() * within.toMillis()));
                String deviceId = deviceIds.get(chance.nextInt(deviceIds.size()));
                plan.add(new PlannedFault(offset, deviceId, entry.getKey(), entry.getKey().usually()));
            }
        }
        plan.sort(BY_OFFSET);
        return List.copyOf(plan);
    }

    /**
     * Reads lines of {@code offset, sensor, fault[, duration]}, such as {@code 30s, sim-1, loss, 2m}. Sensor {@code *} is every sensor.
     * Empty lines and lines that start with {@code #} are passed over.
     *
     * @throws IllegalArgumentException naming file and line, when a line is not such a line or no sensor has that name
     */
    public static List<PlannedFault> read(Path script, List<String> deviceIds) throws IOException {
        List<PlannedFault> plan = new ArrayList<>();
        int number = 0;
        for (String line : Files.readAllLines(script)) {
            number++;
            String text = line.strip();
            if (text.isEmpty() || text.startsWith("#")) {
                continue;
            }
            try {
                plan.addAll(planned(text, deviceIds));
            } catch (IllegalArgumentException wrong) {
                throw new IllegalArgumentException(script + ", line " + number + ": " + wrong.getMessage(), wrong);
            }
        }
        plan.sort(BY_OFFSET);
        return List.copyOf(plan);
    }

    private static List<PlannedFault> planned(String line, List<String> deviceIds) {
        String[] fields = line.split("\\s*,\\s*", -1);
        if (fields.length < 3 || fields.length > 4) {
            throw new IllegalArgumentException("\"" + line + "\": must be offset, sensor, fault and perhaps a duration, with commas between");
        }
        Duration offset = Span.parse(fields[0]);
        Fault fault = Fault.of(fields[2]);
        Duration duration = fields.length == 4 ? Span.parse(fields[3]) : fault.usually();
        if (fields[1].equals("*")) {
            return deviceIds.stream().map(deviceId -> new PlannedFault(offset, deviceId, fault, duration)).toList();
        }
        if (!deviceIds.contains(fields[1])) {
            throw new IllegalArgumentException("no sensor is called \"" + fields[1] + "\"");
        }
        return List.of(new PlannedFault(offset, fields[1], fault, duration));
    }
}
