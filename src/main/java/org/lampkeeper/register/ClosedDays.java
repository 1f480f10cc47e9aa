package org.lampkeeper.register;

import java.time.LocalDate;
import java.util.HashMap;
import java.util.HashSet;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalLong;
import java.util.Set;
import java.util.SortedMap;
import java.util.TreeMap;
import java.util.TreeSet;
import java.util.function.Predicate;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.enterprise.event.Event;
import jakarta.persistence.EntityManager;
import jakarta.transaction.Transactional;

import org.lampkeeper.register.Facts.Change;

/** Days on which nobody is at a site: those that were entered for it, and the public holidays of a calendar. */
@ApplicationScoped
@Transactional
public class ClosedDays {

    private static final String OF_SITE = "SELECT on_day, name FROM site_closed_day WHERE site_id = :site ORDER BY on_day";
    private static final String ADD = "INSERT INTO site_closed_day (site_id, on_day, name) VALUES (:site, :day, :name)";
    private static final String REMOVE = "DELETE FROM site_closed_day WHERE site_id = :site AND on_day = :day";
    private static final String CALENDAR = "SELECT calendar FROM site_holidays WHERE site_id = :site";
    private static final String SET_CALENDAR = "INSERT INTO site_holidays (site_id, calendar) VALUES (:site, :calendar)";
    private static final String DROP_CALENDAR = "DELETE FROM site_holidays WHERE site_id = :site";
    private static final String PLANS = "SELECT id FROM check_plan WHERE site_id = :site AND ended_at IS NULL ORDER BY id";

    /** The width of the column. */
    private static final int LONGEST_NAME = 120;
    /** Ours: ten years of a school's holidays. */
    private static final int MOST_DAYS = 1000;

    private final EntityManager entities;
    private final Locks locks;
    private final Event<Edited> edited;
    private final Event<CheckPlansChanged> changed;

    ClosedDays(EntityManager entities, Locks locks, Event<Edited> edited, Event<CheckPlansChanged> changed) {
        this.entities = entities;
        this.locks = locks;
        this.edited = edited;
        this.changed = changed;
    }

    /** Those that were entered, in order, with what is on. */
    public SortedMap<LocalDate, String> ofSite(long siteId) {
        SortedMap<LocalDate, String> days = new TreeMap<>();
        for (Object found : entities.createNativeQuery(OF_SITE).setParameter("site", siteId).getResultList()) {
            Object[] row = (Object[]) found;
            days.put(Rows.day(row[0]), (String) row[1]);
        }
        return days;
    }

    /** The calendar of public holidays that a site keeps; empty for none. */
    public Optional<Holidays> holidays(long siteId) {
        List<?> codes = entities.createNativeQuery(CALENDAR).setParameter("site", siteId).getResultList();
        return codes.stream().findFirst().flatMap(code -> Holidays.find((String) code));
    }

    /** Whether a day is a closed one at that site, as it is entered now. */
    public Predicate<LocalDate> at(long siteId) {
        Set<LocalDate> own = new HashSet<>(ofSite(siteId).keySet());
        Optional<Holidays> holidays = holidays(siteId);
        Map<LocalDate, Boolean> looked = new HashMap<>();
        return day -> own.contains(day) || holidays.filter(calendar -> looked.computeIfAbsent(day, calendar::isHoliday)).isPresent();
    }

    /** @param name what is on, as "stocktaking" */
    public void add(long siteId, LocalDate day, String name, By by) {
        String thing = "closed day at site " + siteId;
        hold(siteId, thing);
        SortedMap<LocalDate, String> days = ofSite(siteId);
        NotRegistered.unlessEmpty(thing, new Problems().text("name", "What is on", name, LONGEST_NAME)
                .must("day", !days.containsKey(day), "is a closed day already")
                .must("day", days.size() < MOST_DAYS, "the site has " + MOST_DAYS + " closed days already, take some away first").list());
        entities.createNativeQuery(ADD).setParameter("site", siteId).setParameter("day", day).setParameter("name", name).executeUpdate();
        SortedMap<String, Object> after = new TreeMap<>(Map.of("day", day.toString(), "name", name));
        fire("closed-day", siteId, "registered", new Change(Facts.none(), after), by);
    }

    /** Nothing happens where it is none. */
    public void remove(long siteId, LocalDate day, By by) {
        hold(siteId, "closed day at site " + siteId);
        if (entities.createNativeQuery(REMOVE).setParameter("site", siteId).setParameter("day", day).executeUpdate() > 0) {
            fire("closed-day", siteId, "removed", new Change(new TreeMap<>(Map.of("day", day.toString())), Facts.none()), by);
        }
    }

