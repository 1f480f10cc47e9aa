package org.lampkeeper.telemetry;

import java.nio.charset.StandardCharsets;
import java.time.Clock;
import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.OptionalLong;
import java.util.UUID;
import java.util.concurrent.ArrayBlockingQueue;
import java.util.concurrent.BlockingQueue;
import java.util.concurrent.TimeUnit;

import org.eclipse.paho.mqttv5.client.IMqttToken;
import org.eclipse.paho.mqttv5.client.MqttAsyncClient;
import org.eclipse.paho.mqttv5.client.MqttCallback;
import org.eclipse.paho.mqttv5.client.MqttClientException;
import org.eclipse.paho.mqttv5.client.MqttConnectionOptions;
import org.eclipse.paho.mqttv5.client.MqttDisconnectResponse;
import org.eclipse.paho.mqttv5.client.persist.MemoryPersistence;
import org.eclipse.paho.mqttv5.common.MqttException;
import org.eclipse.paho.mqttv5.common.MqttMessage;
import org.eclipse.paho.mqttv5.common.MqttSubscription;
import org.eclipse.paho.mqttv5.common.packet.MqttProperties;
import org.jboss.logging.Logger;

/**
 * One connection to the broker under a slot's client id, used once: after it broke, a new one is made. So an acknowledgement that comes
 * late goes to a client that is gone, and can never hit a packet id that was dealt anew.
 *
 * <p>Paho's callback thread only puts messages into a bounded queue, which holds what the broker may have under way.
 */
final class SlotConnection implements MqttCallback, AutoCloseable {

    private static final Logger LOG = Logger.getLogger(SlotConnection.class);
    private static final int QOS_AT_LEAST_ONCE = 1;
    private static final Duration CONNECT_WITHIN = Duration.ofSeconds(10);
    /** Ours: what comes before the answer is a few thousand messages at most, and each of them is stored meanwhile. */
    private static final Duration SUBSCRIBE_WITHIN = Duration.ofMinutes(2);
    private static final int KEEP_ALIVE_SECONDS = 20;
    /** MQTT 5.0, 3.8.3.1. */
    private static final int SEND_NOTHING_RETAINED = 2;
    /** No packet id is 0 (MQTT 5.0, 2.2.1). */
    private static final int NOT_ACKNOWLEDGED = 0;
    /** Ours: well below the time after which a connection without an answer counts as dead on either side. */
    private static final Duration LONGEST_HELD_UP = Duration.ofSeconds(15);
    private static final Duration LOOK_AGAIN = Duration.ofMillis(100);
    private static final String DROPPED_BY_THE_BROKER = "$SYS/broker/publish/messages/dropped";

    /** A message and what acknowledges it. */
    record Queued(Arrival arrival, int packetId, boolean isMarker) {
    }

    private final Broker broker;
    private final int slot;
    private final IngestConfig config;
    private final Clock clock;
    private final BlockingQueue<Queued> queue;
    private final String marker = UUID.randomUUID().toString();
    private final MqttAsyncClient client;
    /** Not answered yet; only the worker's thread looks. */
    private Optional<IMqttToken> subscribing = Optional.empty();
    private long subscribedWithin;
    private volatile boolean broken;
    private volatile boolean caughtUp;
    private volatile OptionalLong droppedByBroker = OptionalLong.empty();

    SlotConnection(Broker broker, int slot, IngestConfig config, Clock clock) throws MqttException {
        this.broker = broker;
        this.slot = slot;
        this.config = config;
        this.clock = clock;
        this.queue = new ArrayBlockingQueue<>(config.inFlight() + 16);
        this.client = new MqttAsyncClient(broker.uri().toString(), IngestLogin.CLIENT_ID_PREFIX + slot, new MemoryPersistence());
        client.setManualAcks(true);
        client.setCallback(this);
    }

