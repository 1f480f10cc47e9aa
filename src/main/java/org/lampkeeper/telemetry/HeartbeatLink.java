package org.lampkeeper.telemetry;

import java.time.Duration;

import jakarta.enterprise.context.ApplicationScoped;

import org.eclipse.paho.mqttv5.client.MqttAsyncClient;
import org.eclipse.paho.mqttv5.client.MqttConnectionOptions;
import org.eclipse.paho.mqttv5.client.persist.MemoryPersistence;
import org.eclipse.paho.mqttv5.common.MqttException;
import org.jboss.logging.Logger;
import org.jspecify.annotations.Nullable;

/** Puts the heartbeat where whoever subscribes finds it, also later: retained on {@link Topics#HEARTBEAT}. Called by one thread. */
@ApplicationScoped
public class HeartbeatLink {

    private static final Logger LOG = Logger.getLogger(HeartbeatLink.class);

    // Ours: the same broker answers the slots in milliseconds.
    private static final Duration WITHIN = Duration.ofSeconds(10);
    private static final int QOS_AT_LEAST_ONCE = 1;

    private final Broker broker;
    private @Nullable MqttAsyncClient client;

    HeartbeatLink(Broker broker) {
        this.broker = broker;
    }

    /**
     * Returns once the broker has it.
     *
     * @param instance whose heartbeat it is; its client id is made of it, so that two do not cut each other off
     * @throws HeartbeatFailed when the broker did not take it in time
     */
    public void publish(byte[] heartbeat, String instance) {
        try {
            connected(instance).publish(Topics.HEARTBEAT, heartbeat, QOS_AT_LEAST_ONCE, true).waitForCompletion(WITHIN.toMillis());
        } catch (MqttException | IllegalStateException failure) {
            close();
            throw new HeartbeatFailed("the broker did not take the heartbeat: " + failure.getMessage(), failure);
        }
    }

    private MqttAsyncClient connected(String instance) throws MqttException {
        MqttAsyncClient current = client;
        if (current != null && current.isConnected() && current.getServerURI().equals(broker.uri().toString())) {
            return current;
        }
        close();
        MqttAsyncClient next = new MqttAsyncClient(broker.uri().toString(), BrokerTopics.OUR_NAMES + "heartbeat-" + instance, new MemoryPersistence());
        client = next;
        MqttConnectionOptions options = broker.options();
        options.setCleanStart(true);
        options.setAutomaticReconnect(false);
        options.setConnectionTimeout((int) WITHIN.toSeconds());
        next.connect(options).waitForCompletion(WITHIN.toMillis());
        return next;
    }

    /** Ends the connection; the next heartbeat opens another. */
    public void close() {
        MqttAsyncClient closing = client;
        client = null;
        if (closing == null) {
            return;
        }
        try {
            closing.disconnectForcibly(0, 0, false);
            closing.close(true);
        } catch (MqttException | RuntimeException failure) {
            // It is given up either way; the next one is a new client.
            LOG.debugf(failure, "heartbeat: the connection did not close cleanly");
        }
    }
}
