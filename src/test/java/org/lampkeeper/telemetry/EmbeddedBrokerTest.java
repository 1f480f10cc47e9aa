package org.lampkeeper.telemetry;

import java.io.IOException;
import java.io.OutputStream;
import java.net.Socket;
import java.nio.file.Path;
import java.util.Map;
import java.util.stream.IntStream;

import org.junit.jupiter.api.AfterAll;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.ValueSource;

import org.lampkeeper.testing.MqttProbe;
import org.lampkeeper.testing.MqttProbe.Login;
import org.lampkeeper.testing.MqttProbe.Received;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;
import static org.awaitility.Awaitility.await;
import static org.lampkeeper.testing.MqttProbe.DONE;

class EmbeddedBrokerTest {

    private static final String REPORTS = "$share/lampkeeper/lampkeeper/v1/+/report";

    @TempDir
    static Path directory;
    static BrokerFixture fixture;

    @BeforeAll
    static void start() {
        fixture = BrokerFixture.started(directory);
    }

    @AfterAll
    static void stop() {
        fixture.broker.stop();
    }

    @ParameterizedTest
    @ValueSource(strings = {"3.1.1", "5"})
    void reportOfASensorArrives(String version) {
        try (MqttProbe ingest = MqttProbe.ofVersion(version); MqttProbe sensor = MqttProbe.ofVersion(version)) {
            assertThat(ingest.connect(fixture.ingest(0))).isEqualTo(DONE);
            assertThat(ingest.subscribe("lampkeeper/v1/+/report")).isEqualTo(DONE);
            assertThat(sensor.connect(fixture.sensor("s1"))).isEqualTo(DONE);

            assertThat(sensor.publish("lampkeeper/v1/s1/report", "lit")).isEqualTo(DONE);

            await().untilAsserted(() -> assertThat(ingest.received()).containsExactly(new Received("lampkeeper/v1/s1/report", "lit", false)));
        }
    }

    // 3.1.1 §3.2.2.3: 5 not authorized, 2 identifier rejected. 5.0 §3.2.2.2: 134 bad user name or password, 133 client identifier not valid,
    // 135 not authorized.
    @ParameterizedTest
    @CsvSource({
        "3.1.1, s1, s1, wrong,     '',                      refused 5",
        "5,     s1, s1, wrong,     '',                      refused 134",
        "3.1.1, nobody, nobody, x, '',                      refused 5",
        "5,     nobody, nobody, x, '',                      refused 134",
        "3.1.1, lampkeeper-ingest-0, lampkeeper-ingest, wrong, '', refused 5",
        "5,     lampkeeper-ingest-0, lampkeeper-ingest, wrong, '', refused 134",
        "3.1.1, s2, s1, secret-s1, '',                      refused 2",
        "5,     s2, s1, secret-s1, '',                      refused 133",
        "5,     lampkeeper-ingest-0, s1, secret-s1, '',     refused 133",
        "5,     s1, lampkeeper-ingest, ingest-password, '', refused 133",
        "3.1.1, s1, s1, secret-s1, lampkeeper/v1/s2/link,   refused 5",
        "5,     s1, s1, secret-s1, lampkeeper/v1/s2/link,   refused 135",
        "3.1.1, s1, s1, secret-s1, lampkeeper/v1/s1/link,   done",
        "5,     s1, s1, secret-s1, lampkeeper/v1/s1/link,   done",
    })
    void loginIsTiedToSecretClientIdAndWill(String version, String clientId, String user, String password, String will, String expected) {
        try (MqttProbe probe = MqttProbe.ofVersion(version)) {
            var login = MqttProbe.Login.of(fixture.uri(), user, password).as(clientId).withWill(will);

            assertThat(probe.connect(login)).isEqualTo(expected);
        }
    }

