package org.lampkeeper.message;

import java.sql.Connection;
import java.sql.PreparedStatement;
import java.sql.ResultSet;
import java.sql.SQLException;
import java.time.Instant;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.OptionalLong;

/** The SQL of proofs. Every method works in the transaction of the connection it is given. */
final class ProofTable {

    private ProofTable() {
    }

    /**
     * A message that asks whether it arrived.
     *
     * @param code       six digits, for whoever cannot open a link
     * @param wrong      how often another code was entered
     * @param askedBy    none: the program itself
     * @param sentAt     empty while it is not due yet
     * @param endsAt     the first moment at which an answer does not count any more
     * @param answeredAt when it was answered like that
     */
    record ProofRow(long id, long channelId, boolean isAtNight, String code, int wrong, OptionalLong askedBy, Instant dueAt, Optional<Instant> sentAt,
            Instant endsAt, Optional<ProofAnswer> answer, Optional<Instant> answeredAt) {
    }

    private static final String SELECT = """
            SELECT p.id, p.channel_id, p.at_night, p.asked_by, p.due_at, p.sent_at, p.ends_at, p.answer, p.answered_at, p.code, p.wrong FROM channel_proof p
            """;

    private static final String OF_PERSON = SELECT
            + "JOIN person_channel c ON c.id = p.channel_id WHERE c.person_id = ? ORDER BY p.id";

    static List<ProofRow> ofPerson(Connection connection, long person) throws SQLException {
        return list(connection, OF_PERSON, person);
    }

    private static final String ONE = SELECT + "WHERE p.id = ?";

    static Optional<ProofRow> find(Connection connection, long id) throws SQLException {
        return list(connection, ONE, id).stream().findFirst();
    }

    private static List<ProofRow> list(Connection connection, String sql, long id) throws SQLException {
        List<ProofRow> found = new ArrayList<>();
        try (PreparedStatement select = connection.prepareStatement(sql)) {
            select.setLong(1, id);
            try (ResultSet row = select.executeQuery()) {
                while (row.next()) {
                    long by = row.getLong(4);
                    OptionalLong askedBy = row.wasNull() ? OptionalLong.empty() : OptionalLong.of(by);
                    found.add(new ProofRow(row.getLong(1), row.getLong(2), row.getBoolean(3), row.getString(10), row.getInt(11), askedBy,
                            Sql.time(row, 5).orElseThrow(), Sql.time(row, 6),
                            Sql.time(row, 7).orElseThrow(), Optional.ofNullable(row.getString(8)).map(ProofAnswer::valueOf),
                            Sql.time(row, 9)));
                }
            }
        }
        return found;
    }

    private static final String NEXT_ID = "SELECT nextval('channel_proof_seq')";

    private static final String ADD = """
            INSERT INTO channel_proof (id, channel_id, at_night, asked_by, due_at, ends_at, code, wrong) VALUES (?, ?, ?, ?, ?, ?, ?, 0)
            """;

    static ProofRow add(Connection connection, long channel, boolean isAtNight, OptionalLong askedBy, Instant dueAt, Instant endsAt,
            String code) throws SQLException {
        long id = Sql.nextId(connection, NEXT_ID);
        try (PreparedStatement insert = connection.prepareStatement(ADD)) {
            insert.setLong(1, id);
            insert.setLong(2, channel);
            insert.setBoolean(3, isAtNight);
            Sql.setId(insert, 4, askedBy);
            insert.setObject(5, Sql.utc(dueAt));
            insert.setObject(6, Sql.utc(endsAt));
            insert.setString(7, code);
            insert.executeUpdate();
        }
        return new ProofRow(id, channel, isAtNight, code, 0, askedBy, dueAt, Optional.empty(), endsAt, Optional.empty(), Optional.empty());
    }

    private static final String SENT = "UPDATE channel_proof SET sent_at = ? WHERE id = ? AND sent_at IS NULL";

    static boolean sent(Connection connection, long id, Instant now) throws SQLException {
        try (PreparedStatement update = connection.prepareStatement(SENT)) {
            update.setObject(1, Sql.utc(now));
            update.setLong(2, id);
            return update.executeUpdate() == 1;
        }
    }

    private static final String ANSWERED = "UPDATE channel_proof SET answer = ?, answered_at = ? WHERE id = ?";

    static void answered(Connection connection, long id, ProofAnswer answer, Instant now) throws SQLException {
        try (PreparedStatement update = connection.prepareStatement(ANSWERED)) {
            update.setString(1, answer.name());
            update.setObject(2, Sql.utc(now));
            update.setLong(3, id);
            update.executeUpdate();
        }
    }

    private static final String WRONG = "UPDATE channel_proof SET wrong = wrong + 1 WHERE id = ?";

    static void wrong(Connection connection, long id) throws SQLException {
        try (PreparedStatement update = connection.prepareStatement(WRONG)) {
            update.setLong(1, id);
            update.executeUpdate();
        }
    }

    private static final String DROP_UNSENT = "DELETE FROM channel_proof WHERE channel_id = ? AND sent_at IS NULL";

    /** What waits for its night. @return how many there were */
    static int dropUnsent(Connection connection, long channel) throws SQLException {
        try (PreparedStatement delete = connection.prepareStatement(DROP_UNSENT)) {
            delete.setLong(1, channel);
            return delete.executeUpdate();
        }
    }

    private static final String DROP_OVER = "DELETE FROM channel_proof WHERE channel_id = ? AND ends_at <= ?";

    /** What nobody can answer any more; what was answered stands at the channel. */
    static void dropOver(Connection connection, long channel, Instant now) throws SQLException {
        try (PreparedStatement delete = connection.prepareStatement(DROP_OVER)) {
            delete.setLong(1, channel);
            delete.setObject(2, Sql.utc(now));
            delete.executeUpdate();
        }
    }

    /** By outgoing_message_by_created_at. */
    private static final String RECENT = """
            SELECT m.created_at FROM outgoing_message m
            WHERE m.created_at > ? AND m.purpose = 'PROOF' AND (m.person_id = ? OR m.address = ?) ORDER BY m.created_at
            """;

    /** When messages of proofs went to this person or to this address, whoever's it was, since then; the earliest first. */
    static List<Instant> recent(Connection connection, long person, String address, Instant since) throws SQLException {
        List<Instant> found = new ArrayList<>();
        try (PreparedStatement select = connection.prepareStatement(RECENT)) {
            select.setObject(1, Sql.utc(since));
            select.setLong(2, person);
            select.setString(3, address);
            try (ResultSet row = select.executeQuery()) {
                while (row.next()) {
                    found.add(Sql.time(row, 1).orElseThrow());
                }
            }
        }
        return found;
    }
}
