package org.lampkeeper.web;

import java.time.Instant;
import java.time.LocalDate;
import java.time.Period;
import java.time.ZoneId;
import java.time.format.DateTimeFormatter;
import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import java.util.Optional;
import java.util.Set;

import jakarta.enterprise.context.ApplicationScoped;

import org.lampkeeper.callout.DutyRole;
import org.lampkeeper.message.PersonChannels;
import org.lampkeeper.register.Contact;
import org.lampkeeper.register.DatedDuties;
import org.lampkeeper.report.Span;
import org.lampkeeper.watch.SitePeople;

/** What should be done next at a site so that a loss is heard of and met, as sentences; the most pressing first. */
@ApplicationScoped
class NextSteps {

    /** Ours: time to order a part, to find an electrician, and to be told of it in one month's report. */
    private static final Period AHEAD = Period.ofDays(60);

    /** Ours: a battery cell that is nearly empty falls fast in the cold. */
    private static final int LOW_BATTERY_PERCENT = 25;

    private static final DateTimeFormatter DAY = DateTimeFormatter.ofPattern("d MMMM uuuu", Locale.ENGLISH);
    private static final DateTimeFormatter AT = DateTimeFormatter.ofPattern("d MMMM HH:mm", Locale.ENGLISH);

    private static final String UNATTENDED = "SELECT COUNT(*) AS alarms FROM alarm WHERE unattended IS NOT NULL AND site_id = ?";

    private static final String UNWATCHED = """
            SELECT c.name FROM cabinet c
             WHERE c.site_id = ? AND EXISTS (SELECT 1 FROM circuit w WHERE w.cabinet_id = c.id)
               AND NOT EXISTS (SELECT 1 FROM sensor e WHERE e.cabinet_id = c.id AND e.retired_at IS NULL)
               AND NOT EXISTS (SELECT 1 FROM check_plan p WHERE p.cabinet_id = c.id AND p.ended_at IS NULL)
             ORDER BY c.name""";

    private static final String SENSORS = """
            SELECT c.name, st.silent, st.clock_odd, st.battery_percent FROM sensor_status st
              JOIN sensor e ON e.id = st.sensor_id AND e.retired_at IS NULL JOIN cabinet c ON c.id = e.cabinet_id
             WHERE c.site_id = ? ORDER BY c.name""";

    /** By journal_entry_by_site_and_kind. */
    private static final String UNSTEADY = """
            SELECT c.name, COUNT(*) AS times FROM journal_entry j JOIN cabinet c ON c.id = j.cabinet_id
             WHERE j.site_id = ? AND j.kind = 'supply-unsteady' AND j.at >= ? AND j.at < ? GROUP BY c.name ORDER BY c.name""";

    private static final String GAPS = "SELECT role, begins_at, ends_at FROM duty_gap WHERE site_id = ? AND ends_at > ? ORDER BY begins_at, role";

    private final Reads reads;
    private final SitePeople people;
    private final PersonChannels channels;
    private final DatedDuties duties;

    NextSteps(Reads reads, SitePeople people, PersonChannels channels, DatedDuties duties) {
        this.reads = reads;
        this.people = people;
        this.channels = channels;
        this.duties = duties;
    }

    /** @param span of which unsteady supplies are counted; all else is as it is {@code now} */
    List<String> at(long siteId, Span span, ZoneId zone, Instant now) {
        List<String> steps = new ArrayList<>();
        reads.list(UNWATCHED, row -> row.text("name"), siteId)
                .forEach(name -> steps.add("Nobody watches " + name + ": it has no sensor, and no look is planned. Give it one of them."));
        reads.list(SENSORS, row -> sensor(row.text("name"), row.is("silent"), row.is("clock_odd"), row.optionalDecimal("battery_percent")), siteId).forEach(steps::addAll);
        reads.list(UNSTEADY, row -> "The supply of " + row.text("name") + " was unsteady " + times(row.number("times")) + ": let an electrician look for a loose connection.",
                siteId, span.from(), span.until()).forEach(steps::add);
        steps.addAll(unproven(siteId, now));
        reads.list(GAPS, row -> "Nobody is on duty as " + DutyRole.valueOf(row.text("role")).words() + " from " + AT.format(row.instant("begins_at").atZone(zone)) + " until "
                + AT.format(row.instant("ends_at").atZone(zone)) + ": fill it on the page of who is on duty.", siteId, now).forEach(steps::add);
        long unsaid = reads.first(UNATTENDED, row -> row.number("alarms"), siteId).orElse(0L);
        if (unsaid > 0) {
            steps.add("Of " + (unsaid == 1 ? "one alarm that is over" : unsaid + " alarms that are over") + ", nobody has said what was done: write it down.");
        }
        LocalDate until = now.atZone(zone).toLocalDate().plus(AHEAD);
        duties.ofSite(siteId).stream().filter(duty -> !duty.due().isAfter(until)).forEach(duty -> steps.add("By " + DAY.format(duty.due()) + ", at " + duty.cabinet() + ": "
                + duty.order() + "."));
        return List.copyOf(steps);
    }

    private static List<String> sensor(String cabinet, boolean isSilent, boolean isClockOdd, Optional<Double> battery) {
        List<String> steps = new ArrayList<>();
        if (isSilent) {
            steps.add("The sensor of " + cabinet + " is not heard: look after it.");
        }
        battery.filter(percent -> percent <= LOW_BATTERY_PERCENT).ifPresent(percent -> steps.add(String.format(Locale.ROOT,
                "The battery of the sensor of %s has %.0f %% left: change it.", cabinet, percent)));
        if (isClockOdd) {
            steps.add("The clock of the sensor of " + cabinet + " is wrong: set it, or what it reports is in doubt.");
        }
        return steps;
    }

    private List<String> unproven(long siteId, Instant now) {
        List<Contact> everybody = people.everybody(siteId, now);
        Set<Long> proven = channels.provenAmong(everybody.stream().map(Contact::personId).toList());
        return everybody.stream().filter(person -> !proven.contains(person.personId()))
                .map(person -> "No channel of " + person.name() + " is proven to reach them: send a proof, or take them off the list.").toList();
    }

    private static String times(long times) {
        return times == 1 ? "once" : times == 2 ? "twice" : times + " times";
    }
}