    @ParameterizedTest
    @CsvSource({
        "3.1.1, lampkeeper/v1/s2/report,       dropped",
        "5,     lampkeeper/v1/s2/report,       refused 135",
        "3.1.1, lampkeeper/v1/s1/other,        dropped",
        "5,     lampkeeper/v1/s1/other,        refused 135",
        "5,     lampkeeper/v1/s1/report/more,  refused 135",
        "5,     lampkeeper.v1.s1.report,       refused 135",
        "5,     activemq/management,           refused 135",
        "5,     $sys/mqtt/sessions,            refused 135",
        "5,     lampkeeper/v1/ingest/0,        refused 135",
        "3.1.1, lampkeeper/v1/s1/link,         done",
        "5,     lampkeeper/v1/s1/link,         done",
    })
    void sensorWritesItsOwnTopicsOnly(String version, String topic, String expected) {
        try (MqttProbe sensor = MqttProbe.ofVersion(version)) {
            sensor.connect(fixture.sensor("s1"));

            assertThat(sensor.publish(topic, "x")).isEqualTo(expected);
        }
    }

    @ParameterizedTest
    @CsvSource({"3.1.1, refused 128", "5, refused 135"})
    void sensorReadsNothingAndStaysConnected(String version, String refused) {
        try (MqttProbe sensor = MqttProbe.ofVersion(version)) {
            sensor.connect(fixture.sensor("s1"));

            assertThat(sensor.subscribe("lampkeeper/v1/+/report")).isEqualTo(refused);
            assertThat(sensor.subscribe("lampkeeper/v1/s1/report")).isEqualTo(refused);
            assertThat(sensor.subscribe("#")).isEqualTo(refused);
            assertThat(sensor.publish("lampkeeper/v1/s1/report", "still here")).isEqualTo(DONE);
        }
    }

    @Test
    void subscriptionOfASensorLeavesWaitingReportsWhereTheyAre(@TempDir Path own) {
        BrokerFixture separate = BrokerFixture.started(own);
        try (MqttProbe ingest = MqttProbe.ofVersion("5"); MqttProbe sensor = MqttProbe.ofVersion("5")) {
            ingest.connect(separate.ingest(0).keepingSession());
            ingest.subscribe(REPORTS);
            ingest.breakOff();
            sensor.connect(separate.sensor("s1"));
            sensor.publish("lampkeeper/v1/s1/report", "waiting");

            sensor.subscribe(REPORTS);

            // The broker counts a little after it has acknowledged.
            await().untilAsserted(() -> assertThat(separate.broker.figures().waiting()).isEqualTo(1));
        } finally {
            separate.broker.stop();
        }
    }

    @ParameterizedTest
    @ValueSource(strings = {"nobody", "lampkeeper-ingest"})
    void subscriptionBehindARefusedLoginLeavesWaitingReportsWhereTheyAre(String user, @TempDir Path own) throws IOException {
        BrokerFixture separate = BrokerFixture.started(own);
        try (MqttProbe ingest = MqttProbe.ofVersion("5"); MqttProbe sensor = MqttProbe.ofVersion("5")) {
            ingest.connect(separate.ingest(0).keepingSession());
            ingest.subscribe(REPORTS);
            ingest.breakOff();
            sensor.connect(separate.sensor("s1"));
            sensor.publish("lampkeeper/v1/s1/report", "waiting");

            try (Socket raw = new Socket(separate.uri().getHost(), separate.uri().getPort())) {
                raw.getOutputStream().write(RawMqtt.connect("lampkeeper-ingest-9", user, "wrong"));
                raw.getOutputStream().write(RawMqtt.subscribe(REPORTS));
                raw.getOutputStream().flush();
                raw.getInputStream().readAllBytes();
            }

            assertThat(separate.broker.figures().waiting()).isEqualTo(1);
        } finally {
            separate.broker.stop();
        }
    }

