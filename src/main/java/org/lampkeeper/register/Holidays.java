package org.lampkeeper.register;

import java.time.LocalDate;
import java.util.Arrays;
import java.util.List;
import java.util.Locale;
import java.util.Optional;

import de.focus_shift.jollyday.core.CalendarHierarchy;
import de.focus_shift.jollyday.core.HolidayManager;
import de.focus_shift.jollyday.core.ManagerParameters;

/**
 * A calendar of public holidays, as the library in use has it: of a country, or of a part of one.
 *
 * @param code as {@code gb} or {@code gb_sct}: the country, then the parts of it, in small letters
 */
public record Holidays(String code) {

    /** The calendar of that code; empty where there is none. */
    public static Optional<Holidays> find(String code) {
        return hierarchy(code).map(found -> new Holidays(code));
    }

    private static Optional<CalendarHierarchy> hierarchy(String code) {
        List<String> parts = List.of(code.split("_", -1));
        // The library names countries in capitals, and takes capitals and small letters for the same.
        if (!code.equals(code.toLowerCase(Locale.ROOT)) || !HolidayManager.getSupportedCalendarCodes().contains(parts.get(0).toUpperCase(Locale.ROOT))) {
            return Optional.empty();
        }
        Optional<CalendarHierarchy> found = Optional.of(manager(parts.get(0)).getCalendarHierarchy());
        for (String part : parts.subList(1, parts.size())) {
            found = found.map(CalendarHierarchy::getChildren).map(children -> children.get(part));
        }
        return found;
    }

    /** Whether nobody is supposed to work on that day there. */
    public boolean isHoliday(LocalDate day) {
        String[] parts = code.split("_", -1);
        return manager(parts[0]).isHoliday(day, Arrays.copyOfRange(parts, 1, parts.length));
    }

    /** "Germany, Berlin", as the library says it. */
    public String words() {
        StringBuilder words = new StringBuilder();
        String[] parts = code.split("_", -1);
        for (int i = 1; i <= parts.length; i++) {
            String until = String.join("_", Arrays.copyOf(parts, i));
            words.append(i == 1 ? "" : ", ").append(hierarchy(until).map(it -> it.getDescription(Locale.ENGLISH)).orElse(until));
        }
        return words.toString();
    }

    private static HolidayManager manager(String country) {
        return HolidayManager.getInstance(ManagerParameters.create(country));
    }
}
