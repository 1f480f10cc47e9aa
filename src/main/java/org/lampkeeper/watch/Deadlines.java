package org.lampkeeper.watch;

import java.sql.PreparedStatement;
import java.time.Instant;
import java.time.ZoneOffset;
import java.util.Collections;
import java.util.List;
import java.util.Optional;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.enterprise.event.Event;
import jakarta.persistence.EntityManager;

import org.lampkeeper.register.Rows;

/** The one mechanism for what is due later: rows, so that no kill forgets them, drained by every instance. */
@ApplicationScoped
class Deadlines {

    private static final String ADD = """
            INSERT INTO deadline (id, due_at, kind, subject_id, subject_version, attempts)
            VALUES (nextval('deadline_seq'), :dueAt, :kind, :subjectId, :version, 0)""";

    /** By deadline_by_look_and_due_at, in its order. Without looks: they come by the thousand at the same minute. */
    private static final String DUE = """
            SELECT id FROM deadline WHERE is_look = FALSE AND due_at <= :now ORDER BY is_look, due_at, id LIMIT :most""";

    /** Of looks alone, by the same index. */
    private static final String LOOKS_DUE = """
            SELECT id FROM deadline WHERE is_look = TRUE AND due_at <= :now ORDER BY is_look, due_at, id LIMIT :most""";

    /** By their ids alone: how many rows the table has by now must not change how they are found. */
    private static final String CLAIM_LOOKS = """
            SELECT id, due_at, kind, subject_id, subject_version, attempts FROM deadline
             WHERE id = ANY (:ids) AND due_at <= :now FOR UPDATE SKIP LOCKED""";

    /** Looks that are due after a place in their order, by the same index; whoever may be handling them. */
    private static final String LOOKS_AFTER = """
            SELECT id, due_at, kind, subject_id, subject_version, attempts FROM deadline
             WHERE is_look = TRUE AND due_at <= :now AND due_at >= :at AND (due_at, id) > (:at, :id) ORDER BY is_look, due_at, id LIMIT :most""";

    /** Those of them that have not opened, and of which nothing but a person's answer will count: no sensor stands in. */
    private static final String CLAIM_UNOPENED = """
            SELECT id, due_at, kind, subject_id, subject_version, attempts FROM deadline
             WHERE id = ANY (:ids)
               AND EXISTS (SELECT 1 FROM check_due c JOIN check_plan p ON p.id = c.plan_id
                            WHERE c.id = deadline.subject_id AND c.version = deadline.subject_version AND c.opened_at IS NULL AND c.withdrawn_at IS NULL
                              AND c.missed_at > :now AND p.sensor_counts = FALSE)
               FOR UPDATE SKIP LOCKED""";

    private static final String HAVE_OPENED = "UPDATE deadline SET subject_version = subject_version + 1 WHERE id = ANY (?)";

    private static final String ADD_ALL = """
            INSERT INTO deadline (id, due_at, kind, subject_id, subject_version, attempts)
            SELECT nextval('deadline_seq'), v.due_at, ?, v.subject_id, v.version, 0
              FROM UNNEST(CAST(? AS BIGINT ARRAY), CAST(? AS BIGINT ARRAY), CAST(? AS TIMESTAMP(6) WITH TIME ZONE ARRAY)) AS v (subject_id, version, due_at)""";

    private static final String REMOVE_ALL = "DELETE FROM deadline WHERE id = ANY (?)";

    private static final String CLAIM = """
            SELECT id, due_at, kind, subject_id, subject_version, attempts FROM deadline WHERE id = :id FOR UPDATE SKIP LOCKED""";

    private static final String REMOVE = "DELETE FROM deadline WHERE id = :id";

    private static final String POSTPONE = "UPDATE deadline SET due_at = :dueAt, attempts = attempts + 1 WHERE id = :id";

    private static final String COMES_AGAIN = "UPDATE deadline SET due_at = :dueAt, attempts = 0 WHERE id = :id";

    /** Those that nobody else is handling: who does will find nothing new. */
    private static final String OTHERS = """
            SELECT id FROM deadline WHERE kind = :kind AND subject_id = :subject AND id <> :id FOR UPDATE SKIP LOCKED""";

    private static final String COUNT_OVERDUE = "SELECT COUNT(*) FROM deadline WHERE due_at < :before";

    private static final String EARLIEST = "SELECT MIN(due_at) FROM deadline";

    /** A deadline was committed: whoever drains may look. */
    record Added(Instant dueAt) {
    }

    record Deadline(long id, Instant dueAt, DeadlineKind kind, long subjectId, long version, int attempts) {
    }

    private final EntityManager entities;
    private final AfterCommit afterCommit;
    private final Event<Added> added;

    Deadlines(EntityManager entities, AfterCommit afterCommit, Event<Added> added) {
        this.entities = entities;
        this.afterCommit = afterCommit;
        this.added = added;
    }

    void add(DeadlineKind kind, long subjectId, long version, Instant dueAt) {
        entities.createNativeQuery(ADD)
                .setParameter("dueAt", dueAt)
                .setParameter("kind", kind.name())
                .setParameter("subjectId", subjectId)
                .setParameter("version", version)
                .executeUpdate();
        afterCommit.run(() -> added.fire(new Added(dueAt)));
    }

