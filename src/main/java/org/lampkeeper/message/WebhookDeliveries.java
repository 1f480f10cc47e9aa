package org.lampkeeper.message;

import java.sql.Connection;
import java.sql.SQLException;
import java.time.Clock;
import java.time.Duration;
import java.time.Instant;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.concurrent.ThreadLocalRandom;

import jakarta.enterprise.context.ApplicationScoped;

import org.jboss.logging.Logger;

import org.lampkeeper.journal.Entry;
import org.lampkeeper.journal.Journal;
import org.lampkeeper.message.GuardedClient.Answer;
import org.lampkeeper.message.WebhookTable.Endpoint;
import org.lampkeeper.message.WebhookTable.Leased;

/**
 * The steps of one delivery, as {@link Deliveries} has them for messages: look again, send, record, each database step a transaction of its
 * own. A process killed in between leaves a lease that runs out, and the event is sent again with the same id.
 */
@ApplicationScoped
class WebhookDeliveries {

    private static final Logger LOG = Logger.getLogger(WebhookDeliveries.class);
    /** Ours: what claiming and recording may take beside the sending. A lease that is none of the messages' own: theirs may be shorter. */
    private static final Duration BESIDE_SENDING = Duration.ofSeconds(20);

    private final Database database;
    private final GuardedClient client;
    private final WebhookSecrets secrets;
    private final Journal journal;
    private final MessageConfig config;
    private final Clock clock;

    WebhookDeliveries(Database database, GuardedClient client, WebhookSecrets secrets, Journal journal, MessageConfig config, Clock clock) {
        this.database = database;
        this.client = client;
        this.secrets = secrets;
        this.journal = journal;
        this.config = config;
        this.clock = clock;
    }

    private <T> T inTransaction(Database.Work<T> work) {
        return database.getInNew("a delivery to a webhook could not be claimed or recorded", work);
    }

    /** Leases up to {@code most} due deliveries to this instance. */
    List<Leased> claim(int most) {
        return inTransaction(connection -> WebhookTable.claim(connection, most, client.timeout().plus(BESIDE_SENDING), clock.instant()));
    }

    void deliver(Leased delivery) {
        Optional<Endpoint> endpoint = inTransaction(connection -> ready(connection, delivery));
        if (endpoint.isEmpty()) {
            return;
        }
        Instant now = clock.instant();
        if (!now.plus(client.timeout()).isBefore(delivery.leasedUntil())) {
            LOG.warnf("%s: its lease would run out while it is sent, left for whoever claims it next", delivery);
            return;
        }
        Answer answer = send(endpoint.get(), delivery, now);
        inTransaction(connection -> record(connection, endpoint.get(), delivery, answer));
    }

    /** The endpoint as it is now; empty where it is gone, switched off or left alone for a moment, which is recorded. */
    private Optional<Endpoint> ready(Connection connection, Leased delivery) throws SQLException {
        Instant now = clock.instant();
        Optional<Endpoint> endpoint = WebhookTable.endpoint(connection, delivery.endpointId()).filter(Endpoint::isOn);
        if (endpoint.isEmpty()) {
            // It was put while the endpoint was switched off or removed.
            WebhookTable.giveUp(connection, delivery.endpointId(), "the endpoint is switched off or removed", now);
            return Optional.empty();
        }
        String health = WebhookTable.health(delivery.endpointId());
        Optional<Instant> until = ChannelHealthTable.waitsUntil(connection, health, now.plus(client.timeout()), config.circuitPause(), now);
        if (until.isEmpty()) {
            return endpoint;
        }
        WebhookTable.postpone(connection, delivery, until.get());
        return Optional.empty();
    }

    private Answer send(Endpoint endpoint, Leased delivery, Instant now) {
        List<WebhookSecret> all = new ArrayList<>();
        secrets.find(endpoint.mark()).ifPresent(all::add);
        endpoint.markBefore().filter(mark -> endpoint.beforeUntil().filter(now::isBefore).isPresent()).flatMap(secrets::find).ifPresent(all::add);
        if (all.isEmpty()) {
            return new Answer(Optional.empty(), Optional.of("the key of its secret is not in the file any more: make a new secret"), Duration.ZERO);
        }
        Map<String, String> headers = Map.of("Content-Type", "application/json", "User-Agent", "Lampkeeper", "webhook-id", delivery.key(),
                "webhook-timestamp", Long.toString(now.getEpochSecond()), "webhook-signature",
                WebhookSecret.signatures(all, delivery.key(), now, delivery.body()));
        return client.post(endpoint.url(), headers, delivery.body());
    }

    private boolean record(Connection connection, Endpoint endpoint, Leased delivery, Answer answer) throws SQLException {
        Instant now = clock.instant();
        String health = WebhookTable.health(endpoint.id());
        if (answer.isTaken()) {
            WebhookTable.delivered(connection, delivery, answer, now);
            if (ChannelHealthTable.works(connection, health)) {
                LOG.infof("webhook %d takes events again", endpoint.id());
            }
            return true;
        }
        String reason = answer.reason().orElseThrow();
        boolean worked = ChannelHealthTable.of(connection, health).flatMap(ChannelHealthTable.Health::failingSince).isEmpty();
        ChannelHealthTable.failed(connection, health, reason, config.circuitAfter(), now.plus(config.circuitPause()), now);
        if (worked) {
            LOG.warnf("webhook %d does not take events: %s", endpoint.id(), reason);
        }
        Instant next = now.plus(Backoff.after(delivery.attempts() + 1, config.backOffCap(), ThreadLocalRandom.current()));
        boolean isGivenUp = next.isAfter(delivery.wantedAt().plus(config.giveUpAfter()));
        boolean recorded = WebhookTable.failed(connection, delivery, answer, isGivenUp ? Optional.empty() : Optional.of(next), now);
        if (recorded && isGivenUp) {
            LOG.errorf("%s: undelivered after %d attempts: %s", delivery, delivery.attempts() + 1, reason);
            Entry entry = Entry.of(now, "webhook-undelivered").with("webhook", endpoint.id()).with("event", delivery.event())
                    .with("message", delivery.key()).with("attempt", delivery.attempts() + 1).with("reason", reason);
            journal.append(endpoint.siteId().isPresent() ? entry.site(endpoint.siteId().getAsLong()) : entry);
        }
        return recorded;
    }
}
