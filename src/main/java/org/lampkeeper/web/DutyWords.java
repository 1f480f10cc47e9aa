package org.lampkeeper.web;

import java.time.DayOfWeek;
import java.time.Instant;
import java.time.ZoneId;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.Set;
import java.util.TreeSet;
import java.util.stream.Collectors;

import org.lampkeeper.alarm.Sentences;
import org.lampkeeper.callout.DutyRole;
import org.lampkeeper.callout.Gap;
import org.lampkeeper.callout.OnNow;
import org.lampkeeper.callout.Shift;
import org.lampkeeper.web.DutyReading.SiteDuty;

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
     * @param next     who is on after that; empty for nobody
     * @param from     since when they are; later than {@code changes} where nobody is on in between
     */
    record Standing(DutyRole role, List<String> onShift, List<String> fallback, Optional<Instant> changes, List<String> next, Optional<Instant> from) {

        /** {@code names}: of whom the rota names; {@code fallback}: as above. */
        static Standing of(OnNow now, Map<Long, String> names, List<String> fallback) {
            return new Standing(now.role(), named(now.people(), names), fallback, now.until(), named(now.next(), names), now.from());
        }
    }

    /** A role, and how it stands in a sentence. */
    record RoleLine(String role, String words) {

        static List<RoleLine> of(SiteDuty duty, Instant now) {
            return duty.standings(now).stream().map(each -> of(each, duty.rota().zone(), now)).toList();
        }

        static RoleLine of(Standing standing, ZoneId zone, Instant now) {
            return new RoleLine(Sentences.capital(standing.role().words()), standing(standing, zone, now));
        }
    }

    static List<String> named(List<Long> ids, Map<Long, String> names) {
        return ids.stream().map(id -> names.getOrDefault(id, "somebody")).toList();
    }

    /** "M. Teal (duty manager) until 22:00, then A. Wren; nobody (electrician)", for a page that is about something else. */
    static String brief(List<Standing> planned, ZoneId zone, Instant now) {
        return planned.stream().map(each -> (each.onShift().isEmpty() ? "nobody" : PeopleReading.listed(each.onShift())) + " (" + each.role().words() + ")"
                + each.changes().map(at -> " until " + Sentences.clock(at, zone, now)).orElse("") + then(each, zone, now)).collect(Collectors.joining("; "));
    }

    /** "No duty manager from 22:00 to 26 Nov 06:00". */
    static String gap(Gap gap, ZoneId zone, Instant now) {
        return "No " + gap.role().words() + (gap.from().isAfter(now) ? " from " + Sentences.clock(gap.from(), zone, now) + " to " : " now, until ")
                + Sentences.clock(gap.until(), zone, now);
    }

    /** The same of the first, with how many more there are; empty for none. */
    static String gaps(List<Gap> gaps, ZoneId zone, Instant now) {
        return gaps.isEmpty() ? "" : gap(gaps.get(0), zone, now) + (gaps.size() == 1 ? "" : ", and " + (gaps.size() - 1) + " more");
    }

    private static String then(Standing standing, ZoneId zone, Instant now) {
        if (standing.changes().isEmpty() || standing.next().isEmpty()) {
            return standing.changes().isEmpty() || standing.onShift().isEmpty() ? "" : ", then no shift";
        }
        return ", then " + PeopleReading.listed(standing.next())
                + (standing.from().equals(standing.changes()) ? "" : standing.from().map(at -> " from " + Sentences.clock(at, zone, now)).orElse(""));
    }

    /** The page's answer. {@code planned}: the roles that have a shift at all; where none has, that is what is said. */
    static String headline(String site, List<Standing> planned, List<Gap> gaps, ZoneId zone, Instant now) {
        if (planned.isEmpty()) {
            return site + " has no rota yet.";
        }
        Optional<Gap> open = gaps.stream().filter(gap -> !gap.from().isAfter(now)).findFirst();
        if (open.isPresent()) {
            return "Nobody is on duty as the " + open.get().role().words() + " at " + site + " until "
                    + Sentences.clock(open.get().until(), zone, now) + ".";
        }
        List<Standing> filled = planned.stream().filter(each -> !each.onShift().isEmpty()).toList();
        String on = filled.isEmpty() ? "No shift is on at " + site + " now" : PeopleReading.listed(filled.get(0).onShift()) + " "
                + (filled.get(0).onShift().size() == 1 ? "is" : "are") + " on at " + site + " as the " + filled.get(0).role().words();
        return gaps.isEmpty() ? on + "." : on + "; from " + Sentences.clock(gaps.get(0).from(), zone, now) + " nobody is the "
                + gaps.get(0).role().words() + ".";
    }

    /** "M. Teal is on until 22:00, then A. Wren.", for one role. */
    static String standing(Standing standing, ZoneId zone, Instant now) {
        String until = standing.changes().map(at -> " until " + Sentences.clock(at, zone, now)).orElse("");
        String then = then(standing, zone, now);
        if (!standing.onShift().isEmpty()) {
            return PeopleReading.listed(standing.onShift()) + (standing.onShift().size() == 1 ? " is on" : " are on") + until + then + ".";
        }
        String instead = standing.fallback().isEmpty() ? "" : "; " + String.join(", then ", standing.fallback()) + " is told instead";
        return "Nobody is on" + until + then + instead + ".";
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

    private static List<String> days(Set<DayOfWeek> days) {
        return new TreeSet<>(days).stream().map(SHORT::get).toList();
    }
}