    @Test
    void packetsArrivingInPiecesAreOnePublish() throws Exception {
        try (MqttProbe ingest = MqttProbe.ofVersion("5"); Socket raw = new Socket(fixture.uri().getHost(), fixture.uri().getPort())) {
            ingest.connect(fixture.ingest(1));
            ingest.subscribe("lampkeeper/v1/s3/report");
            raw.setTcpNoDelay(true);
            OutputStream out = raw.getOutputStream();
            byte[] connect = RawMqtt.connect("s3", "s3", BrokerFixture.secretOf("s3"));
            byte[] publish = RawMqtt.publish("lampkeeper/v1/s3/report", "x".repeat(300));

            for (byte[] packet : new byte[][] {connect, publish, publish}) {
                for (byte piece : packet) {
                    out.write(piece);
                    out.flush();
                }
            }

            await().untilAsserted(() -> assertThat(ingest.payloads()).containsExactly("x".repeat(300), "x".repeat(300)));
        }
    }

    @ParameterizedTest
    @ValueSource(strings = {"3.1.1", "5"})
    void packOfAMegabyteIsRefusedAndItsNeighbourIsNot(String version) {
        try (MqttProbe ingest = MqttProbe.ofVersion("5"); MqttProbe large = MqttProbe.ofVersion(version);
                MqttProbe neighbour = MqttProbe.ofVersion(version)) {
            ingest.connect(fixture.ingest(2));
            ingest.subscribe("lampkeeper/v1/+/report");
            large.connect(fixture.sensor("s4"));
            neighbour.connect(fixture.sensor("s5"));

            assertThat(large.publish("lampkeeper/v1/s4/report", new byte[1_000_000], false)).isNotEqualTo(DONE);
            assertThat(neighbour.publish("lampkeeper/v1/s5/report", "lit")).isEqualTo(DONE);

            await().untilAsserted(() -> assertThat(ingest.payloads()).containsExactly("lit"));
            assertThat(neighbour.isConnected()).isTrue();
        }
    }

    @ParameterizedTest
    @ValueSource(strings = {"3.1.1", "5"})
    void packThatIsOnlyTooLongForAReportStillArrivesToBeRefusedByName(String version) {
        try (MqttProbe ingest = MqttProbe.ofVersion("5"); MqttProbe sensor = MqttProbe.ofVersion(version)) {
            ingest.connect(fixture.ingest(3));
            ingest.subscribe("lampkeeper/v1/s6/report");
            sensor.connect(fixture.sensor("s6"));

            assertThat(sensor.publish("lampkeeper/v1/s6/report", "y".repeat(60_000))).isEqualTo(DONE);

            await().untilAsserted(() -> assertThat(ingest.payloads()).containsExactly("y".repeat(60_000)));
        }
    }

    @Test
    void shareGroupSplitsTheReports() {
        try (MqttProbe first = MqttProbe.ofVersion("5"); MqttProbe second = MqttProbe.ofVersion("5");
                MqttProbe sensor = MqttProbe.ofVersion("5")) {
            first.connect(fixture.ingest(4));
            first.subscribe("$share/split/lampkeeper/v1/s7/report");
            second.connect(fixture.ingest(5));
            second.subscribe("$share/split/lampkeeper/v1/s7/report");
            sensor.connect(fixture.sensor("s7"));

            IntStream.range(0, 100).forEach(i -> sensor.publish("lampkeeper/v1/s7/report", "" + i));

            await().untilAsserted(() -> assertThat(first.received().size() + second.received().size()).isEqualTo(100));
            assertThat(first.received()).hasSizeBetween(30, 70);
            assertThat(first.payloads()).doesNotContainAnyElementsOf(second.payloads());
        }
    }

    @ParameterizedTest
    @ValueSource(strings = {"3.1.1", "5"})
    void retainedLinkIsReadByASubscriptionThatIsNotShared(String version) {
        try (MqttProbe ingest = MqttProbe.ofVersion(version); MqttProbe sensor = MqttProbe.ofVersion(version)) {
            sensor.connect(fixture.sensor("s8"));
            sensor.publish("lampkeeper/v1/s8/link", "up".getBytes(), true);
            ingest.connect(fixture.ingest(6));

            ingest.subscribe("lampkeeper/v1/+/link");

            await().untilAsserted(() -> assertThat(ingest.received()).contains(new Received("lampkeeper/v1/s8/link", "up", true)));
        }
    }

