package org.lampkeeper.web;

import java.time.Duration;

import jakarta.enterprise.context.ApplicationScoped;

import io.smallrye.mutiny.Multi;
import io.smallrye.mutiny.infrastructure.Infrastructure;
import org.jboss.logging.Logger;

import org.lampkeeper.web.SupplyReading.Snapshot;

/**
 * Reads the supply once a second for all who watch it on this instance, and not at all while nobody does. When reading fails, the streams
 * end: the pages then say by themselves that they are old, and connect again.
 */
@ApplicationScoped
class LiveSupply {

    private static final Logger LOG = Logger.getLogger(LiveSupply.class);

    // Ours: a change is seen within a second, and the cost does not follow the number of readers.
    static final Duration EVERY = Duration.ofSeconds(1);

    private final Editions editions = new Editions();
    private final Multi<Snapshot> snapshots;

    LiveSupply(SupplyReading supply) {
        this.snapshots = Multi.createFrom().ticks().every(EVERY)
                .onOverflow().drop()
                .emitOn(Infrastructure.getDefaultWorkerPool(), 1)
                .map(tick -> supply.everything())
                .invoke(editions::begin)
                .onFailure().invoke(failure -> LOG.error("the live supply pages of this instance stop: it cannot be read", failure))
                .broadcast().withCancellationAfterLastSubscriberDeparture().toAllSubscribers();
    }

    /** What is composed of a snapshot, for all who see the same. */
    Editions editions() {
        return editions;
    }

    /** The newest snapshot each second; a reader that is too slow for one misses it. */
    Multi<Snapshot> snapshots() {
        return snapshots.onOverflow().drop();
    }
}
