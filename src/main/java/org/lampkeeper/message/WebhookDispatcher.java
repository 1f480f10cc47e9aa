package org.lampkeeper.message;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.enterprise.event.Observes;
import jakarta.enterprise.event.TransactionPhase;

import io.quarkus.runtime.ShutdownEvent;
import io.quarkus.runtime.StartupEvent;

import org.lampkeeper.message.WebhookTable.Leased;

/** Sends the events that wait, in every instance, with workers of its own: a receiver that hangs must not keep people from being told. */
@ApplicationScoped
class WebhookDispatcher {

    private final SendingLoop<Leased> loop;

    /** Takes the client so that a wrong setting stops the start, not the first event. */
    WebhookDispatcher(WebhookDeliveries deliveries, GuardedClient client, WebhookConfig webhooks, MessageConfig config) {
        if (config.lease().compareTo(client.timeout()) <= 0) {
            throw new IllegalStateException("lampkeeper.webhook.timeout is " + client.timeout() + ", must be shorter than lampkeeper.message.lease, "
                    + config.lease() + ": an event still on its way would be sent a second time");
        }
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
