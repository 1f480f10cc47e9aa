package org.lampkeeper.watch;

import java.time.Instant;
import java.util.List;
import java.util.Optional;
import java.util.OptionalLong;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.persistence.EntityManager;

import org.hibernate.Session;
import org.jspecify.annotations.Nullable;

import org.lampkeeper.alarm.AlarmEvent;
import org.lampkeeper.alarm.AlarmKind;
import org.lampkeeper.alarm.Scope;
import org.lampkeeper.register.Rows;

/** Times during which alarms of a site, a board or a cabinet are held back on purpose; each has an end. */
@ApplicationScoped
class Suppressions {

    private static final String ADD = """
            INSERT INTO suppression (id, kind, site_id, board_id, cabinet_id, starts_at, ends_at, reason, person_id)
            VALUES (nextval('suppression_seq'), :kind, :siteId, :boardId, :cabinetId, :startsAt, :endsAt, :reason, :personId)""";

    /** By suppression_by_site. A suppression without board and cabinet covers the whole site. */
    private static final String ACTIVE_FOR_CABINET = """
            SELECT s.kind, s.ends_at FROM suppression s
             WHERE s.site_id = :siteId AND s.starts_at <= :now AND s.ends_at > :now
               AND ((s.board_id IS NULL AND s.cabinet_id IS NULL)
                    OR s.cabinet_id = :cabinetId
                    OR s.board_id = (SELECT c.board_id FROM circuit c WHERE c.cabinet_id = :cabinetId))
             ORDER BY s.ends_at DESC""";

    private static final String ACTIVE_FOR_SITE = """
            SELECT s.kind, s.ends_at FROM suppression s
             WHERE s.site_id = :siteId AND s.starts_at <= :now AND s.ends_at > :now AND s.board_id IS NULL AND s.cabinet_id IS NULL
             ORDER BY s.ends_at DESC""";

    /** Why an alarm is held back now, and until when. */
    record Hold(SuppressionKind kind, Instant until) {

        AlarmEvent asEvent() {
            return kind == SuppressionKind.OUT_OF_SERVICE ? new AlarmEvent.TakenOutOfService(until)
                    : new AlarmEvent.SuppressionBegan(until);
        }
    }

    private final EntityManager entities;

    Suppressions(EntityManager entities) {
        this.entities = entities;
    }

    void add(SuppressionKind kind, long siteId, OptionalLong boardId, OptionalLong cabinetId, Instant startsAt, Instant endsAt,
            String reason, OptionalLong personId) {
        // Typed, since PostgreSQL must know what kind of nothing an absent board or cabinet is.
        entities.unwrap(Session.class).createNativeMutationQuery(ADD)
                .setParameter("kind", kind.name())
                .setParameter("siteId", siteId)
                .setParameter("boardId", orNull(boardId), Long.class)
                .setParameter("cabinetId", orNull(cabinetId), Long.class)
                .setParameter("startsAt", startsAt)
                .setParameter("endsAt", endsAt)
                .setParameter("reason", reason)
                .setParameter("personId", orNull(personId), Long.class)
                .executeUpdate();
    }

    /** The hold that lasts longest of those that cover this alarm at {@code now}; Lampkeeper's own faults are never held back. */
    Optional<Hold> activeFor(AlarmKind kind, long siteId, OptionalLong cabinetId, Instant now) {
        if (kind.scope() == Scope.INSTALLATION) {
            return Optional.empty();
        }
        var query = entities.createNativeQuery(cabinetId.isPresent() ? ACTIVE_FOR_CABINET : ACTIVE_FOR_SITE)
                .setParameter("siteId", siteId).setParameter("now", now);
        cabinetId.ifPresent(id -> query.setParameter("cabinetId", id));
        List<?> rows = query.setMaxResults(1).getResultList();
        return rows.stream().map(row -> (Object[]) row)
                .map(row -> new Hold(SuppressionKind.valueOf((String) row[0]), Rows.instant(row[1]))).findFirst();
    }

    private static @Nullable Long orNull(OptionalLong value) {
        return value.isPresent() ? value.getAsLong() : null;
    }
}
