package org.lampkeeper.journal;

import java.security.SecureRandom;
import java.sql.Connection;
import java.sql.PreparedStatement;
import java.sql.ResultSet;
import java.sql.SQLException;
import java.sql.Types;
import java.time.Duration;
import java.time.Instant;
import java.time.OffsetDateTime;
import java.time.ZoneOffset;
import java.util.ArrayList;
import java.util.HexFormat;
import java.util.List;
import java.util.Objects;
import java.util.Optional;
import java.util.OptionalLong;

import org.jspecify.annotations.Nullable;

/** The journal's SQL. Every method works in the transaction of the connection it is given and neither commits nor rolls back. */
final class Chain {

    private static final SecureRandom RANDOM = new SecureRandom();

    private Chain() {
    }

    /** An entry as it stands in the table; {@code head} is what its row claims to be its place and hash. */
    record Row(long id, Link link, Optional<Head> head) {
    }

    private static final String APPEND = """
            INSERT INTO journal_entry (id, at, kind, site_id, cabinet_id, alarm_id, body)
            VALUES (nextval('journal_entry_seq'), ?, ?, ?, ?, ?, ?)
            """;

    static void append(Connection connection, Entry entry) throws SQLException {
        try (PreparedStatement insert = connection.prepareStatement(APPEND)) {
            insert.setObject(1, entry.at().atOffset(ZoneOffset.UTC));
            insert.setString(2, entry.kind());
            setId(insert, 3, entry.site());
            setId(insert, 4, entry.cabinet());
            setId(insert, 5, entry.alarm());
            insert.setString(6, entry.body());
            insert.executeUpdate();
        }
    }

    private static final String HEAD = "SELECT seal_number, seal_hash FROM journal_head WHERE id = 1";

    static Head head(Connection connection) throws SQLException {
        try (PreparedStatement select = connection.prepareStatement(HEAD); ResultSet row = select.executeQuery()) {
            if (!row.next()) {
                throw new IllegalStateException("journal_head has no row 1: somebody deleted it; the chain cannot go on");
            }
            return new Head(row.getLong(1), row.getString(2));
        }
    }

    private static final String IS_ANOTHERS = "SELECT 1 FROM journal_head WHERE id = 1 AND leased_by <> ? AND leased_until > ?";

    /** Whether another instance seals at {@code now}. Without a lock: only a hint that spares this instance the queueing. */
    static boolean isLeasedByAnother(Connection connection, String me, Instant now) throws SQLException {
        try (PreparedStatement select = connection.prepareStatement(IS_ANOTHERS)) {
            select.setString(1, me);
            select.setObject(2, now.atOffset(ZoneOffset.UTC));
            try (ResultSet row = select.executeQuery()) {
                return row.next();
            }
        }
    }

    private static final String LOCK_HEAD = """
            SELECT seal_number, seal_hash, leased_by, leased_until FROM journal_head WHERE id = 1 FOR UPDATE
            """;

    private static final String MOVE_HEAD = """
            UPDATE journal_head SET seal_number = ?, seal_hash = ?, sealed_at = ?, leased_by = ?, leased_until = ? WHERE id = 1
            """;

    private static final String RENEW_LEASE = "UPDATE journal_head SET leased_by = ?, leased_until = ? WHERE id = 1";

    /** Uses the index of journal_seal_number_is_unique, in which both databases keep the rows without a number together. */
    private static final String UNSEALED = """
            SELECT id, at, kind, site_id, cabinet_id, alarm_id, body, seal_number, seal_hash, seal_salt
            FROM journal_entry WHERE seal_number IS NULL ORDER BY id LIMIT ?
            """;

    private static final String SEAL = "UPDATE journal_entry SET seal_number = ?, seal_hash = ?, seal_salt = ? WHERE id = ? AND seal_number IS NULL";

    /**
     * Chains up to {@code most} committed entries in id order, if the lease is free, run out or ours. The row lock on the head, held until
     * the caller's commit, makes it safe under any number of instances and any clocks; the lease only keeps them from queueing.
     *
     * @return how many were sealed; 0 also when another instance holds the lease
     */
    static int seal(Connection connection, String me, Duration lease, int most, Instant now) throws SQLException {
        Head head;
        boolean renew;
        try (PreparedStatement select = connection.prepareStatement(LOCK_HEAD); ResultSet row = select.executeQuery()) {
            if (!row.next()) {
                throw new IllegalStateException("journal_head has no row 1: somebody deleted it; the chain cannot go on");
            }
            head = new Head(row.getLong(1), row.getString(2));
            Optional<String> holder = Optional.ofNullable(row.getString(3));
            Optional<Instant> until = Optional.ofNullable(row.getObject(4, OffsetDateTime.class)).map(OffsetDateTime::toInstant);
            boolean mine = holder.filter(me::equals).isPresent();
            if (!mine && holder.isPresent() && until.filter(now::isBefore).isPresent()) {
                return 0;
            }
            renew = !mine || until.filter(end -> now.isBefore(end.minus(lease.dividedBy(2)))).isEmpty();
        }
        List<Row> rows = rows(connection, UNSEALED, most);
        if (!rows.isEmpty()) {
            head = chain(connection, rows, head);
            moveHead(connection, head, me, now.plus(lease), now);
        } else if (renew) {
            try (PreparedStatement update = connection.prepareStatement(RENEW_LEASE)) {
                update.setString(1, me);
                update.setObject(2, now.plus(lease).atOffset(ZoneOffset.UTC));
                update.executeUpdate();
            }
        }
        return rows.size();
    }

