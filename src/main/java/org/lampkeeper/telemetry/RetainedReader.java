package org.lampkeeper.telemetry;

import java.time.Clock;
import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import java.util.concurrent.ArrayBlockingQueue;
import java.util.concurrent.BlockingQueue;
import java.util.concurrent.TimeUnit;

import jakarta.enterprise.context.ApplicationScoped;

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
import org.jboss.logging.Logger;

/**
 * Reads once what the broker keeps of every sensor (its link, and its last report where it asked for that): a shared subscription is
 * never given retained messages, and whatever changed while nobody listened may be only there. What it reads may be of any age.
 */
@ApplicationScoped
class RetainedReader {

    private static final Logger LOG = Logger.getLogger(RetainedReader.class);
    private static final Duration CONNECT_WITHIN = Duration.ofSeconds(10);
    /** Ours: after the marker is back, how long nothing more may come before the reading is over. */
    private static final Duration QUIET = Duration.ofMillis(500);
    private static final Duration AT_MOST = Duration.ofSeconds(60);
    private static final int BATCH = 500;
    private static final int RECEIVE_MAXIMUM = 1_000;

    private final Broker broker;
    private final Clock clock;

    RetainedReader(Broker broker, Clock clock) {
        this.broker = broker;
        this.clock = clock;
    }

    /** Reads and hands over everything retained; a broker that breaks off is read again at the next connection. */
    void read(String instance, Intake intake) {
        BlockingQueue<Arrival> kept = new ArrayBlockingQueue<>(RECEIVE_MAXIMUM * 2);
        try {
            MqttAsyncClient client = new MqttAsyncClient(broker.uri().toString(), "lampkeeper-retained-" + instance, new MemoryPersistence());
            try {
                client.setCallback(new Keeping(kept));
                MqttConnectionOptions options = broker.options();
                options.setCleanStart(true);
                options.setSessionExpiryInterval(0L);
                options.setAutomaticReconnect(false);
                options.setReceiveMaximum(RECEIVE_MAXIMUM);
                client.connect(options).waitForCompletion(CONNECT_WITHIN.toMillis());
                client.subscribe(new MqttSubscription[] {new MqttSubscription(Topics.ALL_LINKS, 1),
                        new MqttSubscription(Topics.ALL_REPORTS, 1)}).waitForCompletion(CONNECT_WITHIN.toMillis());
                int read = handOver(kept, intake);
                LOG.infof("read %d retained messages", read);
            } finally {
                client.disconnectForcibly(0, 500, true);
                client.close(true);
            }
        } catch (MqttException failure) {
            LOG.warnf("what the broker keeps could not be read: %s", failure.getMessage());
        } catch (InterruptedException interrupted) {
            Thread.currentThread().interrupt();
        }
    }

    private int handOver(BlockingQueue<Arrival> kept, Intake intake) throws InterruptedException {
        long end = System.nanoTime() + AT_MOST.toNanos();
        int read = 0;
        while (System.nanoTime() < end) {
            Arrival first = kept.poll(QUIET.toMillis(), TimeUnit.MILLISECONDS);
            if (first == null) {
                return read;
            }
            List<Arrival> batch = new ArrayList<>();
            batch.add(first);
            kept.drainTo(batch, BATCH - 1);
            intake.take(batch);
            read += batch.size();
        }
        return read;
    }

    /** Keeps retained messages and leaves the live ones to the slots. */
    private final class Keeping implements MqttCallback {
        private final BlockingQueue<Arrival> kept;

        private Keeping(BlockingQueue<Arrival> kept) {
            this.kept = kept;
        }

        @Override
        public void messageArrived(String topic, MqttMessage message) throws InterruptedException {
            if (message.isRetained() && !topic.startsWith(Topics.INGEST)) {
                // Waits: the broker then sends no more than it may have under way.
                kept.put(new Arrival(topic, message.getPayload(), clock.instant(), true));
            }
        }

        @Override
        public void disconnected(MqttDisconnectResponse response) {
            LOG.debugf("the reading of retained messages ended: %s", response.getReasonString());
        }

        @Override
        public void mqttErrorOccurred(MqttException exception) {
            LOG.debugf("while reading retained messages: %s", exception.getMessage());
        }

        @Override
        public void deliveryComplete(IMqttToken token) {
            // nothing is published here
        }

        @Override
        public void connectComplete(boolean reconnect, String serverUri) {
            // read() goes on by itself
        }

        @Override
        public void authPacketArrived(int reasonCode, MqttProperties properties) {
            // no extended authentication
        }
    }
}