    /** The same for many at once. {@code versions} and {@code dueAt}: one for each of {@code subjectIds}. */
    void addAll(DeadlineKind kind, List<Long> subjectIds, List<Long> versions, List<Instant> dueAt) {
        if (subjectIds.isEmpty()) {
            return;
        }
        SqlWork.on(entities, connection -> {
            try (PreparedStatement insert = connection.prepareStatement(ADD_ALL)) {
                insert.setString(1, kind.name());
                insert.setArray(2, connection.createArrayOf("bigint", subjectIds.toArray()));
                insert.setArray(3, connection.createArrayOf("bigint", versions.toArray()));
                insert.setArray(4, connection.createArrayOf("timestamptz", dueAt.stream().map(at -> at.atOffset(ZoneOffset.UTC)).toArray()));
                return insert.executeUpdate();
            }
        });
        Instant earliest = Collections.min(dueAt);
        afterCommit.run(() -> added.fire(new Added(earliest)));
    }

    /** The deadlines that are due, most overdue first, without those of looks; whoever may be handling them. */
    List<Long> due(Instant now, int most) {
        List<?> ids = entities.createNativeQuery(DUE).setParameter("now", now).setParameter("most", most).getResultList();
        return ids.stream().map(Rows::number).toList();
    }

    /** Claims some of looks for this transaction, the most overdue; without those that somebody else holds. */
    List<Deadline> claimLooks(Instant now, int most) {
        List<?> ids = entities.createNativeQuery(LOOKS_DUE).setParameter("now", now).setParameter("most", most).getResultList();
        if (ids.isEmpty()) {
            return List.of();
        }
        List<?> rows = entities.createNativeQuery(CLAIM_LOOKS).setParameter("ids", Rows.array(ids.stream().map(Rows::number).toList())).setParameter("now", now)
                .getResultList();
        return rows.stream().map(row -> deadline((Object[]) row)).toList();
    }

    /** Looks that are due, the most overdue first, from the one after {@code last}; whoever may be handling them. */
    List<Deadline> looksAfter(Optional<Deadline> last, Instant now, int most) {
        List<?> rows = entities.createNativeQuery(LOOKS_AFTER).setParameter("now", now).setParameter("at", last.map(Deadline::dueAt).orElse(Instant.EPOCH))
                .setParameter("id", last.map(Deadline::id).orElse(0L)).setParameter("most", most).getResultList();
        return rows.stream().map(row -> deadline((Object[]) row)).toList();
    }

    /**
     * Claims those among them that have not opened for this transaction; without those that somebody else holds. Called holding the locks of
     * their sites, so that until its end nobody says anything of them.
     */
    List<Deadline> claimUnopened(List<Deadline> among, Instant now) {
        List<?> rows = entities.createNativeQuery(CLAIM_UNOPENED).setParameter("ids", Rows.array(among.stream().map(Deadline::id).toList()))
                .setParameter("now", now).getResultList();
        return rows.stream().map(row -> deadline((Object[]) row)).toList();
    }

    /** The looks of these, claimed unopened, have opened in this transaction; their deadlines stay, for whom to ask. */
    void haveOpened(List<Deadline> all) {
        SqlWork.on(entities, connection -> {
            try (PreparedStatement update = connection.prepareStatement(HAVE_OPENED)) {
                update.setArray(1, connection.createArrayOf("bigint", all.stream().map(Deadline::id).toArray()));
                return update.executeUpdate();
            }
        });
    }

    void remove(List<Deadline> all) {
        SqlWork.on(entities, connection -> {
            try (PreparedStatement delete = connection.prepareStatement(REMOVE_ALL)) {
                delete.setArray(1, connection.createArrayOf("bigint", all.stream().map(Deadline::id).toArray()));
                return delete.executeUpdate();
            }
        });
    }

    /** Claims a deadline for this transaction; empty when somebody else holds it, or it is gone or has been put off meanwhile. */
    Optional<Deadline> claim(long id, Instant now) {
        List<?> rows = entities.createNativeQuery(CLAIM).setParameter("id", id).getResultList();
        return rows.stream().map(row -> deadline((Object[]) row)).filter(due -> !due.dueAt().isAfter(now)).findFirst();
    }

    void remove(Deadline deadline) {
        entities.createNativeQuery(REMOVE).setParameter("id", deadline.id()).executeUpdate();
    }

    void postpone(Deadline deadline, Instant dueAt) {
        entities.createNativeQuery(POSTPONE).setParameter("dueAt", dueAt).setParameter("id", deadline.id()).executeUpdate();
    }

    /** It was handled and comes again at {@code dueAt}. */
    void comesAgain(Deadline deadline, Instant dueAt) {
        entities.createNativeQuery(COMES_AGAIN).setParameter("dueAt", dueAt).setParameter("id", deadline.id()).executeUpdate();
    }

    /** Removes the other deadlines of the same kind and subject. */
    void removeOthers(Deadline deadline) {
        for (Object id : entities.createNativeQuery(OTHERS).setParameter("kind", deadline.kind().name()).setParameter("subject", deadline.subjectId())
                .setParameter("id", deadline.id()).getResultList()) {
            entities.createNativeQuery(REMOVE).setParameter("id", Rows.number(id)).executeUpdate();
        }
    }

    /** How many were due before {@code before} and are still there. */
    long overdue(Instant before) {
        return ((Number) entities.createNativeQuery(COUNT_OVERDUE).setParameter("before", before).getSingleResult()).longValue();
    }

    Optional<Instant> earliest() {
        return Optional.ofNullable(entities.createNativeQuery(EARLIEST).getSingleResult()).map(Rows::instant);
    }

    private static Deadline deadline(Object[] row) {
        return new Deadline(Rows.number(row[0]), Rows.instant(row[1]), DeadlineKind.valueOf((String) row[2]), Rows.number(row[3]),
                Rows.number(row[4]), (int) Rows.number(row[5]));
    }
}