    private static Head chain(Connection connection, List<Row> rows, Head head) throws SQLException {
        Head last = head;
        try (PreparedStatement update = connection.prepareStatement(SEAL)) {
            for (Row row : rows) {
                Link salted = row.link().salted(newSalt());
                last = salted.after(last);
                update.setLong(1, last.number());
                update.setString(2, last.hash());
                update.setString(3, salted.salt());
                update.setLong(4, row.id());
                update.addBatch();
            }
            int[] counts = update.executeBatch();
            for (int i = 0; i < counts.length; i++) {
                if (counts[i] != 1) {
                    throw new IllegalStateException("journal entry " + rows.get(i).id() + " was sealed or deleted while being sealed");
                }
            }
        }
        return last;
    }

    private static String newSalt() {
        byte[] salt = new byte[16];
        RANDOM.nextBytes(salt);
        return HexFormat.of().formatHex(salt);
    }

    private static void moveHead(Connection connection, Head head, String me, Instant leasedUntil, Instant now) throws SQLException {
        try (PreparedStatement update = connection.prepareStatement(MOVE_HEAD)) {
            update.setLong(1, head.number());
            update.setString(2, head.hash());
            update.setObject(3, now.atOffset(ZoneOffset.UTC));
            update.setString(4, me);
            update.setObject(5, leasedUntil.atOffset(ZoneOffset.UTC));
            update.executeUpdate();
        }
    }

    private static final String GIVE_UP_LEASE = "UPDATE journal_head SET leased_by = NULL, leased_until = NULL WHERE id = 1 AND leased_by = ?";

    static void giveUpLease(Connection connection, String me) throws SQLException {
        try (PreparedStatement update = connection.prepareStatement(GIVE_UP_LEASE)) {
            update.setString(1, me);
            update.executeUpdate();
        }
    }

    private static final String SEALED_PAGE = """
            SELECT id, at, kind, site_id, cabinet_id, alarm_id, body, seal_number, seal_hash, seal_salt
            FROM journal_entry WHERE seal_number > ? ORDER BY seal_number LIMIT ?
            """;

    /** The next sealed entries after place {@code number}, in the order of the chain. */
    static List<Row> sealedAfter(Connection connection, long number, int most) throws SQLException {
        return rows(connection, SEALED_PAGE, number, most);
    }

    private static final String UNSEALED_SINCE = "SELECT COUNT(*), MIN(id) FROM journal_entry WHERE seal_number IS NULL AND at < ?";

    /** Entries written before {@code limit} that no sealer has chained. */
    static Overdue unsealedSince(Connection connection, Instant limit) throws SQLException {
        try (PreparedStatement select = connection.prepareStatement(UNSEALED_SINCE)) {
            select.setObject(1, limit.atOffset(ZoneOffset.UTC));
            try (ResultSet row = select.executeQuery()) {
                row.next();
                return new Overdue(row.getLong(1), row.getLong(2));
            }
        }
    }

    record Overdue(long count, long firstId) {
    }

    private static List<Row> rows(Connection connection, String sql, long... parameters) throws SQLException {
        try (PreparedStatement select = connection.prepareStatement(sql)) {
            for (int i = 0; i < parameters.length; i++) {
                select.setLong(i + 1, parameters[i]);
            }
            return rows(select);
        }
    }

    /** {@code select}: the columns of the other statements that read entries, in their order. */
    static List<Row> rows(PreparedStatement select) throws SQLException {
        List<Row> rows = new ArrayList<>();
        try (ResultSet row = select.executeQuery()) {
            while (row.next()) {
                rows.add(row(row));
            }
        }
        return rows;
    }

    private static Row row(ResultSet row) throws SQLException {
        Link link = new Link(row.getObject(2, OffsetDateTime.class).toInstant(), row.getString(3),
                id(row, 4), id(row, 5), id(row, 6), row.getString(7), Objects.requireNonNullElse(row.getString(10), ""));
        OptionalLong number = id(row, 8);
        Optional<Head> head = number.isPresent() ? Optional.of(claimedHead(number.getAsLong(), row.getString(9))) : Optional.empty();
        return new Row(row.getLong(1), link, head);
    }

    /** A forger may leave anything in the column; what is no hash at all can only be a wrong one. */
    private static Head claimedHead(long number, @Nullable String hash) {
        return hash != null && hash.matches("[0-9a-f]{64}") ? new Head(number, hash) : new Head(number, Head.EMPTY.hash());
    }

    private static OptionalLong id(ResultSet row, int column) throws SQLException {
        long id = row.getLong(column);
        return row.wasNull() ? OptionalLong.empty() : OptionalLong.of(id);
    }

    private static void setId(PreparedStatement statement, int index, OptionalLong id) throws SQLException {
        if (id.isPresent()) {
            statement.setLong(index, id.getAsLong());
        } else {
            statement.setNull(index, Types.BIGINT);
        }
    }
}
