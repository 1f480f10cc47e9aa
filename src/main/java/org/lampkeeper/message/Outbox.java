package org.lampkeeper.message;

import java.security.SecureRandom;
import java.sql.Connection;
import java.sql.SQLException;
import java.time.Instant;
import java.util.HexFormat;
import java.util.Optional;

import javax.sql.DataSource;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.enterprise.event.Event;

/** What people will be told. A message put here in a transaction is sent if and only if that commits, at least once. */
@ApplicationScoped
public class Outbox {

    private static final SecureRandom RANDOM = new SecureRandom();

    private final DataSource database;
    private final Event<Put> put;

    Outbox(DataSource database, Event<Put> put) {
        this.database = database;
        this.put = put;
    }

    /** A message was put; whoever sends hears of it after the commit. */
    record Put() {
    }

    /** Puts the message in the caller's transaction and returns its id. */
    public long put(NewMessage message) {
        byte[] key = new byte[16];
        RANDOM.nextBytes(key);
        long id = read("message could not be put into the outbox",
                connection -> OutboxTable.put(connection, message, HexFormat.of().formatHex(key)));
        put.fire(new Put());
        return id;
    }

    /** How many messages have not left yet. */
    public long waiting() {
        return read("waiting messages could not be counted", OutboxTable::waiting).count();
    }

    /** When the oldest message that has not left yet was put; empty when none waits. */
    public Optional<Instant> oldestWaitingSince() {
        return read("oldest waiting message could not be read", OutboxTable::waiting).oldestSince();
    }

    private interface Reading<T> {
        T from(Connection connection) throws SQLException;
    }

    private <T> T read(String failure, Reading<T> reading) {
        try (Connection connection = database.getConnection()) {
            return reading.from(connection);
        } catch (SQLException failed) {
            throw new IllegalStateException(failure, failed);
        }
    }
}
