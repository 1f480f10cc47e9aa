package org.lampkeeper.message;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.enterprise.event.Observes;
import jakarta.enterprise.event.TransactionPhase;

import io.quarkus.runtime.ShutdownEvent;
import io.quarkus.runtime.StartupEvent;
import org.jboss.logging.Logger;

/** Sends what waits in the outbox, in every instance. Woken by every commit that put a message, and by itself now and then for what comes due. */
@ApplicationScoped
class Dispatcher {

    private static final Logger LOG = Logger.getLogger(Dispatcher.class);

    private final SendingLoop<OutgoingMessage> loop;

    /** Takes the channels so that a wrong setting of one stops the start, not the first alarm. */
    Dispatcher(Deliveries deliveries, Channels channels, MessageConfig config) {
        LOG.infof("people can be told by %s", String.join(", ", channels.offered().stream().map(Channels.Kind::label).toList()));
        loop = new SendingLoop<>("message", config.workers(), config.poll(), deliveries::claim, deliveries::deliver);
    }

    void start(@Observes StartupEvent started) {
        loop.start();
    }

    void put(@Observes(during = TransactionPhase.AFTER_SUCCESS) Outbox.Put put) {
        loop.wake();
    }

    void stop(@Observes ShutdownEvent stopped) throws InterruptedException {
        loop.stop();
    }
}