    /**
     * All of them at once: a day that is not among {@code days} is a closed one no longer. What stays as it was is not written down again.
     *
     * @param calendar a code of {@link Holidays}; empty for no public holidays
     */
    public void replace(long siteId, List<ClosedDay> days, Optional<String> calendar, By by) {
        String thing = "closed days at site " + siteId;
        hold(siteId, thing);
        Problems problems = new Problems().must("days", days.size() <= MOST_DAYS, days.size() + " closed days, must be at most " + MOST_DAYS)
                .list(ofCalendar(calendar));
        SortedMap<LocalDate, String> wanted = new TreeMap<>();
        for (int i = 0; i < days.size(); i++) {
            problems.text("days." + i + ".name", "What is on", days.get(i).name(), LONGEST_NAME)
                    .must("days." + i + ".day", wanted.putIfAbsent(days.get(i).day(), days.get(i).name()) == null, days.get(i).day() + " is there twice");
        }
        NotRegistered.unlessEmpty(thing, problems.list());
        SortedMap<LocalDate, String> before = ofSite(siteId);
        boolean isAnother = false;
        for (LocalDate day : new TreeSet<>(before.keySet())) {
            if (!before.get(day).equals(wanted.get(day))) {
                entities.createNativeQuery(REMOVE).setParameter("site", siteId).setParameter("day", day).executeUpdate();
                write("closed-day", siteId, "removed", new Change(new TreeMap<>(Map.of("day", day.toString())), Facts.none()), by);
                isAnother = true;
            }
        }
        for (Map.Entry<LocalDate, String> each : wanted.entrySet()) {
            if (!each.getValue().equals(before.get(each.getKey()))) {
                entities.createNativeQuery(ADD).setParameter("site", siteId).setParameter("day", each.getKey()).setParameter("name", each.getValue()).executeUpdate();
                write("closed-day", siteId, "registered",
                        new Change(Facts.none(), new TreeMap<>(Map.of("day", each.getKey().toString(), "name", each.getValue()))), by);
                isAnother = true;
            }
        }
        if (isAnother) {
            planAnew(siteId, by);
        }
        keepHolidays(siteId, calendar, by);
    }

    private static List<Problem> ofCalendar(Optional<String> calendar) {
        return new Problems().must("calendar", calendar.isEmpty() || Holidays.find(calendar.get()).isPresent(),
                "is no calendar of public holidays that is known here, must be a country such as gb, or one with its part such as gb_sct").list();
    }

    /** @param calendar a code of {@link Holidays}; empty for no public holidays */
    public void keepHolidays(long siteId, Optional<String> calendar, By by) {
        String thing = "holidays of site " + siteId;
        hold(siteId, thing);
        NotRegistered.unlessEmpty(thing, ofCalendar(calendar));
        Optional<String> before = holidays(siteId).map(Holidays::code);
        if (before.equals(calendar)) {
            return;
        }
        entities.createNativeQuery(DROP_CALENDAR).setParameter("site", siteId).executeUpdate();
        calendar.ifPresent(code -> entities.createNativeQuery(SET_CALENDAR).setParameter("site", siteId).setParameter("calendar", code).executeUpdate());
        fire("holidays", siteId, "changed", Facts.between(new TreeMap<>(Map.of("calendar", before.orElse("none"))),
                new TreeMap<>(Map.of("calendar", calendar.orElse("none")))), by);
    }

    /** Two who change the days of one site at once come one after the other. */
    private void hold(long siteId, String thing) {
        if (!locks.holdSite(siteId)) {
            throw new NotRegistered(thing, List.of(new Problem("", "not registered")));
        }
    }

    private void fire(String thing, long siteId, String verb, Change change, By by) {
        write(thing, siteId, verb, change, by);
        planAnew(siteId, by);
    }

    private void write(String thing, long siteId, String verb, Change change, By by) {
        edited.fire(new Edited(thing, siteId, OptionalLong.of(siteId), verb, change.before(), change.after(), by));
    }

    private void planAnew(long siteId, By by) {
        List<?> plans = entities.createNativeQuery(PLANS).setParameter("site", siteId).getResultList();
        changed.fire(new CheckPlansChanged(plans.stream().map(Rows::number).toList(), by.at()));
    }
}
