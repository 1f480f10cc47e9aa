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

    List<AlarmRecord> ofCallOut(long callOutId) {
        return list("callOutId = ?1 order by id", callOutId);
    }
}
