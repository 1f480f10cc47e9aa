package org.lampkeeper.watch;

import java.time.Duration;
import java.time.Instant;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.OptionalLong;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.persistence.EntityManager;
import jakarta.transaction.Transactional;

import org.jspecify.annotations.Nullable;

import org.lampkeeper.alarm.AlarmKind;
import org.lampkeeper.quantity.Celsius;
import org.lampkeeper.register.Rows;
import org.lampkeeper.telemetry.Quarters;
import org.lampkeeper.thermal.Enclosure;
import org.lampkeeper.thermal.HeaterLook;
import org.lampkeeper.thermal.HeaterReach;
import org.lampkeeper.thermal.HeaterReading;
import org.lampkeeper.thermal.HeaterVerdict;
import org.lampkeeper.thermal.TimeConstant;

/** Has {@link HeaterLook} judge what a supplied cabinet did lately, and raises or ends what comes of it. One transaction a cabinet. */
@ApplicationScoped
class HeaterKeeper {

    /** Ours: a day and a night, as the look needs, and half a night before. */
    private static final Duration BACK = Duration.ofHours(36);

    /** Ours: three quarters; over a longer hole nobody knows what was. */
    private static final Duration LONGEST_HOLE = Duration.ofMinutes(46);

    /** Ours: a door that is open for longer than somebody looks in. */
    private static final Duration DOOR_OPEN_FOR = Duration.ofMinutes(15);

    /** Ours, K: by so much warmer than the outside a cabinet that is not heated does not stay. */
    private static final double HEATED_BY = 5;

    /**
     * Walks the sensors once. Near its set point, closed, and without an alarm there is nothing to judge: 2 K below and 3 K above are those of
     * {@link HeaterLook}.
     */
    private static final String TO_LOOK_AT = """
            SELECT st.cabinet_id FROM sensor_status st
              LEFT JOIN warmth w ON w.cabinet_id = st.cabinet_id
             WHERE (st.reading = 'HEALTHY' AND (st.door_open = TRUE OR st.inside_c < w.set_point_c - 2 OR st.inside_c > w.set_point_c + 3))
                OR st.cabinet_id IN (SELECT a.cabinet_id FROM alarm a
                                      WHERE a.open_key IS NOT NULL AND a.live = TRUE AND a.kind IN ('HEATER_NOT_HEATING', 'HEATER_NEVER_STOPS',
                                            'HEATER_TOO_SMALL', 'DOOR_OPEN', 'LOOKS_EMPTIED'))
             ORDER BY st.cabinet_id""";

    private static final String KNOWN = """
            SELECT c.site_id, w.set_point_c, w.coldest_c, w.watt_per_kelvin, w.joule_per_kelvin, l.early_s, l.likely_s, l.late_s
              FROM cabinet c
              LEFT JOIN warmth w ON w.cabinet_id = c.id
              LEFT JOIN learned_cooling l ON l.cabinet_id = c.id
             WHERE c.id = :cabinet AND c.out_of_use_since IS NULL""";

    /** By sensor_quarter_is_unique; and what is known now, which no row holds yet. */
    private static final String READINGS = """
            SELECT q.observed_at, q.reading, q.inside_c, q.outside_c, q.heater_on, q.door_open FROM sensor_quarter q
             WHERE q.sensor_id IN (SELECT st.sensor_id FROM sensor_status st WHERE st.cabinet_id = :cabinet) AND q.quarter >= :quarter
             UNION ALL
            SELECT st.observed_at, st.reading, CASE WHEN st.inside_at = st.observed_at THEN st.inside_c END,
                   CASE WHEN st.outside_at = st.observed_at THEN st.outside_c END, st.heater_on, st.door_open
              FROM sensor_status st WHERE st.cabinet_id = :cabinet AND st.observed_at IS NOT NULL
             ORDER BY 1""";

    private final EntityManager entities;
    private final SiteWatches sites;
    private final AlarmKeeper alarms;

    HeaterKeeper(EntityManager entities, SiteWatches sites, AlarmKeeper alarms) {
        this.entities = entities;
        this.sites = sites;
        this.alarms = alarms;
    }

    @Transactional
    public List<Long> toLookAt(Instant now) {
        List<?> ids = entities.createNativeQuery(TO_LOOK_AT).getResultList();
        return ids.stream().map(Rows::number).toList();
    }

    /** Where the set point or the time constant is not known, only the door is judged. */
    @Transactional
    public void look(long cabinetId, Instant now) {
        for (Object found : entities.createNativeQuery(KNOWN).setParameter("cabinet", cabinetId).getResultList()) {
            Object[] row = (Object[]) found;
            long siteId = Rows.number(row[0]);
            sites.lock(siteId);
            List<HeaterReading> readings = readings(cabinetId, now);
            if (readings.isEmpty()) {
                return;
            }
            door(siteId, cabinetId, readings, now);
            Optional<TimeConstant> tau = tau(row);
            if (row[1] != null && tau.isPresent()) {
                Celsius setPoint = new Celsius(number(row[1]));
                HeaterVerdict verdict = HeaterLook.at(readings, setPoint, tau.get());
                heater(siteId, cabinetId, verdict, readings.get(readings.size() - 1), setPoint,
                        Optional.ofNullable(row[2]).map(it -> new Celsius(number(it))), now);
            }
        }
    }

