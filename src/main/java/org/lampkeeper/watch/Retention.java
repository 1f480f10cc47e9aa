package org.lampkeeper.watch;

import java.time.Instant;
import java.time.ZonedDateTime;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.enterprise.inject.Instance;
import jakarta.persistence.EntityManager;

import io.micrometer.core.instrument.MeterRegistry;
import org.jboss.logging.Logger;

/** Removes each night what has been kept long enough, one small batch a transaction: nobody waits for it, and a kill undoes one batch. */
@ApplicationScoped
class Retention {

    private static final Logger LOG = Logger.getLogger(Retention.class);

    private final Instance<Retained> kinds;
    private final EntityManager entities;
    private final RetentionConfig config;
    private final WatchConfig watch;
    private final MeterRegistry meters;

    Retention(Instance<Retained> kinds, EntityManager entities, RetentionConfig config, WatchConfig watch, MeterRegistry meters) {
        this.kinds = kinds;
        this.entities = entities;
        this.config = config;
        this.watch = watch;
        this.meters = meters;
    }

    /** Removes one batch of each kind in the present transaction; returns when to come again: at once while there is more. */
    Instant removeBatch(Instant now) {
        boolean isMore = false;
        for (Retained kind : kinds) {
            int removed = SqlWork.on(entities, connection -> kind.removeOld(connection, now, config.batch()));
            isMore |= removed >= config.batch();
            if (removed > 0) {
                meters.counter("lampkeeper.retention.removed", "what", kind.what()).increment(removed);
                LOG.infof("removed %d rows that were kept long enough: %s", removed, kind.what());
            }
        }
        return isMore ? now : next(now);
    }

    /** The next time of day for it, after {@code now}. Where the clocks skip that time, it is as much later. */
    private Instant next(Instant now) {
        ZonedDateTime here = now.atZone(watch.operatorZone());
        Instant today = ZonedDateTime.of(here.toLocalDate(), config.at(), here.getZone()).toInstant();
        return today.isAfter(now) ? today : ZonedDateTime.of(here.toLocalDate().plusDays(1), config.at(), here.getZone()).toInstant();
    }
}
