package org.lampkeeper.simulator;

import java.io.IOException;
import java.net.URI;
import java.nio.charset.StandardCharsets;
import java.util.List;
import java.util.concurrent.CopyOnWriteArrayList;

import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectMapper;
import org.eclipse.paho.mqttv5.client.IMqttToken;
import org.eclipse.paho.mqttv5.client.MqttCallback;
import org.eclipse.paho.mqttv5.client.MqttClient;
import org.eclipse.paho.mqttv5.client.MqttConnectionOptions;
import org.eclipse.paho.mqttv5.client.MqttDisconnectResponse;
import org.eclipse.paho.mqttv5.client.persist.MemoryPersistence;
import org.eclipse.paho.mqttv5.common.MqttException;
import org.eclipse.paho.mqttv5.common.MqttMessage;
import org.eclipse.paho.mqttv5.common.packet.MqttProperties;

/** Hears everything that the sensors of a broker say. */
final class Observer implements AutoCloseable {

    private static final ObjectMapper JSON = new ObjectMapper();

    record Heard(String topic, byte[] payload, int qos) {
        String text() {
            return new String(payload, StandardCharsets.UTF_8);
        }
    }

    final List<Heard> heard = new CopyOnWriteArrayList<>();
    private final MqttClient client;

    Observer(URI broker) throws MqttException {
        client = new MqttClient(SensorLink.pahoAddress(broker), "observer", new MemoryPersistence());
        client.setCallback(new Ears());
        MqttConnectionOptions options = new MqttConnectionOptions();
        options.setUserName("observer");
        options.setPassword("observer".getBytes(StandardCharsets.UTF_8));
        client.connect(options);
        client.subscribe("lampkeeper/#", 1);
    }

    List<String> link(String deviceId) {
        return heard.stream().filter(message -> message.topic().equals("lampkeeper/v1/" + deviceId + "/link")).map(Heard::text).toList();
    }

    List<JsonNode> reports(String deviceId) {
        return heard.stream().filter(message -> message.topic().equals("lampkeeper/v1/" + deviceId + "/report")).map(Observer::json).toList();
    }

    boolean heardSupply(String deviceId, boolean healthy) {
        return reports(deviceId).stream().anyMatch(report -> report.get(0).get("vb").asBoolean() == healthy);
    }

    @Override
    public void close() throws MqttException {
        client.disconnectForcibly(0, 1_000);
        client.close();
    }

    private static JsonNode json(Heard message) {
        try {
            return JSON.readTree(message.payload());
        } catch (IOException unreadable) {
            throw new IllegalStateException(message.text(), unreadable);
        }
    }

    private final class Ears implements MqttCallback {
        @Override
        public void messageArrived(String topic, MqttMessage message) {
            heard.add(new Heard(topic, message.getPayload(), message.getQos()));
        }

        @Override
        public void disconnected(MqttDisconnectResponse response) {
        }

        @Override
        public void mqttErrorOccurred(MqttException error) {
        }

        @Override
        public void deliveryComplete(IMqttToken token) {
        }

        @Override
        public void connectComplete(boolean reconnect, String serverUri) {
        }

        @Override
        public void authPacketArrived(int reasonCode, MqttProperties properties) {
        }
    }
}
