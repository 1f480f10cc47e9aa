package org.lampkeeper.message;

import java.sql.Connection;
import java.sql.PreparedStatement;
import java.sql.ResultSet;
import java.sql.SQLException;
import java.time.Duration;
import java.time.Instant;
import java.time.temporal.ChronoUnit;
import java.util.ArrayList;
import java.util.Collections;
import java.util.HashSet;
import java.util.List;
import java.util.Optional;
import java.util.OptionalLong;
import java.util.Set;
import java.util.function.Function;

import org.jspecify.annotations.Nullable;

/** The outbox's SQL. Every method works in the transaction of the connection it is given and neither commits nor rolls back. */
final class OutboxTable {

    private OutboxTable() {
    }

    private static final String NEXT_ID = "SELECT nextval('outgoing_message_seq')";

    private static final String PUT = """
            INSERT INTO outgoing_message (id, message_key, purpose, call_out_id, alarm_id, person_id, channel, address, subject, body,
                created_at, state, attempts, next_attempt_at, telling, channel_id, brief, month_report_id)
            VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, 'WAITING', 0, ?, ?, ?, ?, ?)
            """;

    /** The first or only message of its telling, to an address that is no channel of the person. */
    static long put(Connection connection, NewMessage message, String key) throws SQLException {
        return put(connection, message, MailByChannel.KIND, OptionalLong.empty(), OptionalLong.empty(), key);
    }

    /** @param telling the first message of those that tell the same; empty for the first */
    static long put(Connection connection, NewMessage message, String kind, OptionalLong channelId, OptionalLong telling, String key)
            throws SQLException {
        long id = Sql.nextId(connection, NEXT_ID);
        try (PreparedStatement insert = connection.prepareStatement(PUT)) {
            insert.setLong(1, id);
            insert.setString(2, key);
            insert.setString(3, message.purpose().name());
            Sql.setId(insert, 4, message.callOutId());
            Sql.setId(insert, 5, message.alarmId());
            insert.setLong(6, message.personId());
            insert.setString(7, kind);
            insert.setString(8, message.address());
            insert.setString(9, message.subject());
            insert.setString(10, message.body());
            insert.setObject(11, Sql.utc(message.now()));
            insert.setObject(12, Sql.utc(message.now()));
            insert.setLong(13, telling.orElse(id));
            Sql.setId(insert, 14, channelId);
            insert.setString(15, message.brief().orElse(null));
            Sql.setId(insert, 16, message.monthReportId());
            insert.executeUpdate();
        }
        return id;
    }

    private static final String NEXT_IDS = "SELECT nextval('outgoing_message_seq') FROM UNNEST(CAST(? AS BIGINT ARRAY)) AS v (n)";

    private static final String PUT_ALL = """
            INSERT INTO outgoing_message (id, message_key, purpose, person_id, channel, address, subject, body, created_at, state, attempts, next_attempt_at,
                telling, channel_id, brief)
            SELECT v.id, v.message_key, v.purpose, v.person_id, v.channel, v.address, v.subject, v.body, v.created_at, 'WAITING', 0, v.created_at, v.id,
                   v.channel_id, v.brief
              FROM UNNEST(CAST(? AS BIGINT ARRAY), CAST(? AS VARCHAR ARRAY), CAST(? AS VARCHAR ARRAY), CAST(? AS BIGINT ARRAY), CAST(? AS VARCHAR ARRAY),
                   CAST(? AS VARCHAR ARRAY), CAST(? AS VARCHAR ARRAY), CAST(? AS VARCHAR ARRAY), CAST(? AS TIMESTAMP(6) WITH TIME ZONE ARRAY),
                   CAST(? AS BIGINT ARRAY), CAST(? AS VARCHAR ARRAY))
                AS v (id, message_key, purpose, person_id, channel, address, subject, body, created_at, channel_id, brief)
            """;

    /** The first or only message of each telling, about no alarm. */
    static void putAll(Connection connection, List<Outbox.ByChannel> all) throws SQLException {
        Long[] ids = nextIds(connection, all.size());
        try (PreparedStatement insert = connection.prepareStatement(PUT_ALL)) {
            insert.setArray(1, connection.createArrayOf("bigint", ids));
            setAll(connection, insert, 2, "varchar", all, Outbox.ByChannel::key);
            setAll(connection, insert, 3, "varchar", all, each -> each.message().purpose().name());
            setAll(connection, insert, 4, "bigint", all, each -> each.message().personId());
            setAll(connection, insert, 5, "varchar", all, each -> each.channel().kind());
            setAll(connection, insert, 6, "varchar", all, each -> each.message().address());
            setAll(connection, insert, 7, "varchar", all, each -> each.message().subject());
            setAll(connection, insert, 8, "varchar", all, each -> each.message().body());
            setAll(connection, insert, 9, "timestamptz", all, each -> Sql.utc(each.message().now()));
            setAll(connection, insert, 10, "bigint", all, each -> each.channel().id());
            setAll(connection, insert, 11, "varchar", all, each -> each.message().brief().orElse(null));
            insert.executeUpdate();
        }
    }

