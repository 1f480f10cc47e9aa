package org.lampkeeper.message;

import java.sql.Connection;
import java.sql.PreparedStatement;
import java.sql.ResultSet;
import java.sql.SQLException;
import java.time.Instant;
import java.util.ArrayList;
import java.util.HexFormat;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalLong;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.enterprise.event.Event;
import jakarta.enterprise.event.Observes;

import com.fasterxml.jackson.core.JsonProcessingException;
import com.fasterxml.jackson.databind.ObjectMapper;

import org.lampkeeper.journal.Entry;
import org.lampkeeper.journal.Journal;

/**
 * Turns what is written into the journal into what programs outside are told, in the same transaction: an event is sent if and only if its
 * fact is stored. Where nobody listens it costs one look at a short table. The form of what is sent is that of docs/webhooks.md.
 */
@ApplicationScoped
class WebhookEvents {

    private static final ObjectMapper JSON = new ObjectMapper();

    /** The installation itself, where the journal names no site. */
    private static final long INSTALLATION = 0;

    private final Database database;
    private final MessageConfig config;
    private final Event<Put> put;

    WebhookEvents(Database database, MessageConfig config, Event<Put> put) {
        this.database = database;
        this.config = config;
        this.put = put;
    }

    /** An event was put; whoever sends hears of it after the commit. */
    record Put() {
    }

    void appended(@Observes Journal.Appended appended) {
        Entry entry = appended.entry();
        Optional<WebhookEvent> said = WebhookEvent.of(entry);
        boolean isClosed = WebhookEvent.isClosedBy(entry);
        if (said.isEmpty() && !isClosed) {
            return;
        }
        boolean isHeard = database.get("the event of journal entry " + entry.kind() + " could not be put", connection -> {
            List<Long> listening = WebhookTable.listening(connection, entry.site().orElse(INSTALLATION));
            if (listening.isEmpty()) {
                return false;
            }
            Map<String, Object> data = data(connection, entry);
            for (long endpoint : listening) {
                if (said.isPresent()) {
                    put(connection, endpoint, said.get(), entry.alarm(), data, entry.at());
                }
                if (isClosed) {
                    put(connection, endpoint, WebhookEvent.CLOSED, entry.alarm(), data, entry.at());
                }
            }
            return true;
        });
        if (isHeard) {
            put.fire(new Put());
        }
    }

    /** In the caller's transaction. @return the delivery */
    long test(Connection connection, long endpointId, Instant now) throws SQLException {
        long id = put(connection, endpointId, WebhookEvent.TEST, OptionalLong.empty(), Map.of(), now);
        put.fire(new Put());
        return id;
    }

    private static long put(Connection connection, long endpointId, WebhookEvent event, OptionalLong alarmId, Map<String, Object> data, Instant now)
            throws SQLException {
        long id = WebhookTable.nextDelivery(connection);
        Map<String, Object> all = new LinkedHashMap<>();
        all.put("type", event.type());
        all.put("timestamp", now.toString());
        Map<String, Object> numbered = new LinkedHashMap<>();
        numbered.put("sequence", id);
        numbered.putAll(data);
        all.put("data", numbered);
        WebhookTable.put(connection, id, "msg_" + HexFormat.of().formatHex(Outbox.key()), endpointId, event, alarmId, json(all), now);
        return id;
    }

    private static String json(Map<String, Object> all) {
        try {
            return JSON.writeValueAsString(all);
        } catch (JsonProcessingException impossible) {
            throw new IllegalStateException("an event could not be written as JSON", impossible);
        }
    }

    /** By primary keys and person's unique reference. An alarm that is being raised may not be in the table yet: then the entry says it all. */
    private static final String ABOUT = """
            SELECT s.id, s.name, c.id, c.code, c.name, a.kind, a.state, a.live, a.since, a.call_out_id, p.id
            FROM (VALUES (1)) AS one (n)
            LEFT JOIN site s ON s.id = CAST(? AS BIGINT)
            LEFT JOIN cabinet c ON c.id = CAST(? AS BIGINT)
            LEFT JOIN alarm a ON a.id = CAST(? AS BIGINT)
            LEFT JOIN person p ON p.reference = CAST(? AS VARCHAR)
            """;

    /** People by number only: what was sent cannot be called back when somebody is erased. */
    private Map<String, Object> data(Connection connection, Entry entry) throws SQLException {
        long alarm = entry.alarm().orElseThrow();
        Map<String, Object> data = new LinkedHashMap<>();
        data.put("alarm", alarm);
        try (PreparedStatement select = connection.prepareStatement(ABOUT)) {
            Sql.setId(select, 1, entry.site());
            Sql.setId(select, 2, entry.cabinet());
            select.setLong(3, alarm);
            select.setString(4, entry.fact("person").orElse(null));
            try (ResultSet row = select.executeQuery()) {
                row.next();
                put(data, "kind", entry.fact("alarm-kind").isPresent() ? entry.fact("alarm-kind") : Optional.ofNullable(row.getString(6)));
                put(data, "state", entry.fact("state").isPresent() ? entry.fact("state") : Optional.ofNullable(row.getString(7)));
                data.put("live", entry.fact("live").map(Boolean::valueOf).orElse(row.getBoolean(8)));
                put(data, "since", entry.kind().startsWith("alarm-raised") ? entry.fact("since") : Sql.time(row, 9).map(Instant::toString));
                if (row.getObject(1) != null) {
                    data.put("site", Map.of("id", row.getLong(1), "name", row.getString(2)));
                }
                if (row.getObject(3) != null) {
                    data.put("cabinet", new LinkedHashMap<>(Map.of("id", row.getLong(3), "code", row.getString(4), "name", row.getString(5))));
                }
                if (row.getObject(11) != null) {
                    data.put("person", row.getLong(11));
                }
                put(data, "until", entry.fact("until"));
                put(data, "forecast", entry.fact("forecast"));
                put(data, "pastLimitEarly", entry.fact("past-limit-early"));
                if (entry.kind().equals("message-sent") && row.getObject(10) != null) {
                    data.put("alarms", open(connection, row.getLong(10)));
                }
            }
        }
        data.put("link", config.address("alarms/" + alarm));
        return data;
    }

    /** By alarm_by_call_out. */
    private static final String OPEN_OF_CALL_OUT = "SELECT a.id FROM alarm a WHERE a.call_out_id = ? AND a.closed_at IS NULL ORDER BY a.id";

    /** One message may be about all that was lost together. */
    private static List<Long> open(Connection connection, long callOutId) throws SQLException {
        List<Long> alarms = new ArrayList<>();
        try (PreparedStatement select = connection.prepareStatement(OPEN_OF_CALL_OUT)) {
            select.setLong(1, callOutId);
            try (ResultSet row = select.executeQuery()) {
                while (row.next()) {
                    alarms.add(row.getLong(1));
                }
            }
        }
        return alarms;
    }

    private static void put(Map<String, Object> data, String name, Optional<String> value) {
        value.ifPresent(known -> data.put(name, known));
    }
}