    /**
     * Connects to the session that the broker kept for this slot and asks for what it listens to. The answer is not waited for: it comes
     * behind whatever the broker sends first from that session, and Mosquitto 2.0.11 sends more than the queue holds. So somebody must take
     * in meanwhile and call {@link #endBacklog()} now and then.
     */
    void open() throws MqttException {
        MqttConnectionOptions options = broker.options();
        options.setCleanStart(false);
        options.setSessionExpiryInterval(config.sessionKept().toSeconds());
        options.setAutomaticReconnect(false);
        options.setReceiveMaximum(config.inFlight());
        options.setKeepAliveInterval(KEEP_ALIVE_SECONDS);
        options.setConnectionTimeout((int) CONNECT_WITHIN.toSeconds());
        client.connect(options).waitForCompletion(CONNECT_WITHIN.toMillis());
        List<MqttSubscription> wanted = new ArrayList<>();
        wanted.add(subscription(broker.dealt(Topics.ALL_REPORTS)));
        wanted.add(subscription(broker.dealt(Topics.ALL_LINKS)));
        if (!broker.isEmbedded()) {
            wanted.add(subscription(markerTopic()));
            wanted.add(subscription(DROPPED_BY_THE_BROKER));
        }
        subscribing = Optional.of(client.subscribe(wanted.toArray(MqttSubscription[]::new)));
        subscribedWithin = System.nanoTime() + SUBSCRIBE_WITHIN.toNanos();
    }

    /** Once the subscriptions have been answered, sends the marker that comes in behind the backlog; before and after that, nothing. */
    void endBacklog() throws MqttException {
        if (subscribing.isEmpty()) {
            return;
        }
        IMqttToken answer = subscribing.get();
        if (answer.isComplete()) {
            // Throws where the broker has refused.
            answer.waitForCompletion(CONNECT_WITHIN.toMillis());
            subscribing = Optional.empty();
            client.publish(markerTopic(), marker.getBytes(StandardCharsets.US_ASCII), QOS_AT_LEAST_ONCE, false);
        } else if (System.nanoTime() - subscribedWithin > 0) {
            throw new MqttException(MqttClientException.REASON_CODE_CLIENT_TIMEOUT);
        }
    }

    /**
     * Where the marker goes. Mosquitto keeps one queue a client, so an own topic comes behind the backlog. The embedded broker keeps one
     * queue a subscription, so there the marker must go through the shared one; with a single instance it comes back to us.
     */
    private String markerTopic() {
        return broker.isEmbedded() ? Topics.INGEST_MARKER_REPORT : Topics.INGEST + slot + "/marker";
    }

    private static MqttSubscription subscription(String filter) {
        MqttSubscription subscription = new MqttSubscription(filter, QOS_AT_LEAST_ONCE);
        // What is retained comes by the reader of retained messages, once, and not again at each reconnect.
        subscription.setRetainHandling(SEND_NOTHING_RETAINED);
        return subscription;
    }

    boolean isUsable() {
        return !broken && client.isConnected();
    }

    /** Whether everything that had waited at the broker before this connection has been taken in. */
    boolean isCaughtUp() {
        return caughtUp;
    }

    void markCaughtUp() {
        caughtUp = true;
    }

    int queued() {
        return queue.size();
    }

    /** How many messages the broker says it has dropped since it started; empty where it does not say. */
    OptionalLong droppedByBroker() {
        return droppedByBroker;
    }

    /** Waits for the next messages, at most {@code wait} for the first; in the order of arrival. */
    List<Queued> next(int atMost, Duration wait) throws InterruptedException {
        Queued first = queue.poll(wait.toMillis(), TimeUnit.MILLISECONDS);
        if (first == null) {
            return List.of();
        }
        List<Queued> batch = new ArrayList<>();
        batch.add(first);
        queue.drainTo(batch, atMost - 1);
        return batch;
    }

    /** Acknowledges in order. On a connection that broke meanwhile nothing is sent; the broker will deliver again. */
    void acknowledge(List<Queued> done) throws MqttException {
        for (Queued each : done) {
            if (!isUsable()) {
                return;
            }
            if (each.packetId() != NOT_ACKNOWLEDGED) {
                client.messageArrivedComplete(each.packetId(), QOS_AT_LEAST_ONCE);
            }
        }
    }

