package org.lampkeeper.telemetry;

import java.nio.charset.StandardCharsets;
import java.nio.file.Path;
import java.time.Clock;
import java.time.Duration;
import java.util.List;
import java.util.Map;
import java.util.Set;
import java.util.concurrent.ConcurrentHashMap;

import org.eclipse.paho.client.mqttv3.MqttAsyncClient;
import org.eclipse.paho.client.mqttv3.MqttConnectOptions;
import org.eclipse.paho.client.mqttv3.persist.MemoryPersistence;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

import org.lampkeeper.testing.EnabledIfTool;
import org.lampkeeper.testing.MosquittoServer;

import static org.assertj.core.api.Assertions.assertThat;
import static org.awaitility.Awaitility.await;

/** What the broker keeps of every sensor is read whole, however many sensors there are. */
@EnabledIfTool("mosquitto")
class RetainedReaderTest {

    /** More than the reader holds in memory at once. */
    private static final int SENSORS = 5_000;

    @TempDir
    Path directory;

    @Test
    void linkOfEverySensorIsReadWhereThereAreThousands() throws Exception {
        try (MosquittoServer mosquitto = MosquittoServer.startOpen(directory)) {
            keepLinks(mosquitto);
            Set<String> read = ConcurrentHashMap.newKeySet();
            BrokerConfig config = BrokerFixture.config(directory, Map.of("lampkeeper.broker.url", mosquitto.uri().toString()));
            Broker broker = new Broker(config, new EmbeddedBroker(config, (device, secret) -> false, BrokerFixture.INGEST),
                    BrokerFixture.INGEST);

            new RetainedReader(broker, Clock.systemUTC()).read("test", new Intake() {
                @Override
                public void take(List<Arrival> batch) {
                    batch.forEach(arrival -> read.add(arrival.topic()));
                }

                @Override
                public void setAside(Arrival arrival, String why) {
                    throw new IllegalStateException(why);
                }
            });

            assertThat(read).hasSize(SENSORS);
        }
    }

    private static void keepLinks(MosquittoServer mosquitto) throws Exception {
        MqttAsyncClient sensors = new MqttAsyncClient(mosquitto.uri().toString(), "all-sensors", new MemoryPersistence());
        MqttConnectOptions options = new MqttConnectOptions();
        options.setMaxInflight(SENSORS);
        sensors.connect(options).waitForCompletion();
        for (int number = 0; number < SENSORS; number++) {
            sensors.publish("lampkeeper/v1/s" + number + "/link", "up".getBytes(StandardCharsets.UTF_8), 1, true);
        }
        await().atMost(Duration.ofMinutes(1)).until(() -> sensors.getPendingDeliveryTokens().length == 0);
        sensors.disconnect().waitForCompletion();
        sensors.close();
    }
}
