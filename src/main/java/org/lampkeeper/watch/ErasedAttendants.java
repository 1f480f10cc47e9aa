package org.lampkeeper.watch;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.enterprise.event.Observes;
import jakarta.persistence.EntityManager;

import org.lampkeeper.register.ErasingPerson;

/** Somebody who has taken an alarm cannot vanish while others rely on them. What they did stays written down, without their name. */
@ApplicationScoped
class ErasedAttendants {

    private static final String HOLDS = "SELECT COUNT(*) FROM call_out WHERE taken_by = :person AND ended_at IS NULL";

    private static final String UNNAME = """
            UPDATE attendance_entry
               SET retested_by = REPLACE(retested_by, :name, :somebody), done = REPLACE(done, :name, :somebody)
             WHERE POSITION(:name IN COALESCE(retested_by, '')) > 0 OR POSITION(:name IN COALESCE(done, '')) > 0
            """;

    private final EntityManager entities;

    ErasedAttendants(EntityManager entities) {
        this.entities = entities;
    }

    void erasing(@Observes ErasingPerson event) {
        long personId = event.person().personId();
        if (((Number) entities.createNativeQuery(HOLDS).setParameter("person", personId).getSingleResult()).longValue() > 0) {
            event.refuse("has taken an alarm that is not over. Let somebody else take it, or wait until it is over");
            return;
        }
        entities.createNativeQuery(UNNAME).setParameter("name", event.person().name()).setParameter("somebody", "erased person").executeUpdate();
    }
}