    @Override
    public void messageArrived(String topic, MqttMessage message) throws MqttException {
        if (topic.equals(DROPPED_BY_THE_BROKER)) {
            droppedByBroker = countIn(message.getPayload());
            if (message.getQos() > 0) {
                client.messageArrivedComplete(message.getId(), message.getQos());
            }
            return;
        }
        boolean isMarker = topic.equals(markerTopic());
        boolean waited = message.isRetained() || message.isDuplicate() || !caughtUp;
        Arrival arrival = new Arrival(topic, message.getPayload(), clock.instant(), waited);
        if (!isMarker && Topics.isReport(topic)) {
            // Read here, on this thread, while the worker waits for the commit of the batch before.
            arrival.report();
        }
        // A message of QoS 0 was not promised to arrive and is not acknowledged; it is taken in like any other.
        int packetId = message.getQos() == 0 ? NOT_ACKNOWLEDGED : message.getId();
        enqueue(new Queued(arrival, packetId, isMarker));
    }

    /**
     * Waits while the queue is full: Mosquitto 2.0.11 was seen with three times the receive maximum under way after its socket had been
     * full. What is read no longer stays in the socket, and so at the broker; acknowledgements leave by another thread meanwhile.
     */
    private void enqueue(Queued queued) {
        try {
            for (Duration waited = Duration.ZERO; !queue.offer(queued, LOOK_AGAIN.toMillis(), TimeUnit.MILLISECONDS); waited = waited
                    .plus(LOOK_AGAIN)) {
                if (broken || waited.compareTo(LONGEST_HELD_UP) > 0) {
                    if (!broken) {
                        LOG.warnf("slot %d: no batch was stored for %d s, so the connection is let go", slot, waited.toSeconds());
                    }
                    // Not acknowledged, so the broker delivers it to the next connection.
                    broken = true;
                    return;
                }
            }
        } catch (InterruptedException interrupted) {
            broken = true;
            Thread.currentThread().interrupt();
        }
    }

    private OptionalLong countIn(byte[] payload) {
        try {
            return OptionalLong.of(Long.parseLong(new String(payload, StandardCharsets.US_ASCII).strip()));
        } catch (NumberFormatException notANumber) {
            LOG.warnf("the broker's count of dropped messages is not a number and is left aside");
            return droppedByBroker;
        }
    }

    boolean isOwnMarker(Queued queued) {
        return queued.isMarker() && marker.equals(new String(queued.arrival().payload(), StandardCharsets.US_ASCII));
    }

    @Override
    public void disconnected(MqttDisconnectResponse response) {
        if (!broken) {
            LOG.warnf(response.getException(), "slot %d: the connection ended, reason %d %s", slot, response.getReturnCode(),
                    response.getReasonString());
        }
        broken = true;
    }

    @Override
    public void mqttErrorOccurred(MqttException exception) {
        LOG.warnf("slot %d: %s", slot, exception.getMessage());
    }

    @Override
    public void deliveryComplete(IMqttToken token) {
        // only the marker is ever published here, and it comes back by itself
    }

    @Override
    public void connectComplete(boolean reconnect, String serverUri) {
        // open() goes on by itself
    }

    @Override
    public void authPacketArrived(int reasonCode, MqttProperties properties) {
        // no extended authentication
    }

    /** Leaves without giving up the session; never throws. */
    @Override
    public void close() {
        broken = true;
        try {
            client.disconnectForcibly(0, 500, true);
        } catch (MqttException gone) {
            LOG.debugf("slot %d: was not connected any more: %s", slot, gone.getMessage());
        }
        try {
            client.close(true);
        } catch (MqttException gone) {
            LOG.debugf("slot %d: could not be closed again: %s", slot, gone.getMessage());
        }
    }
}
