package org.lampkeeper.message;

import java.net.URI;
import java.sql.Connection;
import java.sql.PreparedStatement;
import java.sql.ResultSet;
import java.sql.SQLException;
import java.sql.Types;
import java.time.Duration;
import java.time.Instant;
import java.time.temporal.ChronoUnit;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.OptionalLong;

/** The SQL of webhooks. Every method works in the transaction of the connection it is given and neither commits nor rolls back. */
final class WebhookTable {

    private WebhookTable() {
    }

    /** What {@link ChannelHealthTable} calls an endpoint: each fares by itself. */
    static String health(long endpointId) {
        return "WEBHOOK_" + endpointId;
    }

    /**
     * An endpoint as stored.
     *
     * @param mark       of its secret
     * @param markBefore of the secret before
     */
    record Endpoint(long id, OptionalLong siteId, String name, URI url, boolean isOn, String mark, Optional<String> markBefore,
            Optional<Instant> beforeUntil, Instant changedAt, OptionalLong changedBy, int version) {
    }

    private static final String ENDPOINT = """
            SELECT e.id, e.site_id, e.name, e.url, e.is_on, e.secret, e.secret_before, e.secret_before_until, e.changed_at, e.changed_by, e.version
            FROM webhook_endpoint e WHERE e.id = ?
            """;

    static Optional<Endpoint> endpoint(Connection connection, long id) throws SQLException {
        try (PreparedStatement select = connection.prepareStatement(ENDPOINT)) {
            select.setLong(1, id);
            try (ResultSet row = select.executeQuery()) {
                return row.next() ? Optional.of(new Endpoint(row.getLong(1), Sql.id(row, 2), row.getString(3), URI.create(row.getString(4)),
                        row.getBoolean(5), row.getString(6), Optional.ofNullable(row.getString(7)), Sql.time(row, 8), Sql.time(row, 9).orElseThrow(),
                        Sql.id(row, 10), row.getInt(11))) : Optional.empty();
            }
        }
    }

    private static final String ADD = """
            INSERT INTO webhook_endpoint (id, site_id, name, url, is_on, secret, changed_at, changed_by, version) VALUES (?, ?, ?, ?, ?, ?, ?, ?, 0)
            """;

    static long add(Connection connection, NewWebhook entered, String mark, OptionalLong by, Instant now) throws SQLException {
        long id = Sql.nextId(connection, "SELECT nextval('webhook_endpoint_seq')");
        try (PreparedStatement insert = connection.prepareStatement(ADD)) {
            insert.setLong(1, id);
            Sql.setId(insert, 2, entered.siteId());
            insert.setString(3, entered.name());
            insert.setString(4, entered.url());
            insert.setBoolean(5, entered.isOn());
            insert.setString(6, mark);
            insert.setObject(7, Sql.utc(now));
            Sql.setId(insert, 8, by);
            insert.executeUpdate();
        }
        return id;
    }

    private static final String CHANGE = """
            UPDATE webhook_endpoint SET name = ?, url = ?, is_on = ?, changed_at = ?, changed_by = ?, version = version + 1
            WHERE id = ? AND version = ?
            """;

    /** @return whether it was there in that version */
    static boolean change(Connection connection, long id, int version, NewWebhook entered, OptionalLong by, Instant now) throws SQLException {
        try (PreparedStatement update = connection.prepareStatement(CHANGE)) {
            update.setString(1, entered.name());
            update.setString(2, entered.url());
            update.setBoolean(3, entered.isOn());
            update.setObject(4, Sql.utc(now));
            Sql.setId(update, 5, by);
            update.setLong(6, id);
            update.setInt(7, version);
            return update.executeUpdate() == 1;
        }
    }

    private static final String RENEW_SECRET = """
            UPDATE webhook_endpoint SET secret_before = secret, secret_before_until = ?, secret = ?, changed_at = ?, changed_by = ?, version = version + 1
            WHERE id = ?
            """;

    static void renewSecret(Connection connection, long id, String mark, Instant beforeUntil, OptionalLong by, Instant now) throws SQLException {
        try (PreparedStatement update = connection.prepareStatement(RENEW_SECRET)) {
            update.setObject(1, Sql.utc(beforeUntil));
            update.setString(2, mark);
            update.setObject(3, Sql.utc(now));
            Sql.setId(update, 4, by);
            update.setLong(5, id);
            update.executeUpdate();
        }
    }

    private static final String REMOVE = "DELETE FROM webhook_endpoint WHERE id = ? AND version = ?";
    private static final String REMOVE_DELIVERIES = "DELETE FROM webhook_delivery WHERE endpoint_id = ?";

