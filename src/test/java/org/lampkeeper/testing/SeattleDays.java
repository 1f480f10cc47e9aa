package org.lampkeeper.testing;

import java.io.IOException;
import java.io.InputStream;
import java.io.UncheckedIOException;
import java.nio.charset.StandardCharsets;
import java.time.LocalDate;
import java.time.temporal.ChronoUnit;
import java.util.ArrayList;
import java.util.List;

/**
 * Highest and lowest of each day in Seattle from 2012 to 2015 as observed: NOAA, in vega-datasets 3.2.1, data/seattle-weather.csv. What lies between them
 * is made up by whoever needs it.
 */
public final class SeattleDays {

    public static final LocalDate FIRST = LocalDate.of(2012, 1, 1);

    private static final List<Day> ALL = read();

    private SeattleDays() {
    }

    /** In °C. */
    public record Day(double highest, double lowest) {
    }

    /** From {@link #FIRST} on. */
    public static List<Day> all() {
        return ALL;
    }

    /** Both included. */
    public static List<Day> between(LocalDate first, LocalDate last) {
        return ALL.subList((int) ChronoUnit.DAYS.between(FIRST, first), (int) ChronoUnit.DAYS.between(FIRST, last) + 1);
    }

    private static List<Day> read() {
        List<Day> days = new ArrayList<>();
        try (InputStream file = SeattleDays.class.getResourceAsStream("/weather/seattle-days.txt")) {
            new String(file.readAllBytes(), StandardCharsets.UTF_8).lines().filter(line -> !line.startsWith("#")).forEach(line -> {
                for (String day : line.split(" ")) {
                    String[] both = day.split("/");
                    days.add(new Day(Double.parseDouble(both[0]), Double.parseDouble(both[1])));
                }
            });
        } catch (IOException unreadable) {
            throw new UncheckedIOException("weather/seattle-days.txt cannot be read", unreadable);
        }
        return List.copyOf(days);
    }
}
