package org.lampkeeper.watch;

import java.util.Collection;
import java.util.List;
import java.util.Optional;
import java.util.OptionalLong;

import jakarta.enterprise.context.ApplicationScoped;

import io.quarkus.hibernate.orm.panache.PanacheRepositoryBase;

import org.lampkeeper.alarm.AlarmKind;
import org.lampkeeper.alarm.AlarmState;

@ApplicationScoped
class Alarms implements PanacheRepositoryBase<AlarmRecord, Long> {

    /** The open alarm of this kind, of which there is at most one. */
    Optional<AlarmRecord> open(AlarmKind kind, long siteId, OptionalLong cabinetId) {
        if (cabinetId.isPresent()) {
            return find("kind = ?1 and cabinetId = ?2 and closedAt is null", kind, cabinetId.getAsLong()).firstResultOptional();
        }
        return find("kind = ?1 and siteId = ?2 and cabinetId is null and closedAt is null", kind, siteId).firstResultOptional();
    }

    List<AlarmRecord> openAt(long siteId, AlarmKind kind) {
        return list("siteId = ?1 and kind = ?2 and closedAt is null order by id", siteId, kind);
    }

    /** Those of these sites that announced work, a test or maintenance holds back. */
    List<AlarmRecord> heldByDesign(Collection<Long> siteIds) {
        return list("siteId in ?1 and state in ?2 and closedAt is null order by id", siteIds,
                List.of(AlarmState.SUPPRESSED_BY_DESIGN, AlarmState.OUT_OF_SERVICE));
    }

    /** Whether any of a call-out, but {@code except}, is in one of these states. By alarm_by_call_out_and_state. */
    boolean anyOfCallOut(long callOutId, Collection<AlarmState> states, long except) {
        return states.stream().anyMatch(state -> find("callOutId = ?1 and state = ?2 and id <> ?3", callOutId, state, except)
                .page(0, 1).firstResultOptional().isPresent());
    }

    /** Whether the condition of any of a call-out is there, held back or not. */
    boolean anyLiveOfCallOut(long callOutId) {
        return anyOfCallOut(callOutId, List.of(AlarmState.UNACKNOWLEDGED, AlarmState.ACKNOWLEDGED), 0)
                || find("callOutId = ?1 and state in ?2 and live = true", callOutId,
                        List.of(AlarmState.SHELVED, AlarmState.SUPPRESSED_BY_DESIGN, AlarmState.OUT_OF_SERVICE)).page(0, 1)
                        .firstResultOptional().isPresent();
    }

    /** Who has what is live of a call-out, of all but {@code except}; the first of them, and nobody where nobody has any. */
    OptionalLong holderInCallOut(long callOutId, long except) {
        return find("callOutId = ?1 and state = ?2 and id <> ?3 order by id", callOutId, AlarmState.ACKNOWLEDGED, except).page(0, 1)
                .firstResultOptional().map(AlarmRecord::acknowledgedBy).orElse(OptionalLong.empty());
    }

    /**
     * Those of a call-out that are not over, each as it is stored. The first speaks for the others: one that is live and not held back
     * before all others, the one of the whole site before those of cabinets.
     */
    List<AlarmRecord> openOfCallOut(long callOutId) {
        return list("callOutId = ?1 and state <> ?2 order by case when state in ?3 then 0 when live = true then 1 else 2 end,"
                + " case when cabinetId is null then 0 else 1 end, id", callOutId, AlarmState.NORMAL,
                List.of(AlarmState.UNACKNOWLEDGED, AlarmState.ACKNOWLEDGED));
    }
}