    private static Long[] nextIds(Connection connection, int count) throws SQLException {
        try (PreparedStatement next = connection.prepareStatement(NEXT_IDS)) {
            next.setArray(1, connection.createArrayOf("bigint", Collections.nCopies(count, 0L).toArray()));
            return Sql.ids(next);
        }
    }

    private static void setAll(Connection connection, PreparedStatement insert, int index, String type, List<Outbox.ByChannel> all,
            Function<Outbox.ByChannel, @Nullable Object> value) throws SQLException {
        insert.setArray(index, connection.createArrayOf(type, all.stream().map(value).toArray()));
    }

    /** All that {@link #message} reads. */
    private static final String SELECT_MESSAGE = """
            SELECT m.id, m.message_key, m.purpose, m.call_out_id, m.alarm_id,
                COALESCE((SELECT c.site_id FROM call_out c WHERE c.id = m.call_out_id),
                    (SELECT r.site_id FROM month_report r WHERE r.id = m.month_report_id)) AS site_id,
                (SELECT a.cabinet_id FROM alarm a WHERE a.id = m.alarm_id) AS cabinet_id,
                m.person_id,
                (SELECT p.reference FROM person p WHERE p.id = m.person_id) AS reference,
                (SELECT p.name FROM person p WHERE p.id = m.person_id) AS name,
                m.address, m.subject, m.body, m.created_at, m.attempts, m.channel, m.telling, m.channel_id, m.brief, m.month_report_id
            """;

    /** Due, oldest first; a leased one is not due before its lease has run out. Uses outgoing_message_by_look_and_next_attempt, in its order. */
    private static final String DUE = "SELECT id FROM outgoing_message WHERE is_look = ? AND next_attempt_at <= ? ORDER BY is_look, next_attempt_at, id LIMIT ?";

    /**
     * Locks those of them that nobody else is claiming. Looks at the condition again: another's claim may have been committed meanwhile. One statement for both
     * would be planned by what the table held when it was last analysed: with a hundred thousand letters put since, PostgreSQL read all of it for each claim.
     */
    private static final String LOCK_DUE = SELECT_MESSAGE + """
            FROM outgoing_message m
            WHERE m.id = ANY (?) AND m.next_attempt_at <= ?
            FOR UPDATE SKIP LOCKED
            """;

    private static final String LEASE = "UPDATE outgoing_message SET next_attempt_at = ?, leased_until = ? WHERE id = ?";

    /**
     * Leases up to {@code most} due messages to the caller. They become due again by themselves when the lease has run out.
     *
     * @param withLooks whether letters that can wait, those that ask for a look and papers, are among them, after all others
     */
    static List<OutgoingMessage> claim(Connection connection, int most, boolean withLooks, Duration lease, Instant now) throws SQLException {
        Instant leasedUntil = now.plus(lease).truncatedTo(ChronoUnit.MICROS);
        List<OutgoingMessage> due = new ArrayList<>(lockDue(connection, false, most, now, leasedUntil));
        if (withLooks && due.size() < most) {
            // Looks are asked for by the thousand at the same minute, and papers take their time; nobody hears of a loss later for that.
            due.addAll(lockDue(connection, true, most - due.size(), now, leasedUntil));
        }
        try (PreparedStatement update = connection.prepareStatement(LEASE)) {
            for (OutgoingMessage message : due) {
                update.setObject(1, Sql.utc(leasedUntil));
                update.setObject(2, Sql.utc(leasedUntil));
                update.setLong(3, message.id());
                update.executeUpdate();
            }
        }
        return due;
    }

    private static List<OutgoingMessage> lockDue(Connection connection, boolean isLook, int most, Instant now, Instant leasedUntil) throws SQLException {
        try (PreparedStatement select = connection.prepareStatement(DUE)) {
            select.setBoolean(1, isLook);
            select.setObject(2, Sql.utc(now));
            select.setInt(3, most);
            return Sql.lockDue(connection, LOCK_DUE, Sql.ids(select), now, row -> message(row, leasedUntil));
        }
    }

