package org.lampkeeper.message;

import java.sql.Connection;
import java.sql.PreparedStatement;
import java.sql.ResultSet;
import java.sql.SQLException;
import java.time.Instant;
import java.util.ArrayList;
import java.util.Collection;
import java.util.List;
import java.util.Optional;

import org.lampkeeper.message.PersonChannel.Night;
import org.lampkeeper.message.PersonChannel.Returned;

/** The SQL of people's channels. Every method works in the transaction of the connection it is given. */
final class PersonChannelTable {

    private PersonChannelTable() {
    }

    /** By person_channel_by_person. */
    private static final String OF_PEOPLE = """
            SELECT c.id, c.person_id, c.kind, c.address, c.place, c.follows_sign_in, c.proven_at, c.night_answer,
                c.night_answered_at, c.reminded_at, c.returned_at, c.returned_why, c.version
            FROM person_channel c WHERE c.person_id = ANY (?) ORDER BY c.person_id, c.place, c.id
            """;

    static List<PersonChannel> ofPeople(Connection connection, Collection<Long> people) throws SQLException {
        List<PersonChannel> found = new ArrayList<>();
        try (PreparedStatement select = connection.prepareStatement(OF_PEOPLE)) {
            select.setArray(1, connection.createArrayOf("bigint", people.toArray()));
            try (ResultSet row = select.executeQuery()) {
                while (row.next()) {
                    String answer = row.getString(8);
                    Optional<Night> night = Sql.time(row, 9).map(at -> new Night(ProofAnswer.valueOf(answer), at));
                    String why = row.getString(12);
                    found.add(new PersonChannel(row.getLong(1), row.getLong(2), row.getString(3), row.getString(4), row.getInt(5),
                            row.getBoolean(6), Sql.time(row, 7), night, Sql.time(row, 10), Sql.time(row, 11).map(at -> new Returned(at, why)),
                            row.getInt(13)));
                }
            }
        }
        return found;
    }

    private static final String OF_CHANNEL = "SELECT c.person_id FROM person_channel c WHERE c.id = ?";

    /** Empty where there is no such channel any more. */
    static Optional<PersonChannel> find(Connection connection, long id) throws SQLException {
        try (PreparedStatement select = connection.prepareStatement(OF_CHANNEL)) {
            select.setLong(1, id);
            try (ResultSet row = select.executeQuery()) {
                return row.next() ? ofPeople(connection, List.of(row.getLong(1))).stream().filter(it -> it.id() == id).findFirst()
                        : Optional.empty();
            }
        }
    }

    private static final String LOCK_PERSON = "SELECT p.id FROM person p WHERE p.id = ? FOR UPDATE";

    /** Of those who change one person's channels, one goes on at a time. */
    static void lockPerson(Connection connection, long person) throws SQLException {
        try (PreparedStatement select = connection.prepareStatement(LOCK_PERSON)) {
            select.setLong(1, person);
            select.executeQuery().close();
        }
    }

    private static final String ADD = """
            INSERT INTO person_channel (id, person_id, kind, address, place, follows_sign_in, added_at, version)
            SELECT nextval('person_channel_seq'), CAST(? AS BIGINT), CAST(? AS VARCHAR), CAST(? AS VARCHAR), COALESCE(MAX(c.place), 0) + 1,
                CAST(? AS BOOLEAN), CAST(? AS TIMESTAMP WITH TIME ZONE), 0
            FROM person_channel c WHERE c.person_id = ?
            """;

    /** Last in the person's order. */
    static void add(Connection connection, long person, String kind, String address, boolean followsSignIn, Instant now) throws SQLException {
        try (PreparedStatement insert = connection.prepareStatement(ADD)) {
            insert.setLong(1, person);
            insert.setString(2, kind);
            insert.setString(3, address);
            insert.setBoolean(4, followsSignIn);
            insert.setObject(5, Sql.utc(now));
            insert.setLong(6, person);
            insert.executeUpdate();
        }
    }

    private static final String MOVE_SIGN_IN = """
            UPDATE person_channel SET address = ?, proven_at = NULL, night_answer = NULL, night_answered_at = NULL, reminded_at = NULL,
                returned_at = NULL, returned_why = NULL, version = version + 1
            WHERE person_id = ? AND follows_sign_in AND address <> ?
            """;

    private static final String DROP_PROOFS = "DELETE FROM channel_proof WHERE channel_id IN"
            + " (SELECT c.id FROM person_channel c WHERE c.person_id = ? AND c.follows_sign_in)";

