package org.lampkeeper.check;

import java.time.DayOfWeek;
import java.time.LocalDate;
import java.util.Arrays;
import java.util.EnumSet;
import java.util.HashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Optional;
import java.util.Set;
import java.util.TreeSet;
import java.util.stream.Collectors;

/**
 * How often something comes round, as somebody says it who knows no rule of RFC 5545.
 *
 * @param every each so many weeks or months, 1 to {@value #MOST}; 1 for the others
 * @param days  of a pace of weeks; none: the weekday of the first day
 */
public record Rhythm(Pace pace, int every, Set<DayOfWeek> days) {

    /** Ours: once in four years is as seldom as anything here is looked at. */
    public static final int MOST = 48;

    /** Every month has a 28th. */
    private static final int IN_EVERY_MONTH = 28;

    /** @throws IllegalArgumentException when it comes round more seldom than {@link #MOST}, or more often than that pace does */
    public Rhythm {
        days = Set.copyOf(days);
        if (every < 1 || every > MOST) {
            throw new IllegalArgumentException("comes round every " + every + ", must be 1 to " + MOST);
        }
        if (every > 1 && !pace.isCounted()) {
            throw new IllegalArgumentException(pace + " comes round every " + every + ", must be 1");
        }
    }

    /** What is counted. */
    public enum Pace {
        EVERY_DAY, WEEKDAYS, WEEKS, MONTHS;

        public boolean isCounted() {
            return this == WEEKS || this == MONTHS;
        }
    }

    /** As a rule that begins on {@code first}; a day of the month that not every month has becomes the last of each. */
    public Recurrence from(LocalDate first) {
        String interval = every == 1 ? "" : ";INTERVAL=" + every;
        String rule = switch (pace) {
            case EVERY_DAY -> "FREQ=DAILY";
            case WEEKDAYS -> "FREQ=WEEKLY;BYDAY=MO,TU,WE,TH,FR";
            case WEEKS -> "FREQ=WEEKLY" + interval + ";BYDAY=" + written(days.isEmpty() ? Set.of(first.getDayOfWeek()) : days);
            case MONTHS -> "FREQ=MONTHLY" + interval + ";BYMONTHDAY=" + (first.getDayOfMonth() > IN_EVERY_MONTH ? -1 : first.getDayOfMonth());
        };
        return new Recurrence(rule, first);
    }

    /** The rhythm of a rule; empty where it says more than a rhythm can. */
    public static Optional<Rhythm> of(Recurrence recurrence) {
        return read(recurrence.rule()).filter(rhythm -> rhythm.from(recurrence.first()).equals(recurrence));
    }

    private static Optional<Rhythm> read(String rule) {
        Map<String, String> parts = new HashMap<>();
        for (String part : rule.split(";")) {
            int at = part.indexOf('=');
            parts.put(part.substring(0, Math.max(at, 0)), part.substring(at + 1));
        }
        String interval = parts.getOrDefault("INTERVAL", "1");
        if (!interval.matches("[1-9]\\d?") || Integer.parseInt(interval) > MOST) {
            return Optional.empty();
        }
        int every = Integer.parseInt(interval);
        Set<DayOfWeek> days = Arrays.stream(DayOfWeek.values()).filter(day -> List.of(parts.getOrDefault("BYDAY", "").split(",")).contains(code(day)))
                .collect(Collectors.toSet());
        return switch (parts.getOrDefault("FREQ", "")) {
            case "DAILY" -> every == 1 ? Optional.of(new Rhythm(Pace.EVERY_DAY, 1, Set.of())) : Optional.empty();
            case "WEEKLY" -> Optional.of(every == 1 && days.equals(EnumSet.range(DayOfWeek.MONDAY, DayOfWeek.FRIDAY))
                    ? new Rhythm(Pace.WEEKDAYS, 1, Set.of()) : new Rhythm(Pace.WEEKS, every, days));
            case "MONTHLY" -> Optional.of(new Rhythm(Pace.MONTHS, every, Set.of()));
            default -> Optional.empty();
        };
    }

    /** "every day", "Monday to Friday", "every 2 weeks on Mon and Thu", "every 6 months". */
    public String words() {
        return switch (pace) {
            case EVERY_DAY -> "every day";
            case WEEKDAYS -> "Monday to Friday";
            case WEEKS -> (every == 1 ? "every week" : "every " + every + " weeks") + (days.isEmpty() ? "" : " on " + named(days));
            case MONTHS -> every == 1 ? "every month" : "every " + every + " months";
        };
    }

    private static String named(Set<DayOfWeek> days) {
        List<String> names = new TreeSet<>(days).stream().map(day -> day.name().charAt(0) + day.name().substring(1, 3).toLowerCase(Locale.ROOT)).toList();
        int last = names.size() - 1;
        return last == 0 ? names.get(0) : String.join(", ", names.subList(0, last)) + " and " + names.get(last);
    }

    private static String written(Set<DayOfWeek> days) {
        return new TreeSet<>(days).stream().map(Rhythm::code).collect(Collectors.joining(","));
    }

    private static String code(DayOfWeek day) {
        return day.name().substring(0, 2);
    }
}
