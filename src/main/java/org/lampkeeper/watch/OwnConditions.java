package org.lampkeeper.watch;

import java.time.Duration;
import java.time.Instant;
import java.util.Optional;
import java.util.OptionalLong;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.persistence.EntityManager;
import jakarta.transaction.Transactional;

import org.lampkeeper.alarm.AlarmKind;
import org.lampkeeper.register.Rows;

/** What the instances find wrong with themselves, and the one alarm about each kind: it lasts while any of them finds it. */
@ApplicationScoped
class OwnConditions {

    // Ours: twenty looks. A dead instance does not keep an alarm, and a slow one does not lose its own.
    static final Duration FORGOTTEN_AFTER = Duration.ofMinutes(1);

    private static final String FORGET = "DELETE FROM own_condition WHERE kind = :kind AND (instance = :instance OR seen_at < :before)";

    private static final String FIND = "INSERT INTO own_condition (kind, instance, since, seen_at) VALUES (:kind, :instance, :since, :now)";

    private static final String FIRST = "SELECT MIN(since) FROM own_condition WHERE kind = :kind";

    private final EntityManager entities;
    private final SiteWatches sites;
    private final AlarmKeeper alarms;

    OwnConditions(EntityManager entities, SiteWatches sites, AlarmKeeper alarms) {
        this.entities = entities;
        this.sites = sites;
        this.alarms = alarms;
    }

    /** What {@code instance} finds now: the condition since {@code since}, or empty for nothing wrong. */
    @Transactional
    public void found(AlarmKind kind, String instance, Optional<Instant> since, Instant now) {
        sites.lock(SiteWatches.INSTALLATION);
        entities.createNativeQuery(FORGET).setParameter("kind", kind.name()).setParameter("instance", instance)
                .setParameter("before", now.minus(FORGOTTEN_AFTER)).executeUpdate();
        since.ifPresent(at -> entities.createNativeQuery(FIND).setParameter("kind", kind.name()).setParameter("instance", instance)
                .setParameter("since", at).setParameter("now", now).executeUpdate());
        Object first = entities.createNativeQuery(FIRST).setParameter("kind", kind.name()).getSingleResult();
        if (first == null) {
            alarms.returns(kind, SiteWatches.INSTALLATION, OptionalLong.empty(), now, now);
        } else {
            alarms.occurs(kind, SiteWatches.INSTALLATION, OptionalLong.empty(), Rows.instant(first), now);
        }
    }
}