    private static final String IS_TAKEN_OR_OVER = "SELECT 1 FROM call_out WHERE id = ? AND (taken_at IS NOT NULL OR ended_at IS NOT NULL)";

    /** Whether somebody has the call-out, or it is over: nobody else need be told of it. */
    static boolean isTakenOrOver(Connection connection, long callOutId) throws SQLException {
        try (PreparedStatement select = connection.prepareStatement(IS_TAKEN_OR_OVER)) {
            select.setLong(1, callOutId);
            try (ResultSet row = select.executeQuery()) {
                return row.next();
            }
        }
    }

    private static final String END = """
            UPDATE outgoing_message SET state = ?, attempts = ?, ended_at = ?, last_error = ?, next_attempt_at = NULL, leased_until = NULL
            WHERE id = ? AND state = 'WAITING'
            """;

    /**
     * Sent, also by one whose lease ran out meanwhile: whoever has it now need not send it again.
     *
     * @return whether it was still waiting
     */
    static boolean sent(Connection connection, OutgoingMessage message, Instant now) throws SQLException {
        return end(connection, "SENT", message, message.attempts() + 1, Optional.empty(), now);
    }

    private static final String WENT_AS = "UPDATE outgoing_message SET channel = ? WHERE id = ?";

    /** Such as written to a folder and not sent: nobody may read "sent" as "handed to a mail server". */
    static void wentAs(Connection connection, OutgoingMessage message, String way) throws SQLException {
        try (PreparedStatement update = connection.prepareStatement(WENT_AS)) {
            update.setString(1, way);
            update.setLong(2, message.id());
            update.executeUpdate();
        }
    }

    static boolean notNeeded(Connection connection, OutgoingMessage message, Instant now) throws SQLException {
        return end(connection, "NOT_NEEDED", message, message.attempts(), Optional.empty(), now);
    }

    private static final String UNDELIVERED = """
            UPDATE outgoing_message SET state = 'UNDELIVERED', attempts = ?, ended_at = ?, last_error = ?, next_attempt_at = NULL,
                leased_until = NULL
            WHERE id = ? AND state = 'WAITING' AND leased_until = ?
            """;

    /** Given up. Only the holder of the lease may say so; another may be sending it successfully at this moment. */
    static boolean undelivered(Connection connection, OutgoingMessage message, String error, Instant now) throws SQLException {
        try (PreparedStatement update = connection.prepareStatement(UNDELIVERED)) {
            update.setInt(1, message.attempts() + 1);
            update.setObject(2, Sql.utc(now));
            update.setString(3, Sql.cut(error));
            update.setLong(4, message.id());
            update.setObject(5, Sql.utc(message.leasedUntil()));
            return update.executeUpdate() == 1;
        }
    }

    private static final String TRY_AGAIN = """
            UPDATE outgoing_message SET attempts = ?, next_attempt_at = ?, leased_until = NULL, last_error = ?
            WHERE id = ? AND state = 'WAITING' AND leased_until = ?
            """;

    static boolean tryAgain(Connection connection, OutgoingMessage message, String error, Instant at) throws SQLException {
        try (PreparedStatement update = connection.prepareStatement(TRY_AGAIN)) {
            update.setInt(1, message.attempts() + 1);
            update.setObject(2, Sql.utc(at));
            update.setString(3, Sql.cut(error));
            update.setLong(4, message.id());
            update.setObject(5, Sql.utc(message.leasedUntil()));
            return update.executeUpdate() == 1;
        }
    }

    private static boolean end(Connection connection, String state, OutgoingMessage message, int attempts, Optional<String> error, Instant now)
            throws SQLException {
        try (PreparedStatement update = connection.prepareStatement(END)) {
            update.setString(1, state);
            update.setInt(2, attempts);
            update.setObject(3, Sql.utc(now));
            update.setString(4, error.map(Sql::cut).orElse(null));
            update.setLong(5, message.id());
            return update.executeUpdate() == 1;
        }
    }

    private static final String WAITING = "SELECT COUNT(*), MIN(created_at) FROM outgoing_message WHERE next_attempt_at IS NOT NULL";

    /** What has not left yet. Uses outgoing_message_by_next_attempt: its cost follows what waits, not what was ever sent. */
    static Waiting waiting(Connection connection) throws SQLException {
        try (PreparedStatement select = connection.prepareStatement(WAITING); ResultSet row = select.executeQuery()) {
            row.next();
            return new Waiting(row.getLong(1), Sql.time(row, 2));
        }
    }

