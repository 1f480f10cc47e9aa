package org.lampkeeper.message;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.enterprise.event.Observes;
import jakarta.enterprise.event.TransactionPhase;

import io.quarkus.runtime.ShutdownEvent;
import io.quarkus.runtime.StartupEvent;
import org.jboss.logging.Logger;

import org.lampkeeper.message.WebhookTable.Leased;

/** Sends the events that wait, in every instance, with workers of its own: a receiver that hangs must not keep people from being told. */
@ApplicationScoped
class WebhookDispatcher {

    private static final Logger LOG = Logger.getLogger(WebhookDispatcher.class);

    private final SendingLoop<Leased> loop;

    WebhookDispatcher(WebhookDeliveries deliveries, GuardedClient client, WebhookConfig webhooks, MessageConfig config) {
        // Asked here, so that a wrong setting of the client stops the start and not the first event.
        LOG.debugf("a delivery to a webhook has %s", client.timeout());
        loop = new SendingLoop<>("webhook", webhooks.workers(), config.poll(), deliveries::claim, deliveries::deliver);
    }

    void start(@Observes StartupEvent started) {
        loop.start();
    }

    void put(@Observes(during = TransactionPhase.AFTER_SUCCESS) WebhookEvents.Put put) {
        loop.wake();
    }

    void stop(@Observes ShutdownEvent stopped) throws InterruptedException {
        loop.stop();
    }
}