    /** With all that it was told. @return whether it was there in that version */
    static boolean remove(Connection connection, long id, int version) throws SQLException {
        try (PreparedStatement delete = connection.prepareStatement(REMOVE);
                PreparedStatement deliveries = connection.prepareStatement(REMOVE_DELIVERIES)) {
            delete.setLong(1, id);
            delete.setInt(2, version);
            deliveries.setLong(1, id);
            boolean isRemoved = delete.executeUpdate() == 1;
            if (isRemoved) {
                deliveries.executeUpdate();
            }
            return isRemoved;
        }
    }

    private static final String LISTENING = "SELECT e.id FROM webhook_endpoint e WHERE e.is_on AND (e.site_id IS NULL OR e.site_id = ?) ORDER BY e.id";

    /** The endpoints that hear of this site's alarms. */
    static List<Long> listening(Connection connection, long siteId) throws SQLException {
        List<Long> found = new ArrayList<>();
        try (PreparedStatement select = connection.prepareStatement(LISTENING)) {
            select.setLong(1, siteId);
            try (ResultSet row = select.executeQuery()) {
                while (row.next()) {
                    found.add(row.getLong(1));
                }
            }
        }
        return found;
    }

    /** The id of a delivery to be put, which says its order too. */
    static long nextDelivery(Connection connection) throws SQLException {
        return Sql.nextId(connection, "SELECT nextval('webhook_delivery_seq')");
    }

    private static final String PUT = """
            INSERT INTO webhook_delivery (id, message_key, endpoint_id, event, alarm_id, body, created_at, wanted_at, state, attempts, next_attempt_at)
            VALUES (?, ?, ?, ?, ?, ?, ?, ?, 'WAITING', 0, ?)
            """;

    static void put(Connection connection, long id, String key, long endpointId, WebhookEvent event, OptionalLong alarmId, String body, Instant now)
            throws SQLException {
        try (PreparedStatement insert = connection.prepareStatement(PUT)) {
            insert.setLong(1, id);
            insert.setString(2, key);
            insert.setLong(3, endpointId);
            insert.setString(4, event.type());
            Sql.setId(insert, 5, alarmId);
            insert.setString(6, body);
            insert.setObject(7, Sql.utc(now));
            insert.setObject(8, Sql.utc(now));
            insert.setObject(9, Sql.utc(now));
            insert.executeUpdate();
        }
    }

    /**
     * A delivery that this worker has leased.
     *
     * @param key      the header webhook-id
     * @param attempts failed tries so far
     */
    record Leased(long id, String key, long endpointId, String event, String body, Instant wantedAt, int attempts, Instant leasedUntil) {

        @Override
        public String toString() {
            return "webhook " + endpointId + ", delivery " + id + " (" + event + ")";
        }
    }

    /** Due ones of endpoints that are not left alone just now, oldest first. Uses webhook_delivery_by_next_attempt. */
    private static final String DUE = """
            SELECT w.id FROM webhook_delivery w LEFT JOIN channel_health h ON h.kind = 'WEBHOOK_' || w.endpoint_id
            WHERE w.next_attempt_at <= ? AND (h.open_until IS NULL OR h.open_until <= ?) ORDER BY w.next_attempt_at, w.id LIMIT ?
            """;

    /** As {@link OutboxTable} on why these are two statements and the condition stands in both. */
    private static final String LOCK_DUE = """
            SELECT d.id, d.message_key, d.endpoint_id, d.event, d.body, d.wanted_at, d.attempts
            FROM webhook_delivery d
            WHERE d.id = ANY (?) AND d.next_attempt_at <= ?
            FOR UPDATE SKIP LOCKED
            """;

    private static final String LEASE = "UPDATE webhook_delivery SET next_attempt_at = ?, leased_until = ? WHERE id = ?";

    /** Leases up to {@code most} due deliveries to the caller. They become due again by themselves when the lease has run out. */
    static List<Leased> claim(Connection connection, int most, Duration lease, Instant now) throws SQLException {
        Instant leasedUntil = now.plus(lease).truncatedTo(ChronoUnit.MICROS);
        List<Leased> due;
        try (PreparedStatement select = connection.prepareStatement(DUE)) {
            select.setObject(1, Sql.utc(now));
            select.setObject(2, Sql.utc(now));
            select.setInt(3, most);
            due = Sql.lockDue(connection, LOCK_DUE, Sql.ids(select), now, row -> new Leased(row.getLong(1), row.getString(2), row.getLong(3), row.getString(4),
                    row.getString(5), Sql.time(row, 6).orElseThrow(), row.getInt(7), leasedUntil));
        }
        try (PreparedStatement update = connection.prepareStatement(LEASE)) {
            for (Leased each : due) {
                update.setObject(1, Sql.utc(leasedUntil));
                update.setObject(2, Sql.utc(leasedUntil));
                update.setLong(3, each.id());
                update.executeUpdate();
            }
        }
        return due;
    }

