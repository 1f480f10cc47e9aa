package org.lampkeeper.message;

import java.sql.Connection;
import java.sql.SQLException;
import java.time.Instant;
import java.util.ArrayList;
import java.util.HexFormat;
import java.util.List;
import java.util.OptionalLong;
import java.util.Set;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.enterprise.event.Event;

import org.lampkeeper.journal.Journal;

/** What is done for a person whose channel does not carry: the next one, and the word that there is none. */
@ApplicationScoped
class FallOver {

    private final Channels channels;
    private final Journal journal;
    private final Event<MessageUndelivered> undelivered;
    private final Event<Outbox.Put> put;
    private final MessageConfig config;

    FallOver(Channels channels, Journal journal, Event<MessageUndelivered> undelivered, Event<Outbox.Put> put, MessageConfig config) {
        this.channels = channels;
        this.journal = journal;
        this.undelivered = undelivered;
        this.put = put;
        this.config = config;
    }

    /** The message will never be delivered: the person's next channel, or, when each of them has failed, the word that nobody was told. */
    void lost(Connection connection, OutgoingMessage message, Instant now) throws SQLException {
        if (!toNext(connection, message, now) && !OutboxTable.hasOthers(connection, message) && message.purpose() != Purpose.ANSWER) {
            undelivered.fire(new MessageUndelivered(message.id(), message.callOutId(), message.personId(), now));
        }
    }

    /**
     * Puts the same for the person's next channels that have not been used for it, as {@link Route} chooses among them; those that work come
     * before those that do not. The caller holds the telling's lock.
     *
     * @return whether there was one
     */
    boolean toNext(Connection connection, OutgoingMessage message, Instant now) throws SQLException {
        if (message.channelId().isEmpty() || message.purpose() == Purpose.PROOF) {
            return false;
        }
        Set<Long> used = OutboxTable.usedChannels(connection, message.telling());
        List<PersonChannel> working = new ArrayList<>();
        List<PersonChannel> leftAlone = new ArrayList<>();
        for (PersonChannel channel : PersonChannelTable.ofPeople(connection, List.of(message.personId()))) {
            if (!used.contains(channel.id()) && channels.isOffered(channel.kind())) {
                (works(connection, channel, now) ? working : leftAlone).add(channel);
            }
        }
        working.addAll(leftAlone);
        List<PersonChannel> next = Route.first(message.purpose(), working, config.proofLife(), now);
        for (PersonChannel channel : next) {
            OutboxTable.put(connection, new NewMessage(message.purpose(), message.callOutId(), message.alarmId(), message.personId(),
                    channel.address(), message.subject(), message.body(), message.brief(), message.monthReportId(), now), channel.kind(), OptionalLong.of(channel.id()),
                    OptionalLong.of(message.telling()), HexFormat.of().formatHex(Outbox.key()));
            journal.append(message.journalled("message-by-next-channel", now).with("from", message.channel()).with("to", channel.kind()));
        }
        put.fire(new Outbox.Put());
        return !next.isEmpty();
    }

    private boolean works(Connection connection, PersonChannel channel, Instant now) throws SQLException {
        for (Channel way : channels.ways(channel.kind())) {
            if (!ChannelHealthTable.isOpen(connection, way.kind(), now)) {
                return true;
            }
        }
        return false;
    }
}
