package org.lampkeeper.telemetry;

import java.net.URI;
import java.nio.charset.StandardCharsets;
import java.nio.file.Path;
import java.util.Map;

import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

import org.lampkeeper.testing.MqttProbe;
import org.lampkeeper.testing.MqttProbe.Login;
import org.lampkeeper.testing.MqttProbe.Received;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;
import static org.awaitility.Awaitility.await;
import static org.lampkeeper.testing.MqttProbe.DONE;

/** The heartbeat is found by whoever may watch, whenever they come, and by them alone. */
class HeartbeatLinkTest {

    @ParameterizedTest
    @ValueSource(strings = {"3.1.1", "5"})
    void watcherReadsTheHeartbeatAndNothingElse(String version, @TempDir Path directory) {
        BrokerFixture fixture = BrokerFixture.started(directory, Map.of("lampkeeper.broker.watcher-password", "watch"));
        HeartbeatLink link = new HeartbeatLink(new Broker(BrokerFixture.config(directory, Map.of()), fixture.broker, BrokerFixture.INGEST));
        try (MqttProbe watcher = MqttProbe.ofVersion(version); MqttProbe sensor = MqttProbe.ofVersion(version); MqttProbe other = MqttProbe.ofVersion(version);
                MqttProbe stranger = MqttProbe.ofVersion(version)) {
            link.publish("one".getBytes(StandardCharsets.UTF_8), "i");
            assertThat(watcher.connect(watcher(fixture.uri()).as("lampkeeper-watcher-1"))).isEqualTo(DONE);
            assertThat(watcher.subscribe(Topics.HEARTBEAT)).isEqualTo(DONE);

            await().untilAsserted(() -> assertThat(watcher.received()).containsExactly(new Received(Topics.HEARTBEAT, "one", true)));
            link.publish("two".getBytes(StandardCharsets.UTF_8), "i");
            await().untilAsserted(() -> assertThat(watcher.received()).hasSize(2).last().isEqualTo(new Received(Topics.HEARTBEAT, "two", false)));

            assertThat(watcher.subscribe("lampkeeper/v1/+/report")).isNotEqualTo(DONE);
            assertThat(watcher.subscribe("#")).isNotEqualTo(DONE);
            assertThat(other.connect(watcher(fixture.uri()).as("lampkeeper-ingest-0"))).isNotEqualTo(DONE);
            assertThat(stranger.connect(Login.of(fixture.uri(), "lampkeeper-watcher", "wrong"))).isNotEqualTo(DONE);
            assertThat(sensor.connect(fixture.sensor("s1"))).isEqualTo(DONE);
            assertThat(sensor.subscribe(Topics.HEARTBEAT)).isNotEqualTo(DONE);

            watcher.publish(Topics.HEARTBEAT, "three");
            link.publish("four".getBytes(StandardCharsets.UTF_8), "i");
            assertThat(other.connect(watcher(fixture.uri()).as("lampkeeper-watcher-2"))).isEqualTo(DONE);
            assertThat(other.subscribe(Topics.HEARTBEAT)).isEqualTo(DONE);
            await().untilAsserted(() -> assertThat(other.received()).containsExactly(new Received(Topics.HEARTBEAT, "four", true)));
        } finally {
            link.close();
            fixture.broker.stop();
        }
        assertThatThrownBy(() -> link.publish(new byte[] {1}, "i")).isInstanceOf(HeartbeatFailed.class);
    }

    private static Login watcher(URI broker) {
        return Login.of(broker, "lampkeeper-watcher", "watch");
    }
}
