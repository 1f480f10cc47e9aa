package org.lampkeeper.message;

import java.time.Instant;
import java.util.Optional;

import jakarta.enterprise.context.ApplicationScoped;

/**
 * Whether mail can be handed over at all, the same answer in every instance. Known from real messages only: while nothing is sent,
 * nothing is learned. A refused recipient says nothing about the server.
 */
@ApplicationScoped
public class MailHealth {

    private final Database database;

    MailHealth(Database database) {
        this.database = database;
    }

    /** Since when no mail could be handed over; empty as soon as one was. */
    public Optional<Instant> failingSince() {
        return database.get("mail health could not be read",
                connection -> ChannelHealthTable.of(connection, MailByChannel.KIND)).flatMap(ChannelHealthTable.Health::failingSince);
    }
}
