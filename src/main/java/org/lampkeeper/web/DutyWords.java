package org.lampkeeper.web;

import java.time.DayOfWeek;
import java.time.Instant;
import java.time.ZoneId;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.Set;
import java.util.TreeSet;

import org.lampkeeper.alarm.Sentences;
import org.lampkeeper.callout.DutyRole;
import org.lampkeeper.callout.Gap;
import org.lampkeeper.callout.Shift;

/** What a page says of duty, from what it was told. Looks at no clock. */
final class DutyWords {

    private static final Map<DayOfWeek, String> SHORT = Map.of(DayOfWeek.MONDAY, "Mon", DayOfWeek.TUESDAY, "Tue", DayOfWeek.WEDNESDAY, "Wed",
            DayOfWeek.THURSDAY, "Thu", DayOfWeek.FRIDAY, "Fri", DayOfWeek.SATURDAY, "Sat", DayOfWeek.SUNDAY, "Sun");

    private DutyWords() {
    }

    /**
     * How a role stands at a moment.
     *
     * @param onShift  by the rota
     * @param fallback who is told where nobody is on shift; empty where somebody is
     * @param changes  from when other people are on
     * @param next     who they are; empty for nobody
     */
    record Standing(DutyRole role, List<String> onShift, List<String> fallback, Optional<Instant> changes, List<String> next) {
    }

    /** The page's answer. {@code planned}: the roles that have a shift at all; where none has, that is what is said. */
    static String headline(String site, List<Standing> planned, List<Gap> gaps, ZoneId zone, Instant now) {
        if (planned.isEmpty()) {
            return site + " has no rota yet.";
        }
        Optional<Gap> open = gaps.stream().filter(gap -> !gap.from().isAfter(now)).findFirst();
        if (open.isPresent()) {
            return "Nobody is on duty as the " + TurnWords.role(open.get().role()) + " at " + site + " until "
                    + Sentences.clock(open.get().until(), zone, now) + ".";
        }
        List<Standing> filled = planned.stream().filter(each -> !each.onShift().isEmpty()).toList();
        String on = filled.isEmpty() ? "No shift is on at " + site + " now" : names(filled.get(0).onShift()) + " "
                + (filled.get(0).onShift().size() == 1 ? "is" : "are") + " on at " + site + " as the " + TurnWords.role(filled.get(0).role());
        return gaps.isEmpty() ? on + "." : on + "; from " + Sentences.clock(gaps.get(0).from(), zone, now) + " nobody is the "
                + TurnWords.role(gaps.get(0).role()) + ".";
    }

    /** "M. Teal is on until 22:00, then A. Wren.", for one role. */
    static String standing(Standing standing, ZoneId zone, Instant now) {
        String until = standing.changes().map(at -> " until " + Sentences.clock(at, zone, now)).orElse("");
        String then = standing.changes().isEmpty() ? "" : ", then " + (standing.next().isEmpty() ? "no shift" : names(standing.next()));
        if (!standing.onShift().isEmpty()) {
            return names(standing.onShift()) + (standing.onShift().size() == 1 ? " is on" : " are on") + until + then + ".";
        }
        String instead = standing.fallback().isEmpty() ? "and there is nobody to fall back on"
                : "and " + String.join(", then ", standing.fallback()) + " is told instead";
        return "No shift is on" + until + (standing.changes().isEmpty() ? "" : then) + "; " + instead + ".";
    }

    /** "Mon, Tue 22:00 to 06:00 on the following day, every 2 weeks". */
    static String pattern(Shift shift) {
        String days = shift.days().size() == 7 ? "every day" : String.join(", ", days(shift.days()));
        return days + " " + shift.from() + " to " + shift.to() + (shift.to().isAfter(shift.from()) ? "" : " on the following day")
                + (shift.everyWeeks() == 1 ? "" : ", every " + shift.everyWeeks() + " weeks") + ", from " + shift.validFrom()
                + shift.validUntil().map(day -> " until " + day).orElse("");
    }

    static String day(DayOfWeek day) {
        return SHORT.get(day);
    }

    static String names(List<String> names) {
        return names.size() < 3 ? String.join(" and ", names)
                : String.join(", ", names.subList(0, names.size() - 1)) + " and " + names.get(names.size() - 1);
    }

    private static List<String> days(Set<DayOfWeek> days) {
        return new TreeSet<>(days).stream().map(SHORT::get).toList();
    }
}
