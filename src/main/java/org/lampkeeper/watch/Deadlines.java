package org.lampkeeper.watch;

import java.time.Instant;
import java.util.ArrayList;
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

    /** By deadline_by_due_at, as the next. */
    private static final String DUE = "SELECT id FROM deadline WHERE due_at <= :now AND kind <> 'CHECK' ORDER BY due_at, id LIMIT :most";

    /** They come by the thousand at the same minute, and of no loss may anybody hear later for that. */
    private static final String LOOKS_DUE = "SELECT id FROM deadline WHERE due_at <= :now AND kind = 'CHECK' ORDER BY due_at, id LIMIT :most";

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

    /** The deadlines that are due, most overdue first, those of looks after all others; whoever may be handling them. */
    List<Long> due(Instant now, int most) {
        List<Long> due = new ArrayList<>(due(DUE, now, most));
        if (due.size() < most) {
            due.addAll(due(LOOKS_DUE, now, most - due.size()));
        }
        return due;
    }

    private List<Long> due(String statement, Instant now, int most) {
        List<?> ids = entities.createNativeQuery(statement).setParameter("now", now).setParameter("most", most).getResultList();
        return ids.stream().map(Rows::number).toList();
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
