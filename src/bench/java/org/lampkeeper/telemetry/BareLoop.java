package org.lampkeeper.telemetry;

import java.io.BufferedReader;
import java.io.IOException;
import java.io.InputStreamReader;
import java.nio.charset.StandardCharsets;
import java.sql.Connection;
import java.sql.PreparedStatement;
import java.sql.ResultSet;
import java.sql.SQLException;
import java.sql.Statement;
import java.time.Instant;
import java.time.OffsetDateTime;
import java.time.ZoneOffset;
import java.util.ArrayList;
import java.util.HashMap;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Properties;
import java.util.concurrent.ArrayBlockingQueue;
import java.util.concurrent.BlockingQueue;
import java.util.function.Function;

import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectMapper;
import org.eclipse.paho.mqttv5.client.IMqttToken;
import org.eclipse.paho.mqttv5.client.MqttAsyncClient;
import org.eclipse.paho.mqttv5.client.MqttCallback;
import org.eclipse.paho.mqttv5.client.MqttConnectionOptions;
import org.eclipse.paho.mqttv5.client.MqttDisconnectResponse;
import org.eclipse.paho.mqttv5.client.persist.MemoryPersistence;
import org.eclipse.paho.mqttv5.common.MqttException;
import org.eclipse.paho.mqttv5.common.MqttMessage;
import org.eclipse.paho.mqttv5.common.MqttSubscription;
import org.eclipse.paho.mqttv5.common.packet.MqttProperties;
import org.jspecify.annotations.Nullable;

import org.lampkeeper.register.AnyDatabaseDriver;

/**
 * What nobody could leave out: receive, parse, one statement that finds changes, commit, acknowledge. Believes every message: no limits,
 * no dating, no doubts, no check of topic against base name, no second path. In a process of its own, as the service is.
 *
 * <p>Reads {@code expect N} from its input; answers {@code done} with what was committed after the first and after the last of the N, and
 * the moments of both in nanoseconds.
 */
public final class BareLoop implements MqttCallback {

    public static final String TOPICS = "bare/v1/";
    private static final int IN_FLIGHT = 2_000;
    private static final int BATCH = 1_000;
    private static final int GRACE_SECONDS = 120;
    private static final ObjectMapper JSON = new ObjectMapper();

    /** Same columns, same condition for "nothing but time has changed". */
    private static final String MOVE = """
            UPDATE sensor_status AS s
               SET observed_at = v.observed_at, seq = v.seq, received_at = v.received_at, silent_after = v.silent_after,
                   inside_c = COALESCE(v.inside_c, s.inside_c), outside_c = COALESCE(v.outside_c, s.outside_c),
                   battery_percent = COALESCE(v.battery_percent, s.battery_percent),
                   heater_on = COALESCE(v.heater_on, s.heater_on), door_open = COALESCE(v.door_open, s.door_open)
              FROM UNNEST(CAST(? AS BIGINT ARRAY), CAST(? AS VARCHAR ARRAY), CAST(? AS TIMESTAMP(6) WITH TIME ZONE ARRAY),
                          CAST(? AS BIGINT ARRAY), CAST(? AS TIMESTAMP(6) WITH TIME ZONE ARRAY),
                          CAST(? AS TIMESTAMP(6) WITH TIME ZONE ARRAY), CAST(? AS DOUBLE PRECISION ARRAY),
                          CAST(? AS DOUBLE PRECISION ARRAY), CAST(? AS DOUBLE PRECISION ARRAY), CAST(? AS BOOLEAN ARRAY),
                          CAST(? AS BOOLEAN ARRAY))
                   AS v (sensor_id, reading, observed_at, seq, received_at, silent_after, inside_c, outside_c, battery_percent,
                         heater_on, door_open)
             WHERE s.sensor_id = v.sensor_id AND s.settled AND s.reading = v.reading
               AND s.observed_at < v.observed_at AND s.silence_due <= v.silent_after""";

    private final BlockingQueue<Received> queue = new ArrayBlockingQueue<>(IN_FLIGHT + 16);
    private final Map<String, Long> sensors = new HashMap<>();
    private final Connection database;
    private final MqttAsyncClient client;
    private final String timeType;

    private record Received(byte[] payload, int packetId, Instant at) {
    }

    private record Row(long sensorId, String reading, OffsetDateTime observedAt, Long seq, OffsetDateTime receivedAt,
            OffsetDateTime silentAfter, Double inside, Double outside, Double battery, Boolean heater, Boolean door) {
    }

    private BareLoop(String broker, String url, String user, String password) throws SQLException, MqttException {
        Properties login = new Properties();
        login.setProperty("user", user);
        login.setProperty("password", password);
        database = new AnyDatabaseDriver().connect(url, login);
        database.setAutoCommit(false);
        timeType = AnyDatabaseDriver.isPostgresql(url) ? "timestamptz" : "timestamp with time zone";
        try (Statement statement = database.createStatement(); ResultSet found = statement.executeQuery("SELECT id, base_name FROM sensor")) {
            while (found.next()) {
                sensors.put(found.getString(2), found.getLong(1));
            }
        }
        database.commit();
        client = new MqttAsyncClient(broker, "bare-loop", new MemoryPersistence());
        client.setManualAcks(true);
        client.setCallback(this);
        MqttConnectionOptions options = new MqttConnectionOptions();
        options.setSocketFactory(new PromptSockets());
        options.setCleanStart(false);
        options.setSessionExpiryInterval(3_600L);
        options.setAutomaticReconnect(false);
        options.setReceiveMaximum(IN_FLIGHT);
        options.setKeepAliveInterval(60);
        client.connect(options).waitForCompletion();
        client.subscribe(new MqttSubscription[]{new MqttSubscription("$share/bare/" + TOPICS + "+/report", 1)}).waitForCompletion();
    }

