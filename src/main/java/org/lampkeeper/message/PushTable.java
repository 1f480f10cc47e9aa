package org.lampkeeper.message;

import java.sql.Connection;
import java.sql.PreparedStatement;
import java.sql.ResultSet;
import java.sql.SQLException;
import java.time.Instant;
import java.util.Optional;

/** The rows of phones that take messages. One a phone; gone with it. */
final class PushTable {

    private PushTable() {
    }

    /**
     * @param endpoint where its browser's service takes messages for it: whoever knows it and the keys can write to it
     * @param p256dh   the browser's key, and {@code auth} its secret, as the browser gave them
     * @param keyId    of ours, to which the browser has tied it
     */
    record Subscription(long phoneId, long personId, String endpoint, String p256dh, String auth, int keyId) {

        /** Without what lets a reader write to it. */
        @Override
        public String toString() {
            return "subscription of phone " + phoneId;
        }
    }

    private static final String FIND = "SELECT phone_id, person_id, endpoint, p256dh, auth, key_id FROM push_subscription WHERE phone_id = ?";

    static Optional<Subscription> find(Connection connection, long phoneId) throws SQLException {
        try (PreparedStatement select = connection.prepareStatement(FIND)) {
            select.setLong(1, phoneId);
            try (ResultSet row = select.executeQuery()) {
                return row.next() ? Optional.of(new Subscription(row.getLong(1), row.getLong(2), row.getString(3), row.getString(4), row.getString(5), row.getInt(6)))
                        : Optional.empty();
            }
        }
    }

    private static final String REMOVE = "DELETE FROM push_subscription WHERE phone_id = ? AND person_id = ?";

    /** @return whether there was one of this person */
    static boolean remove(Connection connection, long phoneId, long personId) throws SQLException {
        try (PreparedStatement delete = connection.prepareStatement(REMOVE)) {
            delete.setLong(1, phoneId);
            delete.setLong(2, personId);
            return delete.executeUpdate() > 0;
        }
    }

    private static final String REMOVE_ENDED = "DELETE FROM push_subscription WHERE phone_id = ? AND endpoint = ?";

    /** Not the one that took its place meanwhile. */
    static void removeEnded(Connection connection, Subscription ended) throws SQLException {
        try (PreparedStatement delete = connection.prepareStatement(REMOVE_ENDED)) {
            delete.setLong(1, ended.phoneId());
            delete.setString(2, ended.endpoint());
            delete.executeUpdate();
        }
    }

    private static final String ADD = """
            INSERT INTO push_subscription (phone_id, person_id, endpoint, p256dh, auth, key_id, made_at) VALUES (?, ?, ?, ?, ?, ?, ?)""";

    /** For the caller to have removed the one before, and to hold the person. */
    static void add(Connection connection, Subscription made, Instant now) throws SQLException {
        try (PreparedStatement insert = connection.prepareStatement(ADD)) {
            insert.setLong(1, made.phoneId());
            insert.setLong(2, made.personId());
            insert.setString(3, made.endpoint());
            insert.setString(4, made.p256dh());
            insert.setString(5, made.auth());
            insert.setInt(6, made.keyId());
            insert.setObject(7, Sql.utc(now));
            insert.executeUpdate();
        }
    }
}
