package org.lampkeeper.message;

import java.sql.Connection;
import java.sql.PreparedStatement;
import java.sql.ResultSet;
import java.sql.SQLException;
import java.time.Duration;
import java.time.Instant;
import java.util.Optional;

/** The SQL of how each kind of channel, and each webhook, fares, the same for every instance. Works in the transaction of the connection it is given. */
final class ChannelHealthTable {

    private ChannelHealthTable() {
    }

    /**
     * @param failures  of the channel in a row; a refused recipient is none
     * @param openUntil nothing is handed over before
     */
    record Health(int failures, Optional<Instant> failingSince, Optional<Instant> openUntil, Optional<String> reason) {

        boolean isOpen(Instant now) {
            return openUntil.filter(now::isBefore).isPresent();
        }
    }

    private static final String OF_KIND = "SELECT failures, failing_since, open_until, reason FROM channel_health WHERE kind = ?";

    /** Empty for a channel that has never failed. */
    static Optional<Health> of(Connection connection, String kind) throws SQLException {
        try (PreparedStatement select = connection.prepareStatement(OF_KIND)) {
            select.setString(1, kind);
            try (ResultSet row = select.executeQuery()) {
                return row.next() ? Optional.of(new Health(row.getInt(1), Sql.time(row, 2), Sql.time(row, 3), Optional.ofNullable(row.getString(4))))
                        : Optional.empty();
            }
        }
    }

    /** Whether nothing is handed over to it now. */
    static boolean isOpen(Connection connection, String kind, Instant now) throws SQLException {
        return of(connection, kind).filter(it -> it.isOpen(now)).isPresent();
    }

    private static final String ADD = "INSERT INTO channel_health (kind, failures) VALUES (?, 0)";

    /**
     * Makes the row of a kind that never failed, in a transaction of its own.
     *
     * @throws SQLException of state 23505 when another has just made it
     */
    static void add(Connection connection, String kind) throws SQLException {
        try (PreparedStatement insert = connection.prepareStatement(ADD)) {
            insert.setString(1, kind);
            insert.executeUpdate();
        }
    }

    private static final String REMOVE = "DELETE FROM channel_health WHERE kind = ?";

    /** Nothing of the kind is left. */
    static void remove(Connection connection, String kind) throws SQLException {
        try (PreparedStatement delete = connection.prepareStatement(REMOVE)) {
            delete.setString(1, kind);
            delete.executeUpdate();
        }
    }

    private static final String FAILED = """
            UPDATE channel_health SET failures = failures + 1, failing_since = COALESCE(failing_since, CAST(? AS TIMESTAMP WITH TIME ZONE)), reason = ?,
                open_until = CASE WHEN failures + 1 >= CAST(? AS INTEGER) THEN CAST(? AS TIMESTAMP WITH TIME ZONE) ELSE open_until END
            WHERE kind = ?
            """;

    /** Another failure in a row of a kind that has its row; from the {@code most}-th on the channel is left alone until {@code openUntil}. */
    static void failed(Connection connection, String kind, String reason, int most, Instant openUntil, Instant now) throws SQLException {
        try (PreparedStatement update = connection.prepareStatement(FAILED)) {
            update.setObject(1, Sql.utc(now));
            update.setString(2, Sql.cut(reason));
            update.setInt(3, most);
            update.setObject(4, Sql.utc(openUntil));
            update.setString(5, kind);
            update.executeUpdate();
        }
    }

    private static final String WORKS = """
            UPDATE channel_health SET failures = 0, failing_since = NULL, open_until = NULL, reason = NULL
            WHERE kind = ? AND failing_since IS NOT NULL
            """;

    /** @return whether it failed until now; while all is well no row changes */
    static boolean works(Connection connection, String kind) throws SQLException {
        try (PreparedStatement update = connection.prepareStatement(WORKS)) {
            update.setString(1, kind);
            return update.executeUpdate() == 1;
        }
    }

    /**
     * Until when what is meant for it waits; empty where it may be handed over now. After a pause one tries, and the others wait on.
     *
     * @param known by then the outcome of a try is known
     * @param pause how long whoever does not try waits then
     */
    static Optional<Instant> waitsUntil(Connection connection, String kind, Instant known, Duration pause, Instant now) throws SQLException {
        Optional<Instant> openUntil = of(connection, kind).flatMap(Health::openUntil);
        if (openUntil.filter(now::isBefore).isPresent()) {
            return openUntil;
        }
        return openUntil.isEmpty() || mayTry(connection, kind, openUntil.get(), known) ? Optional.empty() : Optional.of(now.plus(pause));
    }

    private static final String TRY_ONE = "UPDATE channel_health SET open_until = ? WHERE kind = ? AND open_until = ?";

    /**
     * The pause is over: one message may try, and the others wait until {@code until}, by when its outcome is known.
     *
     * @return whether it is the caller's
     */
    static boolean mayTry(Connection connection, String kind, Instant openUntil, Instant until) throws SQLException {
        try (PreparedStatement update = connection.prepareStatement(TRY_ONE)) {
            update.setObject(1, Sql.utc(until));
            update.setString(2, kind);
            update.setObject(3, Sql.utc(openUntil));
            return update.executeUpdate() == 1;
        }
    }
}
