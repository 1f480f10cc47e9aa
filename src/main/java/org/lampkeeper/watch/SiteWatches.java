package org.lampkeeper.watch;

import java.time.Instant;
import java.util.Collection;
import java.util.List;
import java.util.Optional;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.persistence.EntityManager;

import org.lampkeeper.register.Rows;

/**
 * The locks of the sites. Whatever is decided about a site's alarms and call-outs is decided holding its row, so that two facts about
 * one site are never weighed side by side without knowing of each other. Sensor rows are locked before these, these before nothing.
 */
@ApplicationScoped
class SiteWatches {

    /** Stands for the installation itself: its alarms go to the operator's list. */
    static final long INSTALLATION = 0;

    private static final String LOCK_IN_ORDER = "SELECT site_id FROM site_watch WHERE site_id = ANY (:ids) ORDER BY site_id FOR UPDATE";

    private static final String READ = "SELECT site_loss_confirm_at, version FROM site_watch WHERE site_id = :id";

    private static final String EXPECT_SITE_LOSS = """
            UPDATE site_watch SET site_loss_confirm_at = :confirmAt, version = version + 1 WHERE site_id = :id""";

    /** A probable loss of the site that is being confirmed. */
    record SiteLossPending(Optional<Instant> confirmAt, long version) {
    }

    private final EntityManager entities;

    SiteWatches(EntityManager entities) {
        this.entities = entities;
    }

    void lock(long siteId) {
        lock(List.of(siteId));
    }

    void lock(Collection<Long> siteIds) {
        if (!siteIds.isEmpty()) {
            entities.createNativeQuery(LOCK_IN_ORDER).setParameter("ids", Rows.array(siteIds)).getResultList();
        }
    }

    SiteLossPending pending(long siteId) {
        Object[] row = (Object[]) entities.createNativeQuery(READ).setParameter("id", siteId).getSingleResult();
        return new SiteLossPending(Optional.ofNullable(row[0]).map(Rows::instant), Rows.number(row[1]));
    }

    void expectSiteLoss(long siteId, Instant confirmAt) {
        entities.createNativeQuery(EXPECT_SITE_LOSS).setParameter("confirmAt", confirmAt).setParameter("id", siteId).executeUpdate();
    }

    void forgetSiteLoss(long siteId) {
        entities.createNativeQuery("UPDATE site_watch SET site_loss_confirm_at = NULL, version = version + 1 WHERE site_id = :id")
                .setParameter("id", siteId).executeUpdate();
    }
}
