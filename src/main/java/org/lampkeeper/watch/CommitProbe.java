package org.lampkeeper.watch;

import java.time.Instant;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.persistence.EntityManager;
import jakarta.transaction.Transactional;

/** A write that is worth nothing, to measure how long one takes. */
@ApplicationScoped
class CommitProbe {

    private static final String AGAIN = "UPDATE commit_probe SET at = :at WHERE instance = :instance";

    private static final String FIRST = "INSERT INTO commit_probe (instance, at) VALUES (:instance, :at)";

    private final EntityManager entities;

    CommitProbe(EntityManager entities) {
        this.entities = entities;
    }

    /** Has committed when it returns. */
    @Transactional(Transactional.TxType.REQUIRES_NEW)
    public void write(String instance, Instant at) {
        if (entities.createNativeQuery(AGAIN).setParameter("at", at).setParameter("instance", instance).executeUpdate() == 0) {
            entities.createNativeQuery(FIRST).setParameter("at", at).setParameter("instance", instance).executeUpdate();
        }
    }
}