    /** Arguments: broker, then URL, user and password of the database. Ends when its input does. */
    public static void main(String... arguments) throws Exception {
        BareLoop loop = new BareLoop(arguments[0], arguments[1], arguments[2], arguments.length > 3 ? arguments[3] : "");
        System.out.println("ready");
        BufferedReader in = new BufferedReader(new InputStreamReader(System.in, StandardCharsets.US_ASCII));
        for (String line = in.readLine(); line != null; line = in.readLine()) {
            System.out.println(loop.take(Integer.parseInt(line.replace("expect ", ""))));
        }
        System.exit(0);
    }

    private String take(int expected) throws InterruptedException, SQLException, IOException, MqttException {
        int committed = 0;
        String first = "";
        try (PreparedStatement move = database.prepareStatement(MOVE)) {
            while (committed < expected) {
                List<Received> batch = new ArrayList<>();
                batch.add(queue.take());
                queue.drainTo(batch, BATCH - 1);
                store(batch, move);
                for (Received each : batch) {
                    client.messageArrivedComplete(each.packetId(), 1);
                }
                committed += batch.size();
                if (first.isEmpty()) {
                    first = committed + " " + System.nanoTime();
                }
            }
        }
        return "done " + first + " " + committed + " " + System.nanoTime();
    }

    private void store(List<Received> batch, PreparedStatement move) throws IOException, SQLException {
        Map<Long, Row> newest = new LinkedHashMap<>();
        for (Received each : batch) {
            Row row = row(each);
            newest.put(row.sensorId(), row);
        }
        List<Row> rows = List.copyOf(newest.values());
        set(move, 1, "bigint", rows, Row::sensorId);
        set(move, 2, "varchar", rows, Row::reading);
        set(move, 3, timeType, rows, Row::observedAt);
        set(move, 4, "bigint", rows, Row::seq);
        set(move, 5, timeType, rows, Row::receivedAt);
        set(move, 6, timeType, rows, Row::silentAfter);
        set(move, 7, "double precision", rows, Row::inside);
        set(move, 8, "double precision", rows, Row::outside);
        set(move, 9, "double precision", rows, Row::battery);
        set(move, 10, "boolean", rows, Row::heater);
        set(move, 11, "boolean", rows, Row::door);
        if (move.executeUpdate() != rows.size()) {
            throw new IllegalStateException("a report was not steady, but all that were sent are");
        }
        database.commit();
    }

    private Row row(Received received) throws IOException {
        String base = "";
        double time = 0;
        int promise = 0;
        boolean supplied = false;
        long seq = 0;
        Map<String, Double> numbers = new HashMap<>();
        Map<String, Boolean> truths = new HashMap<>();
        for (JsonNode each : JSON.readTree(received.payload())) {
            base = each.has("bn") ? each.get("bn").asText() : base;
            time = each.has("bt") ? each.get("bt").asDouble() : time;
            String name = each.get("n").asText();
            switch (name) {
                case "supply" -> {
                    supplied = each.get("vb").asBoolean();
                    promise = each.get("ut").asInt();
                }
                case "seq" -> seq = each.get("v").asLong();
                case "heater", "door" -> truths.put(name, each.get("vb").asBoolean());
                default -> numbers.put(name, each.get("v").asDouble());
            }
        }
        Instant observed = Instant.ofEpochMilli(Math.round(time * 1_000));
        return new Row(sensors.get(base), supplied ? "HEALTHY" : "LOST", utc(observed), seq, utc(received.at()),
                utc(observed.plusSeconds(promise + GRACE_SECONDS)), numbers.get("inside"), numbers.get("outside"), numbers.get("battery"),
                truths.get("heater"), truths.get("door"));
    }

    private void set(PreparedStatement move, int index, String type, List<Row> rows, Function<Row, Object> column) throws SQLException {
        move.setArray(index, database.createArrayOf(type, rows.stream().map(column).toArray()));
    }

    private static OffsetDateTime utc(Instant time) {
        return OffsetDateTime.ofInstant(time, ZoneOffset.UTC);
    }

    @Override
    public void messageArrived(String topic, MqttMessage message) throws InterruptedException {
        // Mosquitto may have more under way than agreed; see SlotConnection.
        queue.put(new Received(message.getPayload(), message.getId(), Instant.now()));
    }

    @Override
    public void disconnected(MqttDisconnectResponse response) {
        System.err.println("disconnected: " + response);
        System.exit(1);
    }

    @Override
    public void mqttErrorOccurred(MqttException exception) {
        System.err.println("error: " + exception);
    }

    @Override
    public void deliveryComplete(IMqttToken token) {
        // Publishes nothing.
    }

    @Override
    public void connectComplete(boolean reconnect, @Nullable String serverUri) {
        // Connected once, awaited there.
    }

    @Override
    public void authPacketArrived(int reasonCode, MqttProperties properties) {
        // No such exchange was asked for.
    }
}
