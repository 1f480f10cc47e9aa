package org.lampkeeper.telemetry;

import java.nio.file.Path;
import java.time.Duration;
import java.util.List;
import java.util.Map;
import java.util.stream.IntStream;

import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

import org.lampkeeper.testing.MqttProbe;
import org.lampkeeper.testing.MqttProbe.Login;
import org.lampkeeper.testing.MqttProbe.Received;

import static org.assertj.core.api.Assertions.assertThat;
import static org.awaitility.Awaitility.await;
import static org.lampkeeper.testing.MqttProbe.DONE;

class EmbeddedBrokerDurabilityTest {

    private static final String REPORTS = "$share/lampkeeper/lampkeeper/v1/+/report";

    @TempDir
    Path directory;

    @ParameterizedTest
    @ValueSource(strings = {"3.1.1", "5"})
    void sessionItsReportsAndTheRetainedLinkSurviveARestart(String version) {
        BrokerFixture before = BrokerFixture.started(directory);
        try (MqttProbe ingest = MqttProbe.ofVersion(version); MqttProbe sensor = MqttProbe.ofVersion(version)) {
            ingest.connect(before.ingest(0).keepingSession());
            ingest.subscribe(REPORTS);
            ingest.close();
            sensor.connect(before.sensor("s1"));
            sensor.publish("lampkeeper/v1/s1/link", "up".getBytes(), true);
            sensor.publish("lampkeeper/v1/s1/report", "lit");
            sensor.close();
        }

        before.broker.stop();
        BrokerFixture after = BrokerFixture.started(directory);

        try (MqttProbe ingest = MqttProbe.ofVersion(version)) {
            assertThat(after.broker.figures().waiting()).isEqualTo(1);
            ingest.connect(after.ingest(0).keepingSession());
            await().untilAsserted(() -> assertThat(ingest.payloads()).containsExactly("lit"));
            ingest.subscribe("lampkeeper/v1/+/link");
            await().untilAsserted(() -> assertThat(ingest.received()).contains(new Received("lampkeeper/v1/s1/link", "up", true)));
        } finally {
            after.broker.stop();
        }
    }

    // 24 days is the longest that Artemis can count; 30 is what a subscriber asks for; the last never expires (MQTT 5.0 §3.1.2.11.2).
    @ParameterizedTest
    @ValueSource(longs = {24 * 86_400L, 30 * 86_400L, 0xFFFFFFFFL})
    void sessionIsNotExpiredBeforeItsTime(long seconds) throws Exception {
        BrokerFixture fixture = BrokerFixture.started(directory);
        try (MqttProbe.V5 ingest = new MqttProbe.V5(); MqttProbe sensor = MqttProbe.ofVersion("5")) {
            ingest.connect(fixture.ingest(0), seconds);
            ingest.subscribe(REPORTS);
            ingest.close();
            sensor.connect(fixture.sensor("s1"));
            sensor.publish("lampkeeper/v1/s1/report", "waiting");

            // The broker looks for expired sessions every five seconds.
            await().during(Duration.ofSeconds(7)).atMost(Duration.ofSeconds(20)).untilAsserted(() -> assertThat(fixture.broker.figures().waiting()).isEqualTo(1));
        } finally {
            fixture.broker.stop();
        }
    }

    @Test
    void killedBrokerStillHasEveryAcknowledgedReport() throws Exception {
        List<String> acknowledged = IntStream.range(0, 200).mapToObj(i -> "report " + i).toList();
        try (BrokerProcess killed = BrokerProcess.start(directory);
                MqttProbe ingest = MqttProbe.ofVersion("5"); MqttProbe sensor = MqttProbe.ofVersion("5")) {
            ingest.connect(BrokerFixture.ingest(killed.uri(), 0).keepingSession());
            ingest.subscribe(REPORTS);
            ingest.close();
            sensor.connect(Login.of(killed.uri(), "s1", BrokerFixture.secretOf("s1")));
            acknowledged.forEach(report -> assertThat(sensor.publish("lampkeeper/v1/s1/report", report)).isEqualTo(DONE));
            killed.kill();
        }

        try (BrokerProcess again = BrokerProcess.start(directory); MqttProbe ingest = MqttProbe.ofVersion("5")) {
            ingest.connect(BrokerFixture.ingest(again.uri(), 0).keepingSession());

            await().untilAsserted(() -> assertThat(ingest.payloads()).containsAll(acknowledged));
        }
    }

    @Test
    void whatExceedsTheMemoryWaitsOnDisk() {
        BrokerFixture small = BrokerFixture.started(directory, Map.of("lampkeeper.broker.queue-memory", "1M"));
        List<String> sent = IntStream.range(0, 400).mapToObj(i -> i + " ".repeat(8_000)).toList();
        try (MqttProbe ingest = MqttProbe.ofVersion("5"); MqttProbe sensor = MqttProbe.ofVersion("5")) {
            ingest.connect(small.ingest(0).keepingSession());
            ingest.subscribe(REPORTS);
            ingest.close();
            sensor.connect(small.sensor("s1"));
            sent.forEach(report -> sensor.publish("lampkeeper/v1/s1/report", report));
            assertThat(small.broker.figures().waiting()).isEqualTo(400);
        }

        try (MqttProbe ingest = MqttProbe.ofVersion("5")) {
            ingest.connect(small.ingest(0).keepingSession());

            // In any order: MQTT 5.0 §4.6 promises one for subscriptions that are not shared only, and each report bears its own time.
            await().atMost(Duration.ofSeconds(60)).untilAsserted(() -> assertThat(ingest.payloads().stream().map(String::strip))
                    .containsExactlyInAnyOrderElementsOf(sent.stream().map(String::strip).toList()));
        } finally {
            small.broker.stop();
        }
    }

    @Test
    void ownStopIsQuickAndPublishesNoWill() {
        BrokerFixture before = BrokerFixture.started(directory);
        try (MqttProbe ingest = MqttProbe.ofVersion("5"); MqttProbe sensor = MqttProbe.ofVersion("5")) {
            ingest.connect(before.ingest(0).keepingSession());
            ingest.subscribe("lampkeeper/v1/+/link");
            sensor.connect(before.sensor("s1").withWill("lampkeeper/v1/s1/link"));
            long begun = System.nanoTime();
            before.broker.stop();
            assertThat(Duration.ofNanos(System.nanoTime() - begun)).isLessThan(Duration.ofSeconds(5));
            assertThat(before.broker.isRunning()).isFalse();
        }

        BrokerFixture after = BrokerFixture.started(directory);
        try (MqttProbe ingest = MqttProbe.ofVersion("5"); MqttProbe sensor = MqttProbe.ofVersion("5")) {
            ingest.connect(after.ingest(0).keepingSession());
            sensor.connect(after.sensor("s1"));
            sensor.publish("lampkeeper/v1/s1/link", "up");

            await().untilAsserted(() -> assertThat(ingest.payloads()).contains("up"));
            assertThat(ingest.payloads()).doesNotContain("down");
        } finally {
            after.broker.stop();
        }
    }

    @Test
    void secondBrokerInTheSameDirectoryIsRefused() throws Exception {
        try (BrokerProcess first = BrokerProcess.start(directory)) {
            EmbeddedBroker second = new EmbeddedBroker(BrokerFixture.config(directory.resolve("broker"), Map.of()), (id, secret) -> false,
                    BrokerFixture.INGEST);

            org.assertj.core.api.Assertions.assertThatThrownBy(second::start).hasMessageContaining("in use by another process");
            assertThat(first.uri()).isNotNull();
        }
    }
}
