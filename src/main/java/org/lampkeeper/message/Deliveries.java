package org.lampkeeper.message;

import java.sql.Connection;
import java.sql.SQLException;
import java.time.Clock;
import java.time.Duration;
import java.time.Instant;
import java.util.ArrayList;
import java.util.Collections;
import java.util.List;
import java.util.Optional;
import java.util.concurrent.ThreadLocalRandom;

import jakarta.enterprise.context.ApplicationScoped;

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

    /** ISO 9075: an integrity constraint, a unique key, was violated. Both databases say so. */
    private static final String UNIQUE_VIOLATION = "23505";

    private final Database database;
    private final Journal journal;
    private final Channels channels;
    private final FallOver fallOver;
    private final Arrivals arrivals;
    private final LookLetters lookLetters;
    private final MessageConfig config;
    private final Clock clock;

    Deliveries(Database database, Journal journal, Channels channels, FallOver fallOver, Arrivals arrivals, LookLetters lookLetters, MessageConfig config,
            Clock clock) {
        this.database = database;
        this.journal = journal;
        this.channels = channels;
        this.fallOver = fallOver;
        this.arrivals = arrivals;
        this.lookLetters = lookLetters;
        this.config = config;
        this.clock = clock;
    }

    private <T> T inTransaction(Database.Work<T> work) {
        return database.getInNew("a delivery could not be claimed or recorded", work);
    }

    /** Leases up to {@code most} due messages to this instance. */
    List<OutgoingMessage> claim(int most) {
        return inTransaction(connection -> OutboxTable.claim(connection, most, !lookLetters.isWaiting(), config.lease(), clock.instant()));
    }

    void deliver(OutgoingMessage message) {
        List<Channel> ways = channels.ways(message.channel());
        if (ways.isEmpty()) {
            inTransaction(connection -> recordUndelivered(connection, message, message.channel(), "this kind of channel is not set up here",
                    clock.instant()));
            return;
        }
        Channel channel = ways.size() == 1 ? ways.get(0) : inTransaction(connection -> way(connection, message, ways));
        if (!inTransaction(connection -> isStillNeeded(connection, message) && isChannelReady(connection, message, channel))) {
            return;
        }
        if (!clock.instant().plus(channel.timeout()).isBefore(message.leasedUntil())) {
            LOG.warnf("%s: its lease would run out while it is sent, left for whoever claims it next", message);
            return;
        }
        Head head = journal.head();
        Handover result = channel.handOver(message, head);
        if (result instanceof Handover.Unreachable) {
            keepHealthOf(channel.kind());
        }
        inTransaction(connection -> record(connection, message, channel, head, result));
        if (result instanceof Handover.Accepted accepted && accepted.networkId().isPresent()) {
            arrivals.meet(channel.kind(), accepted.networkId().get());
        }
    }

    /** Each further try begins with the next way; one that is left alone is passed over. */
    private Channel way(Connection connection, OutgoingMessage message, List<Channel> ways) throws SQLException {
        List<Channel> order = new ArrayList<>(ways);
        Collections.rotate(order, -(message.attempts() % order.size()));
        for (Channel way : order) {
            if (!ChannelHealthTable.isOpen(connection, way.kind(), clock.instant())) {
                return way;
            }
        }
        return order.get(0);
    }

    /** The first failure of a kind makes its row; of several at once, one does. */
    private void keepHealthOf(String kind) {
        if (inTransaction(connection -> ChannelHealthTable.of(connection, kind)).isPresent()) {
            return;
        }
        database.runInNew("the health of " + kind + " could not be kept", connection -> {
            try {
                ChannelHealthTable.add(connection, kind);
            } catch (SQLException failed) {
                if (!UNIQUE_VIOLATION.equals(failed.getSQLState())) {
                    throw failed;
                }
                QuarkusTransaction.setRollbackOnly();
            }
        });
    }

    /** While the channel is left alone, the message waits for it, and goes by the person's next channel as well. */
    private boolean isChannelReady(Connection connection, OutgoingMessage message, Channel channel) throws SQLException {
        Instant now = clock.instant();
        Optional<Instant> until = ChannelHealthTable.waitsUntil(connection, channel.kind(), now.plus(channel.timeout()), config.circuitPause(), now);
        if (until.isEmpty()) {
            return true;
        }
        String why = channel.label() + " has failed again and again and is left alone for a moment";
        OutboxTable.lockTelling(connection, message.telling());
        if (until.get().isAfter(message.createdAt().plus(config.giveUpAfter()))) {
            recordUndelivered(connection, message, channel.transport(), why, now);
        } else if (OutboxTable.postpone(connection, message, why, until.get()) && message.purpose() == Purpose.ALARM) {
            fallOver.toNext(connection, message, now);
        }
        return false;
    }

    private boolean isStillNeeded(Connection connection, OutgoingMessage message) throws SQLException {
        if (message.purpose() != Purpose.ALARM || message.callOutId().isEmpty()
                || !OutboxTable.isTakenOrOver(connection, message.callOutId().getAsLong())) {
            return true;
        }
        Instant now = clock.instant();
        if (OutboxTable.notNeeded(connection, message, now)) {
            journal.append(message.journalled("message-not-needed", now));
        }
        return false;
    }

    private boolean record(Connection connection, OutgoingMessage message, Channel channel, Head head, Handover result) throws SQLException {
        Instant now = clock.instant();
        if (result instanceof Handover.Accepted accepted) {
            return recordSent(connection, message, channel, head, accepted, now);
        }
        OutboxTable.lockTelling(connection, message.telling());
        if (result instanceof Handover.Refused refused) {
            return recordUndelivered(connection, message, channel.transport(), withoutAddresses(refused.reason()), now);
        }
        if (result instanceof Handover.Deferred deferred) {
            return recordFailedAttempt(connection, message, channel, withoutAddresses(deferred.reason()), now);
        }
        if (result instanceof Handover.Unreachable unreachable) {
            String reason = withoutAddresses(unreachable.reason());
            boolean worked = ChannelHealthTable.of(connection, channel.kind()).flatMap(ChannelHealthTable.Health::failingSince).isEmpty();
            ChannelHealthTable.failed(connection, channel.kind(), reason, config.circuitAfter(), now.plus(config.circuitPause()), now);
            if (worked) {
                LOG.errorf("%s cannot be handed over: %s", channel.label(), reason);
            }
            return recordFailedAttempt(connection, message, channel, reason, now);
        }
        throw new IllegalStateException("unknown outcome " + result);
    }

    private boolean recordSent(Connection connection, OutgoingMessage message, Channel channel, Head head, Handover.Accepted accepted, Instant now)
            throws SQLException {
        boolean recorded = OutboxTable.sent(connection, message, now);
        if (recorded) {
            if (channel.wentAs().isPresent()) {
                OutboxTable.wentAs(connection, message, channel.wentAs().get());
            }
            journal.append(message.journalled("message-sent", now).with("attempt", message.attempts() + 1)
                    .with("transport", channel.transport())
                    // Who got it can tell this head from any other for that place: an anchor of the chain outside this database.
                    .with("journal-number", channel.tellsHead() ? Optional.of(head.number()) : Optional.empty()));
            if (accepted.networkId().isPresent()) {
                arrivals.named(connection, message, channel.kind(), accepted.networkId().get(), now);
            }
        }
        if (ChannelHealthTable.works(connection, channel.kind())) {
            LOG.infof("%s can be handed over again", channel.label());
        }
        return recorded;
    }

    private boolean recordFailedAttempt(Connection connection, OutgoingMessage message, Channel channel, String reason, Instant now)
            throws SQLException {
        int attempts = message.attempts() + 1;
        Duration pause = Backoff.after(attempts, config.backOffCap(), ThreadLocalRandom.current());
        Instant next = now.plus(pause);
        if (next.isAfter(message.createdAt().plus(config.giveUpAfter()))) {
            return recordUndelivered(connection, message, channel.transport(), reason, now);
        }
        boolean recorded = OutboxTable.tryAgain(connection, message, reason, next);
        if (recorded) {
            journal.append(message.journalled("message-attempt-failed", now).with("attempt", attempts).with("reason", reason)
                    .with("nextAttemptAt", next).with("transport", channel.transport()));
            LOG.warnf("%s: attempt %d failed, tried again in %d s: %s", message, attempts, pause.toSeconds(), reason);
            if (message.purpose() == Purpose.ALARM && next.isAfter(message.createdAt().plus(config.nextChannelAfter()))) {
                fallOver.toNext(connection, message, now);
            }
        }
        return recorded;
    }

    private boolean recordUndelivered(Connection connection, OutgoingMessage message, String transport, String reason, Instant now)
            throws SQLException {
        OutboxTable.lockTelling(connection, message.telling());
        boolean recorded = OutboxTable.undelivered(connection, message, reason, now);
        if (recorded) {
            journal.append(message.journalled("message-undelivered", now).with("attempt", message.attempts() + 1).with("reason", reason)
                    .with("transport", transport));
            LOG.errorf("%s: undelivered after %d attempts: %s", message, message.attempts() + 1, reason);
            fallOver.lost(connection, message, now);
        }
        return recorded;
    }

    /** Servers like to repeat the address; it belongs neither into the journal nor into a log. */
    static String withoutAddresses(String reason) {
        return Optional.of(reason).map(text -> text.replaceAll("[^\\s<>]+@[^\\s<>:;,]+", "(address)").replaceAll("\\s+", " ").strip())
                .filter(text -> !text.isEmpty()).orElse("no reason given");
    }
}
