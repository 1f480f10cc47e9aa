package org.lampkeeper.register;

import java.util.List;
import java.util.OptionalInt;
import java.util.OptionalLong;
import java.util.SortedMap;
import java.util.TreeMap;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.enterprise.event.Event;
import jakarta.persistence.EntityManager;
import jakarta.transaction.Transactional;

import org.lampkeeper.register.Facts.Change;

/** On which day of the month the report on the month before is sent, site by site. */
@ApplicationScoped
@Transactional
public class MonthDays {

    /** What {@link Edited} calls it. */
    public static final String THING = "month-report-day";

    /** Ours: the first day on which the month is over. */
    public static final int USUAL = 1;

    /** Ours: the last day that every month has. */
    public static final int LAST = 28;

    private static final String OF_SITE = "SELECT site_id, on_day FROM month_report_day WHERE site_id = :site";
    private static final String DROP = "DELETE FROM month_report_day WHERE site_id = :site";
    private static final String ADD = "INSERT INTO month_report_day (site_id, on_day) VALUES (:site, :day)";
    private static final String ADD_NONE = "INSERT INTO month_report_day (site_id, on_day) VALUES (:site, NULL)";

    private final EntityManager entities;
    private final Locks locks;
    private final Event<Edited> edited;

    MonthDays(EntityManager entities, Locks locks, Event<Edited> edited) {
        this.entities = entities;
        this.locks = locks;
        this.edited = edited;
    }

    /** 1 to 28; the usual one where nothing was said, empty where it is not to be sent. */
    public OptionalInt ofSite(long siteId) {
        for (Object found : entities.createNativeQuery(OF_SITE).setParameter("site", siteId).getResultList()) {
            Object[] row = (Object[]) found;
            return row[1] == null ? OptionalInt.empty() : OptionalInt.of((int) Rows.number(row[1]));
        }
        return OptionalInt.of(USUAL);
    }

    /**
     * @param day 1 to 28; empty: it is not sent any more
     * @throws NotRegistered where there is no such site, or such a day
     */
    public void change(long siteId, OptionalInt day, By by) {
        String thing = "day of the report of site " + siteId;
        if (!locks.holdSite(siteId)) {
            throw new NotRegistered(thing, List.of(new Problem("", "not registered")));
        }
        Problems problems = new Problems();
        day.ifPresent(given -> problems.must("day", given >= 1 && given <= LAST, "is " + given + ", must be a day that every month has, 1 to " + LAST));
        NotRegistered.unlessEmpty(thing, problems.list());
        OptionalInt before = ofSite(siteId);
        if (before.equals(day)) {
            return;
        }
        entities.createNativeQuery(DROP).setParameter("site", siteId).executeUpdate();
        if (day.isEmpty()) {
            entities.createNativeQuery(ADD_NONE).setParameter("site", siteId).executeUpdate();
        } else {
            entities.createNativeQuery(ADD).setParameter("site", siteId).setParameter("day", day.getAsInt()).executeUpdate();
        }
        Change change = Facts.between(facts(before), facts(day));
        edited.fire(new Edited(THING, siteId, OptionalLong.of(siteId), "changed", change.before(), change.after(), by));
    }

    private static SortedMap<String, Object> facts(OptionalInt day) {
        SortedMap<String, Object> facts = new TreeMap<>();
        facts.put("day", day.isPresent() ? String.valueOf(day.getAsInt()) : "none");
        return facts;
    }
}
