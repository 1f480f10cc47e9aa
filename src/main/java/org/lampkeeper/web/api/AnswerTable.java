package org.lampkeeper.web.api;

import java.sql.Connection;
import java.sql.PreparedStatement;
import java.sql.ResultSet;
import java.sql.SQLException;
import java.time.Instant;
import java.time.OffsetDateTime;
import java.time.ZoneOffset;
import java.util.Optional;

import org.lampkeeper.web.api.AnswerTable.Kept.Finished;
import org.lampkeeper.web.api.AnswerTable.Kept.UnderWay;

/** The table of requests that carried a key, and what they were answered. */
final class AnswerTable {

    /** A row is the claim: the primary key lets one of two through. */
    private static final String CLAIM = "INSERT INTO api_answer (person_id, key_hash, fingerprint, begun_at) VALUES (?, ?, ?, ?)";

    private static final String FIND = """
            SELECT fingerprint, begun_at, status, location, tag, body FROM api_answer WHERE person_id = ? AND key_hash = ?""";

    /** Of a process that died: whoever counts one row here has it. */
    private static final String TAKE_OVER = """
            UPDATE api_answer SET begun_at = ?, fingerprint = ?
             WHERE person_id = ? AND key_hash = ? AND begun_at = ? AND status IS NULL""";

    private static final String KEEP = """
            UPDATE api_answer SET status = ?, location = ?, tag = ?, body = ?
             WHERE person_id = ? AND key_hash = ? AND begun_at = ? AND status IS NULL""";

    private static final String FORGET = "DELETE FROM api_answer WHERE person_id = ? AND key_hash = ? AND begun_at = ? AND status IS NULL";

    /** By api_answer_by_begun_at. */
    private static final String FORGET_OLD = "DELETE FROM api_answer WHERE begun_at < ?";

    /** By api_answer_by_begun_at: when the last one of this batch was begun, if there are as many. */
    private static final String END_OF_BATCH = "SELECT begun_at FROM api_answer WHERE begun_at < ? ORDER BY begun_at LIMIT 1 OFFSET ?";

    /** By api_answer_by_begun_at. */
    private static final String FORGET_UP_TO = "DELETE FROM api_answer WHERE begun_at <= ?";

    // Integrity constraint violation, unique: the same on both databases.
    private static final String UNIQUE_VIOLATION = "23505";

    private AnswerTable() {
    }

    /** Whose key. {@code keyHash}: SHA-256 in hex, so that the table gives nobody a key to use. */
    record Key(long personId, String keyHash) {
    }

    /** What is known of a key. */
    sealed interface Kept {

        String fingerprint();

        record UnderWay(String fingerprint, Instant begunAt) implements Kept {
        }

        record Finished(String fingerprint, int status, Optional<String> location, Optional<String> tag, String body) implements Kept {
        }
    }

    /** False when there is a row already. On a connection that commits each statement, or the row is seen by nobody. */
    static boolean claim(Connection connection, Key key, String fingerprint, Instant now) throws SQLException {
        try (PreparedStatement statement = connection.prepareStatement(CLAIM)) {
            bind(statement, 1, key.personId(), key.keyHash(), fingerprint, now);
            return statement.executeUpdate() == 1;
        } catch (SQLException e) {
            if (UNIQUE_VIOLATION.equals(e.getSQLState())) {
                return false;
            }
            throw e;
        }
    }

    static Optional<Kept> find(Connection connection, Key key) throws SQLException {
        try (PreparedStatement statement = connection.prepareStatement(FIND)) {
            bind(statement, 1, key.personId(), key.keyHash());
            try (ResultSet row = statement.executeQuery()) {
                if (!row.next()) {
                    return Optional.empty();
                }
                String fingerprint = row.getString("fingerprint");
                int status = row.getInt("status");
                if (row.wasNull()) {
                    return Optional.of(new UnderWay(fingerprint, row.getObject("begun_at", OffsetDateTime.class).toInstant()));
                }
                return Optional.of(new Finished(fingerprint, status, Optional.ofNullable(row.getString("location")),
                        Optional.ofNullable(row.getString("tag")), row.getString("body")));
            }
        }
    }

    static boolean takeOver(Connection connection, Key key, String fingerprint, Instant begunAt, Instant now) throws SQLException {
        return update(connection, TAKE_OVER, now, fingerprint, key.personId(), key.keyHash(), begunAt) == 1;
    }

    /** False when somebody else has taken the key over meanwhile: then what was done must not be committed. */
    static boolean keep(Connection connection, Key key, Instant begunAt, int status, Optional<String> location, Optional<String> tag,
            String body) throws SQLException {
        try (PreparedStatement statement = connection.prepareStatement(KEEP)) {
            statement.setInt(1, status);
            statement.setString(2, location.orElse(null));
            statement.setString(3, tag.orElse(null));
            statement.setString(4, body);
            bind(statement, 5, key.personId(), key.keyHash(), begunAt);
            return statement.executeUpdate() == 1;
        }
    }

    static void forget(Connection connection, Key key, Instant begunAt) throws SQLException {
        update(connection, FORGET, key.personId(), key.keyHash(), begunAt);
    }

    static int forgetBefore(Connection connection, Instant before) throws SQLException {
        return update(connection, FORGET_OLD, before);
    }

    /** The oldest first, {@code most} of them and those of the same instant; returns how many. */
    static int forgetBefore(Connection connection, Instant before, int most) throws SQLException {
        try (PreparedStatement end = connection.prepareStatement(END_OF_BATCH)) {
            bind(end, 1, before, most - 1);
            try (ResultSet row = end.executeQuery()) {
                return row.next() ? update(connection, FORGET_UP_TO, row.getObject("begun_at", OffsetDateTime.class).toInstant())
                        : forgetBefore(connection, before);
            }
        }
    }

    private static int update(Connection connection, String sql, Object... values) throws SQLException {
        try (PreparedStatement statement = connection.prepareStatement(sql)) {
            bind(statement, 1, values);
            return statement.executeUpdate();
        }
    }

    private static void bind(PreparedStatement statement, int first, Object... values) throws SQLException {
        for (int i = 0; i < values.length; i++) {
            statement.setObject(first + i, values[i] instanceof Instant at ? at.atOffset(ZoneOffset.UTC) : values[i]);
        }
    }
}
