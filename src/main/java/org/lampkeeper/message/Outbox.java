package org.lampkeeper.message;

import java.security.SecureRandom;
import java.time.Instant;
import java.util.HashMap;
import java.util.HexFormat;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalLong;
import java.util.Set;
import java.util.stream.Collectors;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.enterprise.event.Event;

/** What people will be told. A message put here in a transaction is sent if and only if that commits, at least once. */
@ApplicationScoped
public class Outbox {

    private static final SecureRandom RANDOM = new SecureRandom();

    private static final String NOT_PUT = "message could not be put into the outbox";

    private final Database database;
    private final PersonChannels people;
    private final MessageConfig config;
    private final Event<Put> put;

    Outbox(Database database, PersonChannels people, MessageConfig config, Event<Put> put) {
        this.database = database;
        this.people = people;
        this.config = config;
        this.put = put;
    }

    /** A message was put; whoever sends hears of it after the commit. */
    record Put() {
    }

    /** Puts the message in the caller's transaction and returns its id. */
    public long put(NewMessage message) {
        long id = database.get(NOT_PUT, connection -> OutboxTable.put(connection, message, newKey()));
        put.fire(new Put());
        return id;
    }

    /**
     * Tells a person by their own channels, in the caller's transaction; the address in {@code message} is of no account.
     *
     * @return whether there is any channel that reaches them
     */
    public boolean tell(NewMessage message) {
        List<PersonChannel> first = Route.first(message.purpose(), people.usable(message.personId()), config.proofLife(), message.now());
        database.get(NOT_PUT, connection -> {
            OptionalLong telling = OptionalLong.empty();
            for (PersonChannel channel : first) {
                long id = OutboxTable.put(connection, message.to(channel.address()), channel.kind(), OptionalLong.of(channel.id()), telling,
                        newKey());
                telling = telling.isPresent() ? telling : OptionalLong.of(id);
            }
            return telling;
        });
        put.fire(new Put());
        return !first.isEmpty();
    }

    /**
     * The same for many at once, which are about no alarm: each goes by the first channel of its reader alone.
     *
     * @return those of the readers whom any channel reaches
     */
    public Set<Long> tellAll(List<NewMessage> messages) {
        Map<Long, List<PersonChannel>> all = people.of(messages.stream().map(NewMessage::personId).collect(Collectors.toSet()));
        Map<Long, PersonChannel> first = new HashMap<>();
        all.forEach((person, inOrder) -> inOrder.stream().filter(people::isUsable).findFirst().ifPresent(channel -> first.put(person, channel)));
        List<ByChannel> put = messages.stream().filter(message -> first.containsKey(message.personId())).map(message -> {
            if (message.purpose() == Purpose.ALARM || message.monthReportId().isPresent()) {
                throw new IllegalArgumentException(message + " may have to go by several channels or carries a paper, must be told alone");
            }
            PersonChannel channel = first.get(message.personId());
            return new ByChannel(message.to(channel.address()), channel, newKey());
        }).toList();
        if (!put.isEmpty()) {
            database.run(NOT_PUT, connection -> OutboxTable.putAll(connection, put));
            this.put.fire(new Put());
        }
        return first.keySet();
    }

    /** A message, by which channel it goes, and its key. */
    record ByChannel(NewMessage message, PersonChannel channel, String key) {
    }

    /** Puts the message for this channel of the person alone, in the caller's transaction. */
    void putBy(PersonChannel channel, NewMessage message) {
        database.get(NOT_PUT, connection -> OutboxTable.put(connection, message.to(channel.address()), channel.kind(), OptionalLong.of(channel.id()),
                OptionalLong.empty(), newKey()));
        put.fire(new Put());
    }

    /** Answers a person by the channel by which they wrote, which is the message's address, in the caller's transaction. */
    public void answer(NewMessage message, String kind, long channelId) {
        database.get(NOT_PUT, connection -> OutboxTable.put(connection, message, kind, OptionalLong.of(channelId), OptionalLong.empty(), newKey()));
        put.fire(new Put());
    }

    private static String newKey() {
        return HexFormat.of().formatHex(key());
    }

    /** For a message of its own: a repeat of it has the same. */
    static byte[] key() {
        byte[] key = new byte[16];
        RANDOM.nextBytes(key);
        return key;
    }

    /** How many messages have not left yet. */
    public long waiting() {
        return database.get("waiting messages could not be counted", OutboxTable::waiting).count();
    }

    /** When the oldest message that has not left yet was put; empty when none waits. */
    public Optional<Instant> oldestWaitingSince() {
        return database.get("oldest waiting message could not be read", OutboxTable::waiting).oldestSince();
    }

}
