package org.lampkeeper.web;

import java.sql.SQLException;
import java.time.Duration;
import java.time.Instant;
import java.time.LocalDate;
import java.time.LocalTime;
import java.time.ZoneId;
import java.time.ZoneOffset;
import java.util.ArrayList;
import java.util.HashMap;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalLong;
import java.util.TreeMap;

import jakarta.enterprise.context.ApplicationScoped;

import org.lampkeeper.callout.Absence;
import org.lampkeeper.callout.DutyRole;
import org.lampkeeper.callout.Gap;
import org.lampkeeper.callout.Rota;
import org.lampkeeper.callout.Shift;
import org.lampkeeper.callout.StandIn;
import org.lampkeeper.web.DutyWords.Standing;
import org.lampkeeper.web.Reads.Row;

/** Who is on now and next, for pages about something else: every site at once, in three statements whatever their number. */
@ApplicationScoped
class DutyReading {

    // Ours: who is on next is somebody of today or tomorrow, or not worth a line elsewhere.
    private static final Duration AHEAD = Duration.ofDays(2);
    // Days around now of which a shift may reach into that time; Rota looks as far.
    private static final int DAYS_AROUND = 6;

    /** Uses duty_stand_in_by_shift; walks the shifts that are valid now, which is what is asked for. The site 0 stands for every one. */
    private static final String SHIFTS_WITH_STAND_INS = """
            SELECT s.site_id, t.zone, s.id, s.role, s.person_id, p.name, s.weekdays, s.from_minute, s.to_minute, s.every_weeks, s.valid_from,
                   s.valid_until, i.id AS stand_in_id, i.person_id AS stand_in_person_id, i.from_day, i.until_day, ip.name AS stand_in
              FROM duty_shift s
              JOIN site t ON t.id = s.site_id
              LEFT JOIN person p ON p.id = s.person_id
              LEFT JOIN duty_stand_in i ON i.shift_id = s.id AND i.until_day >= ? AND i.from_day <= ?
              LEFT JOIN person ip ON ip.id = i.person_id
             WHERE (s.valid_until IS NULL OR s.valid_until >= ?) AND s.valid_from <= ? AND (? = 0 OR s.site_id = ?)
             ORDER BY s.site_id, s.id, i.id""";

    /** Uses duty_absence_by_end. */
    private static final String ABSENCES = "SELECT id, person_id, begins_at, ends_at FROM duty_absence WHERE ends_at > ? AND begins_at < ?";

    /** Found by the look ahead, until filled. */
    private static final String GAPS = """
            SELECT site_id, role, begins_at, ends_at FROM duty_gap WHERE ends_at > ? AND (? = 0 OR site_id = ?) ORDER BY site_id, begins_at, role""";

    private static final long EVERY_SITE = 0;

    private final Reads reads;

    DutyReading(Reads reads) {
        this.reads = reads;
    }

    /**
     * The rota of a site around now.
     *
     * @param names of whom it names
     * @param gaps  what is known of the days ahead
     */
    record SiteDuty(Rota rota, Map<Long, String> names, List<Gap> gaps) {

        /** Of each role that has a shift. */
        List<Standing> standings(Instant now) {
            return rota.now(now, AHEAD).stream().map(each -> Standing.of(each, names, List.of())).toList();
        }

        String brief(Instant now) {
            return DutyWords.brief(standings(now), rota.zone(), now);
        }

        String remark(Instant now) {
            return DutyWords.gaps(gaps, rota.zone(), now);
        }
    }

    /** By site; sites without a shift around now are left out. */
    Map<Long, SiteDuty> everywhere(Instant now) {
        return read(EVERY_SITE, now);
    }

    Optional<SiteDuty> at(long siteId, Instant now) {
        return Optional.ofNullable(read(siteId, now).get(siteId));
    }

    private record OneShift(long siteId, ZoneId zone, Shift shift, Optional<String> name, Optional<StandIn> standIn, Optional<String> standInName) {
    }

    private Map<Long, SiteDuty> read(long siteId, Instant now) {
        LocalDate today = LocalDate.ofInstant(now, ZoneOffset.UTC);
        LocalDate first = today.minusDays(DAYS_AROUND);
        LocalDate last = today.plusDays(DAYS_AROUND);
        List<OneShift> rows = reads.list(SHIFTS_WITH_STAND_INS, DutyReading::shift, first, last, first, last, siteId, siteId);
        if (rows.isEmpty()) {
            return Map.of();
        }
        List<Absence> absences = reads.list(ABSENCES, row -> new Absence(row.number("id"), row.number("person_id"), row.instant("begins_at"),
                row.instant("ends_at")), now.minus(Duration.ofDays(DAYS_AROUND)), now.plus(Duration.ofDays(DAYS_AROUND)));
        Map<Long, List<Gap>> gaps = new HashMap<>();
        reads.list(GAPS, row -> Map.entry(row.number("site_id"), new Gap(DutyRole.valueOf(row.text("role")), row.instant("begins_at"),
                row.instant("ends_at"))), now, siteId, siteId).forEach(each -> gaps.computeIfAbsent(each.getKey(), site -> new ArrayList<>()).add(each.getValue()));
        Map<Long, List<OneShift>> bySite = new LinkedHashMap<>();
        rows.forEach(row -> bySite.computeIfAbsent(row.siteId(), site -> new ArrayList<>()).add(row));
        Map<Long, SiteDuty> duties = new HashMap<>();
        bySite.forEach((site, own) -> duties.put(site, duty(own, absences, Gap.joined(gaps.getOrDefault(site, List.of())))));
        return duties;
    }

    private static SiteDuty duty(List<OneShift> own, List<Absence> absences, List<Gap> gaps) {
        Map<Long, Shift> shifts = new LinkedHashMap<>();
        Map<Long, StandIn> standIns = new TreeMap<>();
        Map<Long, String> names = new HashMap<>();
        for (OneShift row : own) {
            shifts.put(row.shift().id(), row.shift());
            row.name().ifPresent(name -> names.put(row.shift().personId().orElseThrow(), name));
            row.standIn().ifPresent(standIn -> standIns.put(standIn.id(), standIn));
            row.standInName().ifPresent(name -> names.put(row.standIn().orElseThrow().personId(), name));
        }
        return new SiteDuty(new Rota(own.get(0).zone(), List.copyOf(shifts.values()), List.copyOf(standIns.values()),
                absences.stream().filter(absence -> names.containsKey(absence.personId())).toList()), names, gaps);
    }

    private static OneShift shift(Row row) throws SQLException {
        Shift shift = new Shift(row.number("id"), DutyRole.valueOf(row.text("role")), row.optionalNumber("person_id"),
                Shift.days((int) row.number("weekdays")), LocalTime.ofSecondOfDay(row.number("from_minute") * 60),
                LocalTime.ofSecondOfDay(row.number("to_minute") * 60), (int) row.number("every_weeks"), row.date("valid_from").orElseThrow(),
                row.date("valid_until"));
        OptionalLong standIn = row.optionalNumber("stand_in_id");
        return new OneShift(row.number("site_id"), ZoneId.of(row.text("zone")), shift, row.optionalText("name"),
                standIn.isEmpty() ? Optional.empty() : Optional.of(new StandIn(standIn.getAsLong(), shift.id(), row.number("stand_in_person_id"),
                        row.date("from_day").orElseThrow(), row.date("until_day").orElseThrow())), row.optionalText("stand_in"));
    }
}
