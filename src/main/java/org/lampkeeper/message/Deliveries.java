package org.lampkeeper.message;

import java.sql.Connection;
import java.sql.SQLException;
import java.time.Clock;
import java.time.Duration;
import java.time.Instant;
import java.util.List;
import java.util.Optional;
import java.util.concurrent.ThreadLocalRandom;

import javax.sql.DataSource;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.enterprise.event.Event;

import io.quarkus.narayana.jta.QuarkusTransaction;
import org.jboss.logging.Logger;

import org.lampkeeper.journal.Head;
import org.lampkeeper.journal.Journal;

/**
 * The steps of one delivery: claim, look again whether it is still needed, hand over, record. Each database step is a transaction of its
 * own and the handing over is in none; a process killed between two steps leaves a lease that runs out, and the message is sent again
 * with the same Message-ID.
 */
@ApplicationScoped
class Deliveries {

    private static final Logger LOG = Logger.getLogger(Deliveries.class);

    private final DataSource database;
    private final Journal journal;
    private final MailChannel channel;
    private final MessageConfig config;
    private final Clock clock;
    private final Event<MessageUndelivered> undelivered;

    Deliveries(DataSource database, Journal journal, MailChannel channel, MessageConfig config, Clock clock,
            Event<MessageUndelivered> undelivered) {
        this.database = database;
        this.journal = journal;
        this.channel = channel;
        this.config = config;
        this.clock = clock;
        this.undelivered = undelivered;
    }

    private interface Step<T> {
        T on(Connection connection) throws SQLException;
    }

    private <T> T inTransaction(Step<T> step) {
        return QuarkusTransaction.requiringNew().call(() -> {
            try (Connection connection = database.getConnection()) {
                return step.on(connection);
            }
        });
    }

    /** Leases up to {@code most} due messages to this instance. */
    List<OutgoingMessage> claim(int most) {
        return inTransaction(connection -> OutboxTable.claim(connection, most, config.lease(), clock.instant()));
    }

    void deliver(OutgoingMessage message) {
        if (!inTransaction(connection -> isStillNeeded(connection, message))) {
            return;
        }
        if (!clock.instant().plus(channel.timeout()).isBefore(message.leasedUntil())) {
            LOG.warnf("%s: its lease would run out while it is sent, left for whoever claims it next", message);
            return;
        }
        Head head = journal.head();
        OutgoingMail mail = new OutgoingMail(message, MailChannels.sender(config), head);
        Handover result = mail.isAddressed() ? channel.handOver(mail) : new Handover.Refused("there is no mail address to send it to");
        inTransaction(connection -> record(connection, message, result));
    }

    private boolean isStillNeeded(Connection connection, OutgoingMessage message) throws SQLException {
        if (message.purpose() == Purpose.NOTICE || message.callOutId().isEmpty()
                || !OutboxTable.isTakenOrOver(connection, message.callOutId().getAsLong())) {
            return true;
        }
        Instant now = clock.instant();
        if (OutboxTable.notNeeded(connection, message, now)) {
            journal.append(message.journalled("message-not-needed", now));
        }
        return false;
    }

    private boolean record(Connection connection, OutgoingMessage message, Handover result) throws SQLException {
        Instant now = clock.instant();
        if (result instanceof Handover.Accepted) {
            return recordSent(connection, message, now);
        }
        if (result instanceof Handover.Refused refused) {
            return recordUndelivered(connection, message, withoutAddresses(refused.reason()), now);
        }
        if (result instanceof Handover.Deferred deferred) {
            return recordFailedAttempt(connection, message, withoutAddresses(deferred.reason()), now);
        }
        if (result instanceof Handover.Unreachable unreachable) {
            String reason = withoutAddresses(unreachable.reason());
            boolean recorded = recordFailedAttempt(connection, message, reason, now);
            if (OutboxTable.beganToFail(connection, reason, now)) {
                LOG.errorf("mail cannot be handed over: %s", reason);
            }
            return recorded;
        }
        throw new IllegalStateException("unknown outcome " + result);
    }

    private boolean recordSent(Connection connection, OutgoingMessage message, Instant now) throws SQLException {
        boolean recorded = OutboxTable.sent(connection, message, now);
        if (recorded) {
            if (channel.transport() == MailConfig.Transport.FILE) {
                OutboxTable.wentAsFile(connection, message);
            }
            journal.append(message.journalled("message-sent", now).with("attempt", message.attempts() + 1)
                    .with("transport", channel.transport()));
        }
        if (OutboxTable.works(connection)) {
            LOG.info("mail can be handed over again");
        }
        return recorded;
    }

    private boolean recordFailedAttempt(Connection connection, OutgoingMessage message, String reason, Instant now) throws SQLException {
        int attempts = message.attempts() + 1;
        Duration pause = Backoff.after(attempts, config.backOffCap(), ThreadLocalRandom.current());
        Instant next = now.plus(pause);
        if (next.isAfter(message.createdAt().plus(config.giveUpAfter()))) {
            return recordUndelivered(connection, message, reason, now);
        }
        boolean recorded = OutboxTable.tryAgain(connection, message, reason, next);
        if (recorded) {
            journal.append(message.journalled("message-attempt-failed", now).with("attempt", attempts).with("reason", reason)
                    .with("nextAttemptAt", next).with("transport", channel.transport()));
            LOG.warnf("%s: attempt %d failed, tried again in %d s: %s", message, attempts, pause.toSeconds(), reason);
        }
        return recorded;
    }

    private boolean recordUndelivered(Connection connection, OutgoingMessage message, String reason, Instant now) throws SQLException {
        boolean recorded = OutboxTable.undelivered(connection, message, reason, now);
        if (recorded) {
            journal.append(message.journalled("message-undelivered", now).with("attempt", message.attempts() + 1).with("reason", reason)
                    .with("transport", channel.transport()));
            LOG.errorf("%s: undelivered after %d attempts: %s", message, message.attempts() + 1, reason);
            undelivered.fire(new MessageUndelivered(message.id(), message.callOutId(), message.personId(), now));
        }
        return recorded;
    }

    /** Servers like to repeat the address; it belongs neither into the journal nor into a log. */
    static String withoutAddresses(String reason) {
        return Optional.of(reason).map(text -> text.replaceAll("[^\\s<>]+@[^\\s<>:;,]+", "(address)").replaceAll("\\s+", " ").strip())
                .filter(text -> !text.isEmpty()).orElse("no reason given");
    }
}