    private void door(long siteId, long cabinetId, List<HeaterReading> readings, Instant now) {
        int from = readings.size();
        while (from > 0 && readings.get(from - 1).doorOpen().orElse(false)) {
            from--;
        }
        if (from == readings.size()) {
            ends(AlarmKind.DOOR_OPEN, siteId, cabinetId, readings.get(from - 1).at(), now);
        } else if (!readings.get(from).at().plus(DOOR_OPEN_FOR).isAfter(now)) {
            occurs(AlarmKind.DOOR_OPEN, siteId, cabinetId, readings.get(from).at(), now);
        }
    }

    /** What the readings do not carry neither raises anything nor ends it. */
    private void heater(long siteId, long cabinetId, HeaterVerdict verdict, HeaterReading last, Celsius setPoint, Optional<Celsius> coldest, Instant now) {
        if (verdict instanceof HeaterVerdict.DoesNotHeat not) {
            occurs(AlarmKind.HEATER_NOT_HEATING, siteId, cabinetId, not.since(), now);
            ends(AlarmKind.LOOKS_EMPTIED, siteId, cabinetId, last.at(), now);
        } else if (verdict instanceof HeaterVerdict.NeverStops never) {
            occurs(AlarmKind.HEATER_NEVER_STOPS, siteId, cabinetId, never.since(), now);
        } else if (verdict instanceof HeaterVerdict.LooksEmptied emptied) {
            occurs(AlarmKind.LOOKS_EMPTIED, siteId, cabinetId, emptied.since(), now);
        } else if (verdict instanceof HeaterVerdict.Heats heats) {
            ends(AlarmKind.HEATER_NOT_HEATING, siteId, cabinetId, last.at(), now);
            ends(AlarmKind.LOOKS_EMPTIED, siteId, cabinetId, last.at(), now);
            coldest.ifPresent(winter -> winter(siteId, cabinetId, heats.reach().in(winter), last.at(), now));
        } else if (verdict instanceof HeaterVerdict.DoorOpen || verdict instanceof HeaterVerdict.NotJudged) {
            boolean isHeld = verdict instanceof HeaterVerdict.NotJudged && last.inside().value() - last.outside().value() >= HEATED_BY
                    && last.inside().value() >= setPoint.value() - 2;
            if (isHeld) {
                ends(AlarmKind.HEATER_NOT_HEATING, siteId, cabinetId, last.at(), now);
            }
        } else {
            throw new IllegalStateException("verdict without a rule: " + verdict);
        }
        if (last.inside().value() <= setPoint.value() + 3) {
            ends(AlarmKind.HEATER_NEVER_STOPS, siteId, cabinetId, last.at(), now);
        }
    }

    private void winter(long siteId, long cabinetId, HeaterReach.Winter winter, Instant at, Instant now) {
        switch (winter) {
            case TOO_SMALL -> occurs(AlarmKind.HEATER_TOO_SMALL, siteId, cabinetId, at, now);
            case HOLDS -> ends(AlarmKind.HEATER_TOO_SMALL, siteId, cabinetId, at, now);
            case UNSURE -> { }
        }
    }

    private void occurs(AlarmKind kind, long siteId, long cabinetId, Instant since, Instant now) {
        alarms.occurs(kind, siteId, OptionalLong.of(cabinetId), since, now);
    }

    private void ends(AlarmKind kind, long siteId, long cabinetId, Instant at, Instant now) {
        alarms.returns(kind, siteId, OptionalLong.of(cabinetId), at, now);
    }

    /** The end of what is on record, back to where the supply was not healthy, a temperature is missing, or a hole is. */
    private List<HeaterReading> readings(long cabinetId, Instant now) {
        List<HeaterReading> run = new ArrayList<>();
        for (Object found : entities.createNativeQuery(READINGS).setParameter("cabinet", cabinetId).setParameter("quarter", Quarters.of(now.minus(BACK)))
                .getResultList()) {
            Object[] row = (Object[]) found;
            Instant at = Rows.instant(row[0]);
            boolean isUsable = "HEALTHY".equals(row[1]) && row[2] != null && row[3] != null;
            boolean isHole = !run.isEmpty() && run.get(run.size() - 1).at().plus(LONGEST_HOLE).isBefore(at);
            if (!isUsable || isHole) {
                run.clear();
            }
            if (isUsable && (run.isEmpty() || run.get(run.size() - 1).at().isBefore(at))) {
                run.add(new HeaterReading(at, new Celsius(number(row[2])), new Celsius(number(row[3])), truth(row[4]), truth(row[5])));
            }
        }
        boolean isOld = run.isEmpty() || run.get(run.size() - 1).at().plus(LONGEST_HOLE).isBefore(now);
        return isOld ? List.of() : List.copyOf(run);
    }

    private static Optional<TimeConstant> tau(Object[] row) {
        if (row[6] != null) {
            return Optional.of(new TimeConstant(seconds(row[5]), seconds(row[6]), seconds(row[7]), TimeConstant.Basis.LEARNED));
        }
        return row[3] == null ? Optional.empty() : Optional.of(new Enclosure(number(row[3]), number(row[4])).timeConstant());
    }

    private static Duration seconds(Object value) {
        return Duration.ofMillis(Math.round(number(value) * 1000));
    }

    private static double number(Object value) {
        return ((Number) value).doubleValue();
    }

    private static Optional<Boolean> truth(@Nullable Object value) {
        return Optional.ofNullable((Boolean) value);
    }
}