    record Waiting(long count, Optional<Instant> oldestSince) {
    }

    private static final String POSTPONE = """
            UPDATE outgoing_message SET next_attempt_at = ?, leased_until = NULL, last_error = ?
            WHERE id = ? AND state = 'WAITING' AND leased_until = ?
            """;

    /** Not tried at all: the channel takes nothing at present. */
    static boolean postpone(Connection connection, OutgoingMessage message, String why, Instant until) throws SQLException {
        try (PreparedStatement update = connection.prepareStatement(POSTPONE)) {
            update.setObject(1, Sql.utc(until));
            update.setString(2, Sql.cut(why));
            update.setLong(3, message.id());
            update.setObject(4, Sql.utc(message.leasedUntil()));
            return update.executeUpdate() == 1;
        }
    }

    private static final String LOCK_TELLING = "SELECT m.id FROM outgoing_message m WHERE m.id = ? FOR UPDATE";

    /** Of the messages that tell one person one thing, only one fails at a time: each then sees what became of the others. */
    static void lockTelling(Connection connection, long telling) throws SQLException {
        try (PreparedStatement select = connection.prepareStatement(LOCK_TELLING)) {
            select.setLong(1, telling);
            select.executeQuery().close();
        }
    }

    /** By outgoing_message_goes_by_a_channel_once. */
    private static final String USED_CHANNELS = "SELECT m.channel_id FROM outgoing_message m WHERE m.telling = ? AND m.channel_id IS NOT NULL";

    static Set<Long> usedChannels(Connection connection, long telling) throws SQLException {
        Set<Long> used = new HashSet<>();
        try (PreparedStatement select = connection.prepareStatement(USED_CHANNELS)) {
            select.setLong(1, telling);
            try (ResultSet row = select.executeQuery()) {
                while (row.next()) {
                    used.add(row.getLong(1));
                }
            }
        }
        return used;
    }

    private static final String OTHERS = "SELECT m.id FROM outgoing_message m WHERE m.telling = ? AND m.id <> ? AND m.state <> 'UNDELIVERED'";

    /** Whether another message of the same telling is under way, has been handed over or was not needed. */
    static boolean hasOthers(Connection connection, OutgoingMessage message) throws SQLException {
        try (PreparedStatement select = connection.prepareStatement(OTHERS)) {
            select.setLong(1, message.telling());
            select.setLong(2, message.id());
            try (ResultSet row = select.executeQuery()) {
                return row.next();
            }
        }
    }

    private static final String NETWORK_ID = "UPDATE outgoing_message SET network_id = ? WHERE id = ?";

    static void networkId(Connection connection, OutgoingMessage message, String networkId) throws SQLException {
        try (PreparedStatement update = connection.prepareStatement(NETWORK_ID)) {
            update.setString(1, networkId);
            update.setLong(2, message.id());
            update.executeUpdate();
        }
    }

    /** By outgoing_message_by_network_id. */
    private static final String LOCK_BY_NETWORK_ID = SELECT_MESSAGE + """
            FROM outgoing_message m WHERE m.network_id = ? AND m.channel = ? AND m.arrival IS NULL
            ORDER BY m.id DESC
            FOR UPDATE
            """;

    /** The newest that waits for a receipt under this name: a network may use its names again after some days. */
    static Optional<OutgoingMessage> lockByNetworkId(Connection connection, String kind, String networkId) throws SQLException {
        try (PreparedStatement select = connection.prepareStatement(LOCK_BY_NETWORK_ID)) {
            select.setString(1, networkId);
            select.setString(2, kind);
            try (ResultSet row = select.executeQuery()) {
                return row.next() ? Optional.of(message(row, Instant.EPOCH)) : Optional.empty();
            }
        }
    }

    private static final String LOCK_TOLD_OF = SELECT_MESSAGE + "FROM outgoing_message m WHERE m.id = ? AND m.arrival IS NULL FOR UPDATE";

    /** Empty once its arrival is known, or when it is kept no more. */
    static Optional<OutgoingMessage> lockToldOf(Connection connection, long id) throws SQLException {
        return one(connection, LOCK_TOLD_OF, id);
    }

    private static final String OF_ID = SELECT_MESSAGE + "FROM outgoing_message m WHERE m.id = ?";

    /** Empty when it is kept no more. */
    static Optional<OutgoingMessage> find(Connection connection, long id) throws SQLException {
        return one(connection, OF_ID, id);
    }

