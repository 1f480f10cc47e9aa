package org.lampkeeper.telemetry;

import java.io.IOException;
import java.nio.file.Path;
import java.time.Clock;
import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.concurrent.CompletableFuture;
import java.util.stream.IntStream;
import java.util.stream.Stream;

import io.smallrye.config.SmallRyeConfigBuilder;
import org.eclipse.paho.mqttv5.common.MqttException;
import org.eclipse.paho.mqttv5.common.MqttMessage;
import org.junit.jupiter.api.AfterAll;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.ValueSource;

import org.lampkeeper.register.SensorLogin;
import org.lampkeeper.register.SensorSecrets;
import org.lampkeeper.testing.EnabledIfTool;
import org.lampkeeper.testing.MosquittoServer;
import org.lampkeeper.testing.MqttProbe;
import org.lampkeeper.testing.MqttProbe.Login;
import org.lampkeeper.testing.MqttProbe.Received;

import static java.nio.charset.StandardCharsets.UTF_8;
import static org.assertj.core.api.Assertions.assertThat;
import static org.awaitility.Awaitility.await;
import static org.lampkeeper.testing.MqttProbe.DONE;

/** The exported files and our configuration, at a real Mosquitto: the same cases as at the broker of our own. */
@EnabledIfTool("mosquitto")
class MosquittoTest {

    private static final String REPORTS = "$share/lampkeeper/lampkeeper/v1/+/report";

    @TempDir
    static Path directory;
    static MosquittoServer server;

    @BeforeAll
    static void start() throws IOException {
        BrokerExport.write(logins("s1", "s2", "s3", "s4"), BrokerFixture.INGEST, Optional.of("watch"), directory);
        server = MosquittoServer.start(directory);
    }

    @AfterAll
    static void stop() {
        server.close();
    }

    private static List<SensorLogin> logins(String... deviceIds) {
        return Stream.of(deviceIds).map(id -> new SensorLogin(id, SensorSecrets.hash(BrokerFixture.secretOf(id)))).toList();
    }

    private static Login sensor(String deviceId) {
        return Login.of(server.uri(), deviceId, BrokerFixture.secretOf(deviceId));
    }

    // 3.1.1 §3.2.2.3: 5 not authorized. 5.0 §3.2.2.2: 135 not authorized.
    @ParameterizedTest
    @CsvSource({
        "3.1.1, s1, secret-s1, '',                    done",
        "5,     s1, secret-s1, '',                    done",
        "3.1.1, s1, secret-s2, '',                    refused 5",
        "5,     s1, secret-s2, '',                    refused 135",
        "5,     nobody, x, '',                        refused 135",
        "5,     lampkeeper-ingest, x, '',             refused 135",
        "5,     lampkeeper-ingest, ingest-password, '', done",
        "5,     s1, secret-s1, lampkeeper/v1/s1/link, done",
    })
    void exportedPasswordsAreChecked(String version, String user, String password, String will, String expected) {
        try (MqttProbe probe = MqttProbe.ofVersion(version)) {
            assertThat(probe.connect(Login.of(server.uri(), user, password).as("client-" + user).withWill(will))).isEqualTo(expected);
        }
    }

    @ParameterizedTest
    @CsvSource({
        "lampkeeper/v1/s1/report,      done",
        "lampkeeper/v1/s1/link,        done",
        "lampkeeper/v1/s2/report,      refused 135",
        "lampkeeper/v1/s1/other,       refused 135",
        "lampkeeper/v1/ingest/0,       refused 135",
    })
    void sensorWritesItsOwnTopicsOnly(String topic, String expected) {
        try (MqttProbe sensor = MqttProbe.ofVersion("5")) {
            sensor.connect(sensor("s1"));

            assertThat(sensor.publish(topic, "x")).isEqualTo(expected);
        }
    }

    // 3.1.1 §3.3.5: a broker that refuses may acknowledge or drop the connection; so what counts is what arrives.
    @Test
    void foreignTopicInTheOldVersionDoesNotArrive() {
        try (MqttProbe ingest = MqttProbe.ofVersion("5"); MqttProbe forger = MqttProbe.ofVersion("3.1.1");
                MqttProbe sensor = MqttProbe.ofVersion("3.1.1")) {
            ingest.connect(BrokerFixture.ingest(server.uri(), 0));
            ingest.subscribe("lampkeeper/v1/+/report");
            forger.connect(sensor("s1"));
            sensor.connect(sensor("s2"));

            forger.publish("lampkeeper/v1/s2/report", "forged");
            assertThat(sensor.publish("lampkeeper/v1/s2/report", "own")).isEqualTo(DONE);

            await().untilAsserted(() -> assertThat(ingest.payloads()).containsExactly("own"));
        }
    }