    private static final String POSTPONE = """
            UPDATE webhook_delivery SET next_attempt_at = ?, leased_until = NULL WHERE id = ? AND state = 'WAITING' AND leased_until = ?
            """;

    /** Not tried at all: its endpoint is left alone for a moment. */
    static void postpone(Connection connection, Leased delivery, Instant until) throws SQLException {
        try (PreparedStatement update = connection.prepareStatement(POSTPONE)) {
            update.setObject(1, Sql.utc(until));
            update.setLong(2, delivery.id());
            update.setObject(3, Sql.utc(delivery.leasedUntil()));
            update.executeUpdate();
        }
    }

    private static final String DELIVERED = """
            UPDATE webhook_delivery SET state = 'DELIVERED', attempts = ?, tried_at = ?, status = ?, took_ms = ?, last_error = NULL, ended_at = ?,
                next_attempt_at = NULL, leased_until = NULL
            WHERE id = ? AND state <> 'DELIVERED'
            """;

    /** Taken by the receiver, also where the lease ran out meanwhile: whoever has it now need not send it again. */
    static void delivered(Connection connection, Leased delivery, GuardedClient.Answer answer, Instant now) throws SQLException {
        try (PreparedStatement update = connection.prepareStatement(DELIVERED)) {
            update.setInt(1, delivery.attempts() + 1);
            update.setObject(2, Sql.utc(now));
            setNumber(update, 3, answer.status());
            update.setLong(4, answer.took().toMillis());
            update.setObject(5, Sql.utc(now));
            update.setLong(6, delivery.id());
            update.executeUpdate();
        }
    }

    private static final String FAILED = """
            UPDATE webhook_delivery SET state = ?, attempts = ?, tried_at = ?, status = ?, took_ms = ?, last_error = ?, ended_at = ?,
                next_attempt_at = ?, leased_until = NULL
            WHERE id = ? AND state = 'WAITING' AND leased_until = ?
            """;

    /**
     * Only the holder of the lease may say so; another may be sending it successfully at this moment.
     *
     * @param next when it is tried again; empty: never
     * @return whether it was the caller's
     */
    static boolean failed(Connection connection, Leased delivery, GuardedClient.Answer answer, Optional<Instant> next, Instant now)
            throws SQLException {
        try (PreparedStatement update = connection.prepareStatement(FAILED)) {
            update.setString(1, next.isPresent() ? "WAITING" : "UNDELIVERED");
            update.setInt(2, delivery.attempts() + 1);
            update.setObject(3, Sql.utc(now));
            setNumber(update, 4, answer.status());
            update.setLong(5, answer.took().toMillis());
            update.setString(6, Sql.cut(answer.reason().orElseThrow()));
            Sql.setTime(update, 7, next.isPresent() ? Optional.empty() : Optional.of(now));
            Sql.setTime(update, 8, next);
            update.setLong(9, delivery.id());
            update.setObject(10, Sql.utc(delivery.leasedUntil()));
            return update.executeUpdate() == 1;
        }
    }

    private static final String GIVE_UP = """
            UPDATE webhook_delivery SET state = 'UNDELIVERED', last_error = ?, ended_at = ?, next_attempt_at = NULL, leased_until = NULL
            WHERE endpoint_id = ? AND state = 'WAITING'
            """;

    /** All that waits for an endpoint. */
    static void giveUp(Connection connection, long endpointId, String why, Instant now) throws SQLException {
        try (PreparedStatement update = connection.prepareStatement(GIVE_UP)) {
            update.setString(1, why);
            update.setObject(2, Sql.utc(now));
            update.setLong(3, endpointId);
            update.executeUpdate();
        }
    }

    private static final String AGAIN = """
            UPDATE webhook_delivery SET state = 'WAITING', wanted_at = ?, next_attempt_at = ?, ended_at = NULL
            WHERE id = ? AND state = 'UNDELIVERED' AND endpoint_id IN (SELECT e.id FROM webhook_endpoint e WHERE e.is_on)
            """;

    /** As it was, with the same id. @return whether it had failed, and its endpoint is on */
    static boolean again(Connection connection, long deliveryId, Instant now) throws SQLException {
        try (PreparedStatement update = connection.prepareStatement(AGAIN)) {
            update.setObject(1, Sql.utc(now));
            update.setObject(2, Sql.utc(now));
            update.setLong(3, deliveryId);
            return update.executeUpdate() == 1;
        }
    }

    private static void setNumber(PreparedStatement statement, int index, Optional<Integer> number) throws SQLException {
        statement.setObject(index, number.orElse(null), Types.INTEGER);
    }
}
