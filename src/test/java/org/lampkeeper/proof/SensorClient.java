package org.lampkeeper.proof;

import java.net.URI;
import java.nio.charset.StandardCharsets;
import java.time.Instant;

import org.eclipse.paho.client.mqttv3.MqttClient;
import org.eclipse.paho.client.mqttv3.MqttConnectOptions;
import org.eclipse.paho.client.mqttv3.MqttException;
import org.eclipse.paho.client.mqttv3.MqttMessage;
import org.eclipse.paho.client.mqttv3.persist.MemoryPersistence;

import org.lampkeeper.testing.ServiceProcess.SensorLogin;

/**
 * A sensor as somebody else might build it: another MQTT library and version than the service's, reports with absolute times and a
 * counter, and what was not acknowledged is sent again. One thread uses it at a time.
 */
final class SensorClient implements AutoCloseable {

    private static final long PATIENCE_MS = 20_000;

    private final URI broker;
    private final SensorLogin login;
    private MqttClient client;
    private long seq;

    SensorClient(URI broker, SensorLogin login) {
        this.broker = broker;
        this.login = login;
    }

    /** A report at this moment, ready to be sent once or more often. */
    String report(boolean supplied) {
        return report(supplied, Instant.now());
    }

    String report(boolean supplied, Instant at) {
        seq++;
        return report(login.baseName(), supplied, at, seq);
    }

    static String report(String baseName, boolean supplied, Instant at, long seq) {
        return "[{\"bn\":\"%s\",\"bt\":%d.%06d,\"n\":\"supply\",\"vb\":%b,\"ut\":900},{\"n\":\"seq\",\"v\":%d}]"
                .formatted(baseName, at.getEpochSecond(), at.getNano() / 1000, supplied, seq);
    }

    String topic() {
        return "lampkeeper/v1/" + login.deviceId() + "/report";
    }

    SensorLogin login() {
        return login;
    }

    /** Of the newest report made. */
    long seq() {
        return seq;
    }

    /** Sends a new report; returns when the broker has acknowledged it. */
    void says(boolean supplied) throws MqttException {
        publish(report(supplied));
    }

    /** Returns when the broker has acknowledged it. */
    void publish(String report) throws MqttException {
        publish(topic(), report.getBytes(StandardCharsets.UTF_8));
    }

    void publish(String topic, byte[] payload) throws MqttException {
        MqttMessage message = new MqttMessage(payload);
        message.setQos(1);
        connected().publish(topic, message);
    }

    /** Whether the broker acknowledged it; false where the connection broke first, so that it has to be sent again. */
    boolean tryToPublish(String report) {
        try {
            publish(report);
            return true;
        } catch (MqttException notAcknowledged) {
            giveUpConnection();
            return false;
        }
    }

    private MqttClient connected() throws MqttException {
        if (client != null && client.isConnected()) {
            return client;
        }
        giveUpConnection();
        MqttClient fresh = new MqttClient(broker.toString(), login.deviceId(), new MemoryPersistence());
        fresh.setTimeToWait(PATIENCE_MS);
        MqttConnectOptions options = new MqttConnectOptions();
        options.setMqttVersion(MqttConnectOptions.MQTT_VERSION_3_1_1);
        options.setUserName(login.deviceId());
        options.setPassword(login.secret().toCharArray());
        options.setConnectionTimeout(20);
        // Paho counts an acknowledged message as under way for a moment more; its default of 10 would stop a quick sender.
        options.setMaxInflight(1_000);
        fresh.connect(options);
        client = fresh;
        return fresh;
    }

    private void giveUpConnection() {
        MqttClient old = client;
        client = null;
        if (old == null) {
            return;
        }
        try {
            old.disconnectForcibly(0, 200, false);
        } catch (MqttException brokenAnyway) {
            // What is asked for is that it is gone.
        }
        try {
            old.close(true);
        } catch (MqttException brokenAnyway) {
            // As above.
        }
    }

    @Override
    public void close() {
        giveUpConnection();
    }
}
