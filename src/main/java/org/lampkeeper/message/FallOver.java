package org.lampkeeper.message;

import java.sql.Connection;
import java.sql.SQLException;
import java.time.Instant;
import java.util.HexFormat;
import java.util.List;
import java.util.Optional;
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

    FallOver(Channels channels, Journal journal, Event<MessageUndelivered> undelivered, Event<Outbox.Put> put) {
        this.channels = channels;
        this.journal = journal;
        this.undelivered = undelivered;
        this.put = put;
    }

    /** The message will never be delivered: the person's next channel, or, when each of them has failed, the word that nobody was told. */
    void lost(Connection connection, OutgoingMessage message, Instant now) throws SQLException {
        if (!toNext(connection, message, now) && !OutboxTable.hasOthers(connection, message) && message.purpose() != Purpose.ANSWER) {
            undelivered.fire(new MessageUndelivered(message.id(), message.callOutId(), message.personId(), now));
        }
    }

    /**
     * Puts the same for the person's next channel that has not been used for it, one that works before one that does not. The caller holds
     * the telling's lock.
     *
     * @return whether there was one
     */
    boolean toNext(Connection connection, OutgoingMessage message, Instant now) throws SQLException {
        if (message.channelId().isEmpty()) {
            return false;
        }
        Set<Long> used = OutboxTable.usedChannels(connection, message.telling());
        List<PersonChannel> left = PersonChannelTable.ofPeople(connection, List.of(message.personId())).stream()
                .filter(it -> !used.contains(it.id()) && channels.isOffered(it.kind())).toList();
        Optional<PersonChannel> next = firstThatWorks(connection, left, now).or(() -> left.stream().findFirst());
        if (next.isEmpty()) {
            return false;
        }
        OutboxTable.put(connection, new NewMessage(message.purpose(), message.callOutId(), message.alarmId(), message.personId(),
                next.get().address(), message.subject(), message.body(), message.brief(), now), next.get().kind(),
                OptionalLong.of(next.get().id()), OptionalLong.of(message.telling()), HexFormat.of().formatHex(Outbox.key()));
        journal.append(message.journalled("message-by-next-channel", now).with("from", message.channel()).with("to", next.get().kind()));
        put.fire(new Outbox.Put());
        return true;
    }

    private static Optional<PersonChannel> firstThatWorks(Connection connection, List<PersonChannel> left, Instant now) throws SQLException {
        for (PersonChannel channel : left) {
            if (ChannelHealthTable.of(connection, channel.kind()).filter(it -> it.isOpen(now)).isEmpty()) {
                return Optional.of(channel);
            }
        }
        return Optional.empty();
    }
}
