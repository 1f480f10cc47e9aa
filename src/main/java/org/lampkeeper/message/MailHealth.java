package org.lampkeeper.message;

import java.sql.Connection;
import java.sql.SQLException;
import java.time.Instant;
import java.util.Optional;

import javax.sql.DataSource;

import jakarta.enterprise.context.ApplicationScoped;

/**
 * Whether mail can be handed over at all, the same answer in every instance. Known from real messages only: while nothing is sent,
 * nothing is learned. A refused recipient says nothing about the server.
 */
@ApplicationScoped
public class MailHealth {

    private final DataSource database;

    MailHealth(DataSource database) {
        this.database = database;
    }

    /** Since when no mail could be handed over; empty as soon as one was. */
    public Optional<Instant> failingSince() {
        try (Connection connection = database.getConnection()) {
            return ChannelHealthTable.of(connection, MailByChannel.KIND).flatMap(ChannelHealthTable.Health::failingSince);
        } catch (SQLException failed) {
            throw new IllegalStateException("mail health could not be read", failed);
        }
    }
}