    // Mosquitto looks at a will's topic when the will is due.
    @ParameterizedTest
    @ValueSource(strings = {"3.1.1", "5"})
    void willToAnothersTopicDoesNotArrive(String version) {
        try (MqttProbe ingest = MqttProbe.ofVersion("5"); MqttProbe forger = MqttProbe.ofVersion(version);
                MqttProbe sensor = MqttProbe.ofVersion(version)) {
            ingest.connect(BrokerFixture.ingest(server.uri(), 6));
            ingest.subscribe("lampkeeper/v1/+/link");
            forger.connect(sensor("s1").withWill("lampkeeper/v1/s2/link"));
            sensor.connect(sensor("s3").withWill("lampkeeper/v1/s3/link"));

            forger.breakOff();
            sensor.breakOff();

            await().untilAsserted(() -> assertThat(ingest.received()).contains(new Received("lampkeeper/v1/s3/link", "down", false)));
            assertThat(ingest.received()).extracting(Received::topic).doesNotContain("lampkeeper/v1/s2/link");
        }
    }

    @Test
    void sensorThatSubscribesReceivesNothing() {
        try (MqttProbe ingest = MqttProbe.ofVersion("5"); MqttProbe curious = MqttProbe.ofVersion("5");
                MqttProbe sensor = MqttProbe.ofVersion("5")) {
            ingest.connect(BrokerFixture.ingest(server.uri(), 1));
            ingest.subscribe("lampkeeper/v1/+/report");
            curious.connect(sensor("s2"));
            curious.subscribe("lampkeeper/v1/+/report");
            sensor.connect(sensor("s1"));

            sensor.publish("lampkeeper/v1/s1/report", "lit");

            await().untilAsserted(() -> assertThat(ingest.payloads()).containsExactly("lit"));
            assertThat(curious.received()).isEmpty();
        }
    }

    @Test
    void sensorThatJoinsAShareGroupItCannotNameTakesNothingAway() {
        try (MqttProbe ingest = MqttProbe.ofVersion("5"); MqttProbe curious = MqttProbe.ofVersion("5");
                MqttProbe sensor = MqttProbe.ofVersion("5")) {
            ingest.connect(BrokerFixture.ingest(server.uri(), 2));
            ingest.subscribe("$share/hard-to-guess/lampkeeper/v1/s3/report");
            curious.connect(sensor("s2"));
            curious.subscribe("$share/lampkeeper/lampkeeper/v1/s3/report");
            sensor.connect(sensor("s3"));

            List<String> sent = IntStream.range(0, 20).mapToObj(i -> "" + i).toList();
            sent.forEach(report -> sensor.publish("lampkeeper/v1/s3/report", report));

            await().untilAsserted(() -> assertThat(ingest.payloads()).containsExactlyElementsOf(sent));
        }
    }

    @Test
    void ingestClientReadsTheCountersAndWritesBelowItsOwnTopicOnly() {
        try (MqttProbe ingest = MqttProbe.ofVersion("5")) {
            ingest.connect(BrokerFixture.ingest(server.uri(), 3));

            ingest.subscribe("$SYS/broker/publish/messages/dropped");

            await().untilAsserted(() -> assertThat(ingest.payloads()).isNotEmpty());
            assertThat(ingest.publish("lampkeeper/v1/ingest/3/marker", "x")).isEqualTo(DONE);
            assertThat(ingest.publish("lampkeeper/v1/s1/report", "x")).isEqualTo("refused 135");
        }
    }

    @Test
    void moreThanAThousandReportsWaitForAnAbsentSubscriberEvenOverARestart() throws Exception {
        List<String> sent = IntStream.range(0, 1_500).mapToObj(i -> "" + i).toList();
        try (MqttProbe ingest = MqttProbe.ofVersion("5"); MqttProbe sensor = MqttProbe.ofVersion("5")) {
            ingest.connect(BrokerFixture.ingest(server.uri(), 4).keepingSession());
            ingest.subscribe(REPORTS);
            ingest.close();
            sensor.connect(sensor("s4"));
            sensor.publish("lampkeeper/v1/s4/link", "up".getBytes(), true);
            sent.forEach(report -> assertThat(sensor.publish("lampkeeper/v1/s4/report", report)).isEqualTo(DONE));
        }

        server.stop();
        server.startAgain();

        try (MqttProbe ingest = MqttProbe.ofVersion("5")) {
            ingest.connect(BrokerFixture.ingest(server.uri(), 4).keepingSession());
            await().untilAsserted(() -> assertThat(ingest.payloads()).containsExactlyElementsOf(sent));
            ingest.subscribe("lampkeeper/v1/s4/link");
            await().untilAsserted(() -> assertThat(ingest.received()).contains(new Received("lampkeeper/v1/s4/link", "up", true)));
        }
    }

