package org.lampkeeper.watch;

import java.time.Instant;
import java.util.List;
import java.util.Optional;
import java.util.OptionalLong;
import java.util.Set;
import java.util.TreeSet;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.persistence.EntityManager;
import jakarta.persistence.FlushModeType;

import org.hibernate.Session;
import org.jspecify.annotations.Nullable;

import org.lampkeeper.alarm.AlarmEvent;
import org.lampkeeper.alarm.AlarmKind;
import org.lampkeeper.alarm.Scope;
import org.lampkeeper.journal.Entry;
import org.lampkeeper.register.Rows;

/** Times during which alarms of a site, a board or a cabinet are held back on purpose; each has an end. */
@ApplicationScoped
class Suppressions {

    private static final String NEXT_ID = "SELECT nextval('suppression_seq')";

    private static final String ADD = """
            INSERT INTO suppression (id, kind, site_id, board_id, cabinet_id, starts_at, ends_at, reason, person_id)
            VALUES (:id, :kind, :siteId, :boardId, :cabinetId, :startsAt, :endsAt, :reason, :personId)""";

    private static final String END = "UPDATE suppression SET ended_at = :now, ended_by = :personId WHERE id = :id AND ended_at IS NULL";

    /**
     * By suppression_by_site and suppression_by_board. A suppression without board and cabinet covers the whole site; one of a board
     * covers what hangs on it, at whichever site that stands.
     */
    private static final String ACTIVE_FOR_CABINET = """
            SELECT s.kind, s.ends_at, s.reason, s.person_id FROM suppression s
             WHERE s.starts_at <= :now AND s.ends_at > :now AND s.ended_at IS NULL
               AND ((s.site_id = :siteId AND s.board_id IS NULL AND s.cabinet_id IS NULL)
                    OR (s.site_id = :siteId AND s.cabinet_id = :cabinetId)
                    OR s.board_id = (SELECT c.board_id FROM circuit c WHERE c.cabinet_id = :cabinetId))
             ORDER BY s.ends_at DESC""";

    private static final String ACTIVE_FOR_SITE = """
            SELECT s.kind, s.ends_at, s.reason, s.person_id FROM suppression s
             WHERE s.site_id = :siteId AND s.starts_at <= :now AND s.ends_at > :now AND s.ended_at IS NULL
               AND s.board_id IS NULL AND s.cabinet_id IS NULL
             ORDER BY s.ends_at DESC""";

    private static final String COLUMNS = """
            SELECT s.id, s.kind, s.site_id, s.board_id, s.cabinet_id, s.starts_at, s.ends_at, s.reason, s.person_id, s.ended_at
              FROM suppression s
            """;

    private static final String ONE = COLUMNS + " WHERE s.id = :id";

    /** By suppression_by_site. */
    private static final String AHEAD = COLUMNS + """
             WHERE s.site_id = :siteId AND s.ends_at > :now AND s.ended_at IS NULL ORDER BY s.starts_at, s.id""";

    private static final String PAST = COLUMNS + """
             WHERE s.site_id = :siteId AND (s.ends_at <= :now OR s.ended_at IS NOT NULL) ORDER BY s.starts_at DESC, s.id DESC""";

    private static final String SITES_ON_BOARD = """
            SELECT DISTINCT k.site_id FROM circuit c JOIN cabinet k ON k.id = c.cabinet_id WHERE c.board_id = :boardId""";

    /** Why an alarm is held back now, until when, and by whom, where a person asked for it. */
    record Hold(SuppressionKind kind, Instant until, String reason, OptionalLong personId) {

        AlarmEvent asEvent() {
            return kind == SuppressionKind.OUT_OF_SERVICE ? new AlarmEvent.TakenOutOfService(until)
                    : new AlarmEvent.SuppressionBegan(until);
        }
    }

    private final EntityManager entities;

    Suppressions(EntityManager entities) {
        this.entities = entities;
    }