    private static Optional<OutgoingMessage> one(Connection connection, String sql, long id) throws SQLException {
        try (PreparedStatement select = connection.prepareStatement(sql)) {
            select.setLong(1, id);
            try (ResultSet row = select.executeQuery()) {
                return row.next() ? Optional.of(message(row, Instant.EPOCH)) : Optional.empty();
            }
        }
    }

    private static final String ARRIVAL = """
            UPDATE outgoing_message SET arrival = ?, arrival_at = ?, state = ?, last_error = ? WHERE id = ? AND arrival IS NULL
            """;

    static boolean arrived(Connection connection, OutgoingMessage message, Instant at) throws SQLException {
        return arrival(connection, message, "ARRIVED", "SENT", Optional.empty(), at);
    }

    static boolean notArrived(Connection connection, OutgoingMessage message, String reason, Instant at) throws SQLException {
        return arrival(connection, message, "NOT_ARRIVED", "UNDELIVERED", Optional.of(reason), at);
    }

    private static boolean arrival(Connection connection, OutgoingMessage message, String arrival, String state, Optional<String> reason,
            Instant at) throws SQLException {
        try (PreparedStatement update = connection.prepareStatement(ARRIVAL)) {
            update.setString(1, arrival);
            update.setObject(2, Sql.utc(at));
            update.setString(3, state);
            update.setString(4, reason.map(Sql::cut).orElse(null));
            update.setLong(5, message.id());
            return update.executeUpdate() == 1;
        }
    }

    private static final String FORGET_RECEIPT = "DELETE FROM early_receipt WHERE channel = ? AND network_id = ?";

    private static final String KEEP_RECEIPT = "INSERT INTO early_receipt (channel, network_id, has_arrived, reason, at) VALUES (?, ?, ?, ?, ?)";

    /** Kept until the message that it is about is known by this name; the newest of a name counts. */
    static void keepReceipt(Connection connection, String kind, String networkId, boolean hasArrived, String reason, Instant at)
            throws SQLException {
        forgetReceipt(connection, kind, networkId);
        try (PreparedStatement insert = connection.prepareStatement(KEEP_RECEIPT)) {
            insert.setString(1, kind);
            insert.setString(2, networkId);
            insert.setBoolean(3, hasArrived);
            insert.setString(4, Sql.cut(reason));
            insert.setObject(5, Sql.utc(at));
            insert.executeUpdate();
        }
    }

    static void forgetReceipt(Connection connection, String kind, String networkId) throws SQLException {
        try (PreparedStatement delete = connection.prepareStatement(FORGET_RECEIPT)) {
            delete.setString(1, kind);
            delete.setString(2, networkId);
            delete.executeUpdate();
        }
    }

    record Receipt(boolean hasArrived, String reason, Instant at) {
    }

    private static final String EARLY_RECEIPT = "SELECT has_arrived, reason, at FROM early_receipt WHERE channel = ? AND network_id = ?";

    static Optional<Receipt> earlyReceipt(Connection connection, String kind, String networkId) throws SQLException {
        try (PreparedStatement select = connection.prepareStatement(EARLY_RECEIPT)) {
            select.setString(1, kind);
            select.setString(2, networkId);
            try (ResultSet row = select.executeQuery()) {
                return row.next() ? Optional.of(new Receipt(row.getBoolean(1), row.getString(2), Sql.time(row, 3).orElseThrow())) : Optional.empty();
            }
        }
    }

    private static final String DROP_OLD_RECEIPTS = "DELETE FROM early_receipt WHERE at < ?";

    /** Of messages that are not ours: another program may share the account with the network. */
    static void dropReceipts(Connection connection, Instant before) throws SQLException {
        try (PreparedStatement delete = connection.prepareStatement(DROP_OLD_RECEIPTS)) {
            delete.setObject(1, Sql.utc(before));
            delete.executeUpdate();
        }
    }

    private static OutgoingMessage message(ResultSet row, Instant leasedUntil) throws SQLException {
        return new OutgoingMessage(row.getLong(1), row.getString(2), Purpose.valueOf(row.getString(3)), Sql.id(row, 4), Sql.id(row, 5), Sql.id(row, 6),
                Sql.id(row, 7), row.getLong(8), row.getString(9), row.getString(10), row.getString(11), row.getString(12), row.getString(13),
                Sql.time(row, 14).orElseThrow(), row.getInt(15), leasedUntil, row.getString(16), row.getLong(17), Sql.id(row, 18),
                Optional.ofNullable(row.getString(19)), Sql.id(row, 20));
    }
}