    @ParameterizedTest
    @ValueSource(strings = {"3.1.1", "5"})
    void packOfAMegabyteDoesNotArriveAndItsNeighbourDoes(String version) {
        try (MqttProbe ingest = MqttProbe.ofVersion("5"); MqttProbe large = MqttProbe.ofVersion(version);
                MqttProbe neighbour = MqttProbe.ofVersion(version)) {
            ingest.connect(BrokerFixture.ingest(server.uri(), 5));
            ingest.subscribe("lampkeeper/v1/+/report");
            large.connect(sensor("s1"));
            neighbour.connect(sensor("s2"));

            assertThat(large.publish("lampkeeper/v1/s1/report", new byte[1_000_000], false)).isNotEqualTo(DONE);
            assertThat(neighbour.publish("lampkeeper/v1/s2/report", "lit")).isEqualTo(DONE);

            await().untilAsserted(() -> assertThat(ingest.payloads()).containsExactly("lit"));
        }
    }

    @Test
    void retiredSensorIsOutOnceTheFilesAreReadAgain(@TempDir Path own) throws Exception {
        BrokerExport.write(logins("s1", "s2"), BrokerFixture.INGEST, Optional.of("watch"), own);
        try (MosquittoServer separate = MosquittoServer.start(own); MqttProbe sensor = MqttProbe.ofVersion("5")) {
            assertThat(sensor.connect(sensor("s2").at(separate.uri()))).isEqualTo(DONE);
            sensor.close();

            BrokerExport.write(logins("s1"), BrokerFixture.INGEST, Optional.of("watch"), own);
            separate.readAgain();

            await().untilAsserted(() -> {
                try (MqttProbe again = MqttProbe.ofVersion("5")) {
                    assertThat(again.connect(sensor("s2").at(separate.uri()))).isEqualTo("refused 135");
                }
            });
        }
    }

    // Seen of Mosquitto 2.0.11: three times the receive maximum, once the subscriber's socket had been full.
    @Test
    void moreUnderWayThanAgreedWaitsForTheNextBatchAndIsNotLost(@TempDir Path own) throws Exception {
        int agreed = 1;
        int sent = 60;
        BrokerExport.write(logins("s1"), BrokerFixture.INGEST, Optional.of("watch"), own);
        IngestConfig ingest = new SmallRyeConfigBuilder().addDiscoveredConverters().withMapping(IngestConfig.class)
                .withDefaultValue("lampkeeper.ingest.in-flight", Integer.toString(agreed)).build().getConfigMapping(IngestConfig.class);
        try (MosquittoServer separate = MosquittoServer.start(own)) {
            BrokerConfig config = BrokerFixture.config(own, Map.of("lampkeeper.broker.url", separate.uri().toString()));
            Broker broker = new Broker(config, new EmbeddedBroker(config, (device, secret) -> false, BrokerFixture.INGEST), BrokerFixture.INGEST);
            SlotConnection connection = new SlotConnection(broker, 7, ingest, Clock.systemUTC());
            connection.open();
            CompletableFuture<Void> callback = CompletableFuture.runAsync(() -> IntStream.range(0, sent).forEach(number -> {
                try {
                    connection.messageArrived("lampkeeper/v1/s1/link", new MqttMessage(Integer.toString(number).getBytes(UTF_8)));
                } catch (MqttException failed) {
                    throw new IllegalStateException(failed);
                }
            }));

            List<String> taken = new ArrayList<>();
            await().until(() -> {
                connection.next(5, Duration.ofMillis(10)).stream().filter(each -> !each.isMarker())
                        .forEach(each -> taken.add(new String(each.arrival().payload(), UTF_8)));
                return taken.size() == sent;
            });

            assertThat(taken).containsExactlyElementsOf(IntStream.range(0, sent).mapToObj(Integer::toString).toList());
            assertThat(callback).isCompleted();
            assertThat(connection.isUsable()).isTrue();
            connection.close();
        }
    }
}
