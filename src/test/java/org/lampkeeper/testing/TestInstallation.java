package org.lampkeeper.testing;

import java.io.IOException;
import java.io.UncheckedIOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.DayOfWeek;
import java.time.Duration;
import java.time.LocalTime;
import java.util.ArrayList;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.stream.IntStream;

import com.fasterxml.jackson.core.JsonProcessingException;
import com.fasterxml.jackson.databind.ObjectMapper;

/**
 * A small installation for a service under test, in the form of the demo's file: one site, one board, {@code cabinets} cabinets called
 * {@code Quay 1}, {@code Quay 2}, … and a call-out list of one person a turn. The way of cabinet n is {@code 10 + n}.
 */
public record TestInstallation(int cabinets, List<Duration> turns, Optional<LocalTime> looksFrom) {

    public static final String BOARD = "Board A";
    public static final int FUSE_AMPERE = 3;

    private static final List<String> PEOPLE = List.of("M. Teal", "R. Osk", "A. Wren", "J. Sallow", "D. Harl");
    private static final String OPERATOR = "Operator on duty";
    // Longer than any test: nobody is told a second time.
    private static final String REPEAT_AFTER = "PT30M";

    public static TestInstallation of(int cabinets, Duration... turns) {
        return new TestInstallation(cabinets, List.of(turns), Optional.empty());
    }

    /** The same, where every lamp is looked at every day, for twelve hours from {@code opens} on the clocks of London, by the first person. */
    public TestInstallation lookedAtFrom(LocalTime opens) {
        return new TestInstallation(cabinets, turns, Optional.of(opens));
    }

    /** Of the person with the turn {@code number}, counted from 1. */
    public static String address(int number) {
        return PEOPLE.get(number - 1).toLowerCase(java.util.Locale.ROOT).replace(". ", ".") + "@hallowwater.example";
    }

    public static String operatorAddress() {
        return "operator@hallowwater.example";
    }

    public static String cabinet(int number) {
        return "Quay " + number;
    }

    public static String way(int number) {
        return Integer.toString(10 + number);
    }

    public static String device(int number) {
        return "quay-" + number;
    }

    /** Writes the file and returns where it is. */
    public Path write(Path directory) {
        Path file = directory.resolve("installation.json").toAbsolutePath();
        try {
            Files.writeString(file, new ObjectMapper().writerWithDefaultPrettyPrinter().writeValueAsString(asMap()));
            return file;
        } catch (JsonProcessingException impossible) {
            throw new IllegalStateException(impossible);
        } catch (IOException broken) {
            throw new UncheckedIOException("installation for a test", broken);
        }
    }

    private Map<String, Object> asMap() {
        List<Map<String, Object>> people = new ArrayList<>();
        for (int number = 1; number <= PEOPLE.size(); number++) {
            people.add(Map.of("name", PEOPLE.get(number - 1), "mail", address(number), "phone", "07700 90010" + number));
        }
        people.add(Map.of("name", OPERATOR, "mail", operatorAddress(), "phone", "01632 960010",
                "roles", List.of(Map.of("role", "ADMINISTRATOR"))));
        List<Map<String, String>> calledOut = IntStream.range(0, turns.size())
                .mapToObj(turn -> Map.of("person", PEOPLE.get(turn), "after", turns.get(turn).toString())).toList();
        Map<String, Object> site = new HashMap<>(Map.of(
                "name", "Test Quay",
                "address", "Test Quay, Hallow Water",
                "zone", "Europe/London",
                "access", "Vehicle gate code 4715",
                "intake", "meter cupboard, key 7",
                "electrician", Map.of("name", "B. Marsh", "phone", "01632 960144"),
                "callOut", Map.of("repeatAfter", REPEAT_AFTER, "turns", calledOut),
                "boards", List.of(Map.of("name", BOARD, "place", "quay kiosk", "access", "key 7")),
                "cabinets", IntStream.rangeClosed(1, cabinets).mapToObj(TestInstallation::cabinetAsMap).toList()));
        looksFrom.ifPresent(opens -> {
            site.put("shifts", List.of(Map.of("role", "SITE_DUTY", "person", PEOPLE.get(0), "days", DayOfWeek.values(), "from", "00:00", "to", "00:00")));
            site.put("looks", IntStream.rangeClosed(1, cabinets).mapToObj(number -> Map.of("cabinet", "Q" + number, "rule", "FREQ=DAILY",
                    "opens", opens.toString(), "closes", opens.plusHours(12).toString(), "graceMinutes", 30, "asked", "SITE_DUTY")).toList());
        });
        return Map.of(
                "authority", "Hallow Water Ferries",
                "people", people,
                "operator", Map.of("repeatAfter", REPEAT_AFTER, "turns", List.of(Map.of("person", OPERATOR, "after", "PT0S"))),
                "sites", List.of(site));
    }

    private static Map<String, Object> cabinetAsMap(int number) {
        return Map.of(
                "code", "Q" + number,
                "name", cabinet(number),
                "place", "on the quay, post " + number,
                "content", "defibrillator",
                "lampPlace", "under the cabinet, left",
                "circuit", Map.ofEntries(
                        Map.entry("board", BOARD),
                        Map.entry("way", way(number)),
                        Map.entry("device", "RCBO"),
                        Map.entry("curve", "C"),
                        Map.entry("ratingAmpere", 16),
                        Map.entry("residualMilliampere", 30),
                        Map.entry("cable", "3-core 2.5 mm² SWA, 9 m"),
                        Map.entry("fuseAmpere", FUSE_AMPERE),
                        Map.entry("fusedUnitPlace", "below the cabinet")),
                "sensor", Map.of("deviceId", device(number), "baseName", "urn:dev:mac:020000fffe%06x:".formatted(number)));
    }
}