    /** The number of what was added. */
    long add(SuppressionKind kind, long siteId, OptionalLong boardId, OptionalLong cabinetId, Instant startsAt, Instant endsAt,
            String reason, OptionalLong personId) {
        long id = Rows.number(entities.createNativeQuery(NEXT_ID).getSingleResult());
        // Typed, since PostgreSQL must know what kind of nothing an absent board or cabinet is.
        entities.unwrap(Session.class).createNativeMutationQuery(ADD)
                .setParameter("id", id)
                .setParameter("kind", kind.name())
                .setParameter("siteId", siteId)
                .setParameter("boardId", orNull(boardId), Long.class)
                .setParameter("cabinetId", orNull(cabinetId), Long.class)
                .setParameter("startsAt", startsAt)
                .setParameter("endsAt", endsAt)
                .setParameter("reason", reason)
                .setParameter("personId", orNull(personId), Long.class)
                .executeUpdate();
        return id;
    }

    /** Ends it now; false where somebody had ended it before. */
    boolean end(long id, OptionalLong personId, Instant now) {
        return entities.unwrap(Session.class).createNativeMutationQuery(END)
                .setParameter("id", id)
                .setParameter("now", now)
                .setParameter("personId", orNull(personId), Long.class)
                .executeUpdate() == 1;
    }

    Optional<Work> find(long id) {
        List<?> rows = entities.createNativeQuery(ONE).setParameter("id", id).getResultList();
        return rows.stream().map(row -> work((Object[]) row)).findFirst();
    }

    List<Work> ofSite(long siteId, Instant now, boolean isOver, int most) {
        List<?> rows = entities.createNativeQuery(isOver ? PAST : AHEAD).setParameter("siteId", siteId).setParameter("now", now)
                .setMaxResults(most).getResultList();
        return rows.stream().map(row -> work((Object[]) row)).toList();
    }

    /** The sites whose alarms it holds back: its own, and those of all that hangs on its board. */
    Set<Long> sitesOf(long siteId, OptionalLong boardId) {
        Set<Long> sites = new TreeSet<>(Set.of(siteId));
        if (boardId.isPresent()) {
            for (Object id : entities.createNativeQuery(SITES_ON_BOARD).setParameter("boardId", boardId.getAsLong()).getResultList()) {
                sites.add(Rows.number(id));
            }
        }
        return sites;
    }

    static Entry entry(Work work, String kind, Instant now) {
        Entry entry = Entry.of(now, kind).site(work.siteId()).with("work", work.id()).with("by", work.kind().name())
                .with("from", work.from()).with("until", work.until()).with("reason", work.reason()).with("board", work.boardId());
        return work.cabinetId().isPresent() ? entry.cabinet(work.cabinetId().getAsLong()) : entry;
    }

    /** The hold that lasts longest of those that cover this alarm at {@code now}; Lampkeeper's own faults are never held back. */
    Optional<Hold> activeFor(AlarmKind kind, long siteId, OptionalLong cabinetId, Instant now) {
        if (kind.scope() == Scope.INSTALLATION) {
            return Optional.empty();
        }
        var query = entities.createNativeQuery(cabinetId.isPresent() ? ACTIVE_FOR_CABINET : ACTIVE_FOR_SITE)
                .setParameter("siteId", siteId).setParameter("now", now)
                // What the caller has not written yet does not concern this table.
                .setFlushMode(FlushModeType.COMMIT);
        cabinetId.ifPresent(id -> query.setParameter("cabinetId", id));
        List<?> rows = query.setMaxResults(1).getResultList();
        return rows.stream().map(row -> (Object[]) row)
                .map(row -> new Hold(SuppressionKind.valueOf((String) row[0]), Rows.instant(row[1]), (String) row[2], id(row[3]))).findFirst();
    }

    private static @Nullable Long orNull(OptionalLong value) {
        return value.isPresent() ? value.getAsLong() : null;
    }

    private static Work work(Object[] row) {
        return new Work(Rows.number(row[0]), SuppressionKind.valueOf((String) row[1]), Rows.number(row[2]), id(row[3]), id(row[4]),
                Rows.instant(row[5]), Rows.instant(row[6]), (String) row[7], id(row[8]), Optional.ofNullable(row[9]).map(Rows::instant));
    }

    private static OptionalLong id(@Nullable Object value) {
        return value == null ? OptionalLong.empty() : OptionalLong.of(Rows.number(value));
    }
}