    /** Another address is another channel: what the old one proved, or is asked to prove, does not count for it. */
    static boolean moveSignIn(Connection connection, long person, String address) throws SQLException {
        run(connection, DROP_PROOFS, person);
        try (PreparedStatement update = connection.prepareStatement(MOVE_SIGN_IN)) {
            update.setString(1, address);
            update.setLong(2, person);
            update.setString(3, address);
            return update.executeUpdate() == 1;
        }
    }

    private static final String FOLLOW = "UPDATE person_channel SET follows_sign_in = TRUE, version = version + 1"
            + " WHERE person_id = ? AND kind = 'MAIL' AND address = ? AND NOT follows_sign_in";

    /** Whether the person had that mail channel of their own; it is the sign-in address now too. */
    static boolean follow(Connection connection, long person, String address) throws SQLException {
        try (PreparedStatement update = connection.prepareStatement(FOLLOW)) {
            update.setLong(1, person);
            update.setString(2, address);
            return update.executeUpdate() == 1;
        }
    }

    private static final String REMOVE_SIGN_IN = "DELETE FROM person_channel WHERE person_id = ? AND follows_sign_in";

    static void removeSignIn(Connection connection, long person) throws SQLException {
        run(connection, REMOVE_SIGN_IN, person);
    }

    private static final String REMOVE_ALL = "DELETE FROM person_channel WHERE person_id = ?";

    static void removeAll(Connection connection, long person) throws SQLException {
        run(connection, REMOVE_ALL, person);
    }

    private static final String REMOVE = "DELETE FROM person_channel WHERE id = ?";

    static void remove(Connection connection, long id) throws SQLException {
        run(connection, REMOVE, id);
    }

    private static void run(Connection connection, String sql, long id) throws SQLException {
        try (PreparedStatement statement = connection.prepareStatement(sql)) {
            statement.setLong(1, id);
            statement.executeUpdate();
        }
    }

    private static final String PLACE = "UPDATE person_channel SET place = ?, version = version + 1 WHERE id = ? AND place <> ?";

    static void place(Connection connection, long id, int place) throws SQLException {
        try (PreparedStatement update = connection.prepareStatement(PLACE)) {
            update.setInt(1, place);
            update.setLong(2, id);
            update.setInt(3, place);
            update.executeUpdate();
        }
    }

    private static final String PROVEN = """
            UPDATE person_channel SET proven_at = ?, night_answer = COALESCE(CAST(? AS VARCHAR), night_answer),
                night_answered_at = COALESCE(CAST(? AS TIMESTAMP WITH TIME ZONE), night_answered_at), reminded_at = NULL,
                returned_at = NULL, returned_why = NULL, version = version + 1
            WHERE id = ? AND address = ?
            """;

    /** @return whether the channel is still there with the address that was tried */
    static boolean proven(Connection connection, long id, String address, ProofAnswer answer, Instant now) throws SQLException {
        try (PreparedStatement update = connection.prepareStatement(PROVEN)) {
            update.setObject(1, Sql.utc(now));
            update.setString(2, answer.isOfTheNight() ? answer.name() : null);
            update.setObject(3, answer.isOfTheNight() ? Sql.utc(now) : null);
            update.setLong(4, id);
            update.setString(5, address);
            return update.executeUpdate() == 1;
        }
    }

    private static final String RETURNED = "UPDATE person_channel SET returned_at = ?, returned_why = ?, version = version + 1"
            + " WHERE id = ? AND address = ? AND returned_at IS NULL";

    /** @return whether it is the first that came back since the channel was proven; false also where the address is another by now */
    static boolean returned(Connection connection, long id, String address, String why, Instant now) throws SQLException {
        try (PreparedStatement update = connection.prepareStatement(RETURNED)) {
            update.setObject(1, Sql.utc(now));
            update.setString(2, why);
            update.setLong(3, id);
            update.setString(4, address);
            return update.executeUpdate() == 1;
        }
    }

    private static final String REMINDED = "UPDATE person_channel SET reminded_at = ? WHERE person_id = ? AND proven_at IS NOT NULL AND proven_at <= ?";

    /** Those of the person's channels that were proven at {@code before} at the latest: it was said that their proof is old. */
    static void reminded(Connection connection, long person, Instant before, Instant now) throws SQLException {
        try (PreparedStatement update = connection.prepareStatement(REMINDED)) {
            update.setObject(1, Sql.utc(now));
            update.setLong(2, person);
            update.setObject(3, Sql.utc(before));
            update.executeUpdate();
        }
    }
}
