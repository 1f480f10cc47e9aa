package org.lampkeeper.message;

import java.sql.Connection;
import java.sql.SQLException;
import java.time.Clock;
import java.time.Duration;
import java.time.Instant;
import java.util.Optional;

import jakarta.enterprise.context.ApplicationScoped;

import org.lampkeeper.journal.Journal;

/** What a network says later about a message that it had taken: a receipt, a bounce. Each is taken in one transaction and bears a repeat. */
@ApplicationScoped
class Arrivals {

    /** Ours: a receipt overtakes the answer by seconds; what nobody has claimed after a day is about somebody else's message. */
    private static final Duration UNCLAIMED = Duration.ofDays(1);

    private final Database database;
    private final FallOver fallOver;
    private final Journal journal;
    private final Clock clock;

    Arrivals(Database database, FallOver fallOver, Journal journal, Clock clock) {
        this.database = database;
        this.fallOver = fallOver;
        this.journal = journal;
        this.clock = clock;
    }

    /** It is with the person's device or mailbox. */
    void arrived(String kind, String networkId) {
        take(kind, networkId, true, "");
    }

    /** It will not get there: the person's next channel is used, or whoever is next on the list is told. {@code reason}: without addresses. */
    void notArrived(String kind, String networkId, String reason) {
        take(kind, networkId, false, reason);
    }

    /**
     * What was told of a message by its own address. It shows that {@code kind} had taken the message, even where its answer was lost or has
     * not been recorded yet: it is not handed over again.
     */
    void told(long messageId, String kind, boolean hasArrived, String reason) {
        Instant now = clock.instant();
        recording("what became of message " + messageId, connection -> {
            Optional<OutgoingMessage> about = OutboxTable.lockToldOf(connection, messageId);
            if (about.isEmpty()) {
                return;
            }
            OutgoingMessage message = about.get();
            if (OutboxTable.sent(connection, message, now)) {
                OutboxTable.wentAs(connection, message, kind);
                journal.append(message.journalled("message-sent", now).with("attempt", message.attempts() + 1).with("transport", kind));
            }
            record(connection, message, hasArrived, reason, now);
        });
    }

    private void take(String kind, String networkId, boolean hasArrived, String reason) {
        Instant now = clock.instant();
        recording("a receipt of " + kind, connection -> {
            Optional<OutgoingMessage> about = OutboxTable.lockByNetworkId(connection, kind, networkId);
            if (about.isPresent()) {
                record(connection, about.get(), hasArrived, reason, now);
            } else {
                OutboxTable.dropReceipts(connection, now.minus(UNCLAIMED));
                OutboxTable.keepReceipt(connection, kind, networkId, hasArrived, reason, now);
            }
        });
        meet(kind, networkId);
    }

    /**
     * Brings a receipt and its message together when each was being stored while the other looked: whoever stores one calls this after its
     * commit, and of two calls the later sees both.
     */
    void meet(String kind, String networkId) {
        recording("a receipt of " + kind, connection -> {
            Optional<OutgoingMessage> about = OutboxTable.lockByNetworkId(connection, kind, networkId);
            if (about.isPresent()) {
                claimReceipt(connection, about.get(), kind, networkId, clock.instant());
            }
        });
    }

    private void recording(String what, Database.Step step) {
        database.runInNew(what + " could not be recorded", step);
    }

    /** The network's name for a message is known now; its receipt may have been quicker than its answer. */
    void named(Connection connection, OutgoingMessage message, String kind, String networkId, Instant now) throws SQLException {
        OutboxTable.networkId(connection, message, networkId);
        claimReceipt(connection, message, kind, networkId, now);
    }

    private void claimReceipt(Connection connection, OutgoingMessage message, String kind, String networkId, Instant now) throws SQLException {
        Optional<OutboxTable.Receipt> early = OutboxTable.earlyReceipt(connection, kind, networkId);
        if (early.isPresent()) {
            OutboxTable.forgetReceipt(connection, kind, networkId);
            record(connection, message, early.get().hasArrived(), early.get().reason(), now);
        }
    }

    private void record(Connection connection, OutgoingMessage message, boolean hasArrived, String reason, Instant now) throws SQLException {
        if (hasArrived) {
            if (OutboxTable.arrived(connection, message, now)) {
                journal.append(message.journalled("message-arrived", now).with("channel", message.channel()));
            }
            return;
        }
        OutboxTable.lockTelling(connection, message.telling());
        if (OutboxTable.notArrived(connection, message, reason, now)) {
            journal.append(message.journalled("message-not-arrived", now).with("channel", message.channel()).with("reason", reason));
            endProof(connection, message, reason, now);
            fallOver.lost(connection, message, now);
        }
    }

    /** A mailbox that gave a mail back is not known to reach anybody; a telephone that was off is on again in the morning. */
    private void endProof(Connection connection, OutgoingMessage message, String reason, Instant now) throws SQLException {
        if (message.channel().equals(MailByChannel.KIND) && message.channelId().isPresent()
                && PersonChannelTable.returned(connection, message.channelId().getAsLong(), message.address(), reason, now)) {
            journal.append(message.journalled("channel-returned", now).with("channel", message.channel()).with("reason", reason));
        }
    }
}
