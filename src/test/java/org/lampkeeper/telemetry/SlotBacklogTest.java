package org.lampkeeper.telemetry;

import java.nio.charset.StandardCharsets;
import java.nio.file.Path;
import java.time.Clock;
import java.time.Duration;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.Set;
import java.util.concurrent.ConcurrentHashMap;
import java.util.concurrent.Semaphore;
import java.util.concurrent.atomic.AtomicInteger;
import java.util.stream.Collectors;
import java.util.stream.IntStream;

import io.micrometer.core.instrument.simple.SimpleMeterRegistry;
import io.smallrye.config.SmallRyeConfigBuilder;
import org.eclipse.paho.client.mqttv3.MqttAsyncClient;
import org.eclipse.paho.client.mqttv3.MqttConnectOptions;
import org.eclipse.paho.client.mqttv3.persist.MemoryPersistence;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

import org.lampkeeper.register.SensorLogin;
import org.lampkeeper.register.SensorSecrets;
import org.lampkeeper.testing.EnabledIfTool;
import org.lampkeeper.testing.MosquittoServer;

import static org.assertj.core.api.Assertions.assertThat;
import static org.awaitility.Awaitility.await;

/** A slot whose database was away for longer than the broker may have messages under way to it. */
@EnabledIfTool("mosquitto")
class SlotBacklogTest {

    private static final int MESSAGES = 6_000;
    private static final Duration PATIENCE = Duration.ofMinutes(1);

    @TempDir
    Path directory;

    /** Hangs until it is let go, then fails or remembers what it took: a database that is restarted. */
    private static final class Store implements Intake {
        private final Set<String> taken = ConcurrentHashMap.newKeySet();
        private final AtomicInteger batches = new AtomicInteger();
        private final AtomicInteger failed = new AtomicInteger();
        private final Semaphore goOn = new Semaphore(0);
        private volatile boolean isAway = true;

        @Override
        public void take(List<Arrival> batch) {
            batches.incrementAndGet();
            goOn.acquireUninterruptibly();
            if (isAway) {
                // The further tries at the same batch do not hang.
                goOn.release();
                throw new IllegalStateException("database is away");
            }
            batch.forEach(arrival -> taken.add(new String(arrival.payload(), StandardCharsets.UTF_8)));
        }

        @Override
        public void setAside(Arrival arrival, String why) {
            goOn.drainPermits();
            failed.incrementAndGet();
            throw new IllegalStateException("database is away");
        }
    }

    /** After two connections on which little was acknowledged, Mosquitto 2.0.11 sends the third one more than the queue holds at once. */
    @Test
    void subscriptionThatIsAnsweredBehindMoreThanTheQueueHoldsStopsNothing() throws Exception {
        BrokerExport.write(List.of(new SensorLogin("s1", SensorSecrets.hash(BrokerFixture.secretOf("s1")))), BrokerFixture.INGEST, Optional.of("watch"), directory);
        try (MosquittoServer mosquitto = MosquittoServer.start(directory)) {
            Store store = new Store();
            SlotWorker first = worker(mosquitto, store);
            first.start();
            await().atMost(PATIENCE).until(first::isListening);

            publish(mosquitto, 0, 500);
            store.goOn.release();
            await().atMost(PATIENCE).until(() -> store.failed.get() == 1);
            int batchesBefore = store.batches.get();
            await().atMost(PATIENCE).until(() -> store.batches.get() > batchesBefore);
            publish(mosquitto, 500, 2_600);
            store.isAway = false;
            store.goOn.release(MESSAGES);
            first.stop(PATIENCE);
            SlotWorker second = worker(mosquitto, store);
            second.start();
            publish(mosquitto, 2_600, MESSAGES);

            Set<String> sent = IntStream.range(0, MESSAGES).mapToObj(SlotBacklogTest::text).collect(Collectors.toSet());
            await().atMost(PATIENCE).until(() -> store.taken.size() == MESSAGES);
            assertThat(store.taken).isEqualTo(sent);
            await().atMost(PATIENCE).until(second::isListening);
            second.stop(PATIENCE);
        }
    }

    /** As long as a report. */
    private static String text(int number) {
        return "%0200d".formatted(number);
    }

    private SlotWorker worker(MosquittoServer mosquitto, Intake intake) {
        BrokerConfig config = BrokerFixture.config(directory, Map.of("lampkeeper.broker.url", mosquitto.uri().toString()));
        Broker broker = new Broker(config, new EmbeddedBroker(config, (device, secret) -> false, BrokerFixture.INGEST), BrokerFixture.INGEST);
        IngestConfig ingest = new SmallRyeConfigBuilder().addDiscoveredConverters().withMapping(IngestConfig.class)
                .withDefaultValue("lampkeeper.ingest.longest-pause", "500ms").build().getConfigMapping(IngestConfig.class);
        return new SlotWorker(0, broker, ingest, intake, Clock.systemUTC(), new SimpleMeterRegistry());
    }

    private static void publish(MosquittoServer mosquitto, int from, int to) throws Exception {
        MqttAsyncClient sensor = new MqttAsyncClient(mosquitto.uri().toString(), "s1", new MemoryPersistence());
        MqttConnectOptions options = new MqttConnectOptions();
        options.setUserName("s1");
        options.setPassword(BrokerFixture.secretOf("s1").toCharArray());
        options.setMaxInflight(MESSAGES);
        sensor.connect(options).waitForCompletion();
        for (int number = from; number < to; number++) {
            sensor.publish("lampkeeper/v1/s1/report", text(number).getBytes(StandardCharsets.UTF_8), 1, false);
        }
        await().atMost(PATIENCE).until(() -> sensor.getPendingDeliveryTokens().length == 0);
        sensor.disconnect().waitForCompletion();
        sensor.close();
    }
}
