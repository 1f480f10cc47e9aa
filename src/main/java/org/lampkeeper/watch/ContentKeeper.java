package org.lampkeeper.watch;

import java.time.Instant;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.OptionalLong;
import java.util.Set;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.enterprise.event.Observes;
import jakarta.persistence.EntityManager;
import jakarta.transaction.Transactional;

import org.lampkeeper.alarm.AlarmKind;
import org.lampkeeper.journal.Journal;
import org.lampkeeper.register.CabinetLeavesUse;
import org.lampkeeper.register.Rows;
import org.lampkeeper.thermal.Forecast;

/**
 * Content that was measured beyond its maker's limits is an alarm until somebody has looked: what it was measured at later does not make it fit for
 * use again. One transaction a cabinet.
 */
@ApplicationScoped
class ContentKeeper {

    static final Set<AlarmKind> KINDS = Set.of(AlarmKind.CONTENT_TOO_COLD, AlarmKind.CONTENT_TOO_HOT);

    /** Walks the sensors once; a handful are beyond a limit. What is too old says nothing of now; of the rest the content itself comes first. */
    private static final String BEYOND_A_LIMIT = """
            SELECT st.cabinet_id FROM sensor_status st JOIN content k ON k.cabinet_id = st.cabinet_id
             WHERE (st.content_at >= :since AND (st.content_c < k.lowest_c OR st.content_c > k.highest_c))
                OR ((st.content_at IS NULL OR st.content_at < :since) AND st.inside_at >= :since
                    AND (st.inside_c < k.lowest_c OR st.inside_c > k.highest_c))
             ORDER BY st.cabinet_id""";

    /** Uses the alarms' open key. */
    private static final String OPEN = """
            SELECT a.cabinet_id FROM alarm a
             WHERE a.open_key IS NOT NULL AND a.kind IN ('CONTENT_TOO_COLD', 'CONTENT_TOO_HOT') AND a.live = TRUE AND a.eased_at IS NULL
             ORDER BY a.cabinet_id""";

    private static final String SITE_OF = "SELECT site_id FROM cabinet WHERE id = :cabinet AND out_of_use_since IS NULL";

    private static final String MEASURED = """
            SELECT CASE WHEN st.content_at >= :since THEN st.content_c ELSE st.inside_c END,
                   CASE WHEN st.content_at >= :since THEN st.content_at ELSE st.inside_at END, k.lowest_c, k.highest_c
              FROM sensor_status st JOIN content k ON k.cabinet_id = st.cabinet_id
             WHERE st.cabinet_id = :cabinet AND (st.content_at >= :since OR st.inside_at >= :since)""";

    private final EntityManager entities;
    private final SiteWatches sites;
    private final Alarms alarms;
    private final AlarmKeeper keeper;
    private final Journal journal;

    ContentKeeper(EntityManager entities, SiteWatches sites, Alarms alarms, AlarmKeeper keeper, Journal journal) {
        this.entities = entities;
        this.sites = sites;
        this.alarms = alarms;
        this.keeper = keeper;
        this.journal = journal;
    }

    /** The cabinets for which something may have changed. */
    @Transactional
    public List<Long> toLookAt(Instant now) {
        List<Long> cabinets = new ArrayList<>();
        for (Object id : entities.createNativeQuery(BEYOND_A_LIMIT).setParameter("since", now.minus(Forecast.OLDEST)).getResultList()) {
            cabinets.add(Rows.number(id));
        }
        for (Object id : entities.createNativeQuery(OPEN).getResultList()) {
            if (!cabinets.contains(Rows.number(id))) {
                cabinets.add(Rows.number(id));
            }
        }
        return cabinets;
    }

    /** Raises what is so, and notes what is within its limits again. */
    @Transactional
    public void look(long cabinetId, Instant now) {
        Optional<Long> site = entities.createNativeQuery(SITE_OF).setParameter("cabinet", cabinetId).getResultList().stream().findFirst()
                .map(Rows::number);
        if (site.isEmpty()) {
            return;
        }
        sites.lock(site.get());
        for (Object found : entities.createNativeQuery(MEASURED).setParameter("cabinet", cabinetId).setParameter("since", now.minus(Forecast.OLDEST))
                .getResultList()) {
            Object[] row = (Object[]) found;
            double measured = ((Number) row[0]).doubleValue();
            Instant at = Rows.instant(row[1]);
            judge(AlarmKind.CONTENT_TOO_COLD, site.get(), cabinetId, row[2] != null && measured < ((Number) row[2]).doubleValue(), at, now);
            judge(AlarmKind.CONTENT_TOO_HOT, site.get(), cabinetId, row[3] != null && measured > ((Number) row[3]).doubleValue(), at, now);
        }
    }

    private void judge(AlarmKind kind, long siteId, long cabinetId, boolean isBeyond, Instant at, Instant now) {
        Optional<AlarmRecord> open = alarms.open(kind, siteId, OptionalLong.of(cabinetId));
        if (isBeyond) {
            keeper.occurs(kind, siteId, OptionalLong.of(cabinetId), at, now).eased(Optional.empty());
        } else {
            open.filter(alarm -> alarm.life().live() && alarm.easedAt().isEmpty()).ifPresent(alarm -> {
                alarm.eased(Optional.of(at));
                journal.append(AlarmKeeper.entry(alarm, "content-eased", now).with("at", at));
            });
        }
        alarms.flush();
    }

    /** Nothing of it can be looked at there any more. */
    void leavesUse(@Observes CabinetLeavesUse event) {
        sites.lock(event.siteId());
        KINDS.forEach(kind -> keeper.endsOutOfUse(kind, event.siteId(), event.cabinetId(), event.by()));
    }

    /** Somebody who was there at {@code seenAt} says that it is fit for use. What is beyond its limits still is not over by that. */
    void fitForUse(long siteId, long cabinetId, Instant seenAt, Instant now) {
        for (AlarmKind kind : KINDS) {
            boolean isSeenSince = alarms.open(kind, siteId, OptionalLong.of(cabinetId)).flatMap(AlarmRecord::easedAt)
                    .filter(eased -> !seenAt.isBefore(eased)).isPresent();
            if (isSeenSince) {
                keeper.returns(kind, siteId, OptionalLong.of(cabinetId), seenAt, now);
            }
        }
        // Whoever says that it is fit for use has seen that it is there.
        keeper.returns(AlarmKind.LOOKS_EMPTIED, siteId, OptionalLong.of(cabinetId), seenAt, now);
    }
}