    @ParameterizedTest
    @CsvSource({"3.1.1, false", "3.1.1, true", "5, false", "5, true"})
    void brokenLinkPublishesTheWill(String version, boolean keepSession) {
        try (MqttProbe ingest = MqttProbe.ofVersion(version); MqttProbe sensor = MqttProbe.ofVersion(version)) {
            ingest.connect(fixture.ingest(7));
            ingest.subscribe("lampkeeper/v1/s9/link");
            Login login = fixture.sensor("s9").withWill("lampkeeper/v1/s9/link");
            sensor.connect(keepSession ? login.keepingSession() : login);

            sensor.breakOff();

            await().untilAsserted(() -> assertThat(ingest.received()).contains(new Received("lampkeeper/v1/s9/link", "down", false)));
        }
    }

    @ParameterizedTest
    @ValueSource(strings = {"3.1.1", "5"})
    void retiredSensorIsCutOff(String version) {
        try (MqttProbe sensor = MqttProbe.ofVersion(version)) {
            String id = "s10" + version.charAt(0);
            sensor.connect(fixture.sensor(id));

            fixture.retired.add(id);
            fixture.broker.cutOff(id);

            await().untilAsserted(() -> assertThat(sensor.isConnected()).isFalse());
            try (MqttProbe again = MqttProbe.ofVersion(version)) {
                assertThat(again.connect(fixture.sensor(id))).startsWith("refused");
            }
        }
    }

    @Test
    void retiredSensorThatNobodyCutOffIsRefusedOnceItsLoginHasGrownOld(@TempDir Path own) {
        BrokerFixture forgetful = BrokerFixture.started(own, Map.of("lampkeeper.broker.login-kept", "PT0S"));
        try (MqttProbe sensor = MqttProbe.ofVersion("5")) {
            sensor.connect(forgetful.sensor("s1"));
            assertThat(sensor.publish("lampkeeper/v1/s1/report", "in use")).isEqualTo(DONE);

            forgetful.retired.add("s1");

            assertThat(sensor.publish("lampkeeper/v1/s1/report", "retired")).isEqualTo("refused 135");
        } finally {
            forgetful.broker.stop();
        }
    }

    // MQTT 5.0 §3.14.2.1: 149 packet too large.
    @Test
    void tooLargePacketIsAnsweredWithItsReason() throws IOException {
        try (Socket raw = new Socket(fixture.uri().getHost(), fixture.uri().getPort())) {
            raw.getOutputStream().write(RawMqtt.connectVersion5("s11", "s11", BrokerFixture.secretOf("s11")));
            raw.getOutputStream().flush();
            byte[] connack = new byte[2];
            raw.getInputStream().readNBytes(connack, 0, 2);
            raw.getInputStream().readNBytes(connack[1]);

            raw.getOutputStream().write(RawMqtt.headerOfPublish(EmbeddedBroker.MAX_PACKET_BYTES + 1));
            raw.getOutputStream().flush();

            assertThat(raw.getInputStream().readNBytes(3)).startsWith(0xE0).endsWith(149);
        }
    }

    @Test
    void ingestClientWritesBelowItsOwnTopicOnly() {
        try (MqttProbe ingest = MqttProbe.ofVersion("5")) {
            ingest.connect(fixture.ingest(8));

            assertThat(ingest.publish("lampkeeper/v1/ingest/8/marker", "x")).isEqualTo(DONE);
            assertThat(ingest.publish("lampkeeper/v1/s1/report", "x")).isEqualTo("refused 135");
            assertThat(ingest.subscribe("lampkeeper/v1/ingest/#")).isEqualTo(DONE);
            assertThat(ingest.subscribe("#")).isEqualTo("refused 135");
        }
    }

    @Test
    void secondBrokerOnTheSamePortSaysSo(@TempDir Path own) {
        var config = BrokerFixture.config(own, Map.of("lampkeeper.broker.port", "" + fixture.uri().getPort()));

        assertThatThrownBy(() -> new EmbeddedBroker(config, (id, secret) -> false, BrokerFixture.INGEST).start())
                .hasStackTraceContaining("lampkeeper.broker.port");
    }
}
