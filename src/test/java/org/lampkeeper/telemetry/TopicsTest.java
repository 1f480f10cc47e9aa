package org.lampkeeper.telemetry;

import java.nio.charset.StandardCharsets;

import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.ValueSource;

import org.lampkeeper.telemetry.SensorTopic.Kind;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

class TopicsTest {

    @ParameterizedTest
    @CsvSource({
        "lampkeeper/v1/quay-3_A/report, quay-3_A, REPORT",
        "lampkeeper/v1/0/link, 0, LINK",
        "lampkeeper/v1/0123456789012345678901234567890123456789012345678901234567890123/link,"
                + "0123456789012345678901234567890123456789012345678901234567890123, LINK"})
    void topicsOfOneSensorAreRead(String topic, String deviceId, Kind kind) {
        assertThat(Topics.parse(topic)).contains(new SensorTopic(deviceId, kind));
        assertThat(kind == Kind.LINK ? Topics.linkOf(deviceId) : Topics.reportOf(deviceId)).isEqualTo(topic);
    }

    @ParameterizedTest
    @ValueSource(strings = {"", "lampkeeper/v1//report", "lampkeeper/v1/a.b/report", "lampkeeper/v1/a/b/report", "lampkeeper/v2/a/report",
        "lampkeeper/v1/a/reports", "lampkeeper/v1/a/report/", "/lampkeeper/v1/a/report", "lampkeeper/v1/+/report", "lampkeeper/v1/#",
        "lampkeeper/v1/a/report\n", "lampkeeper/v1/\u00fc/report", "Lampkeeper/v1/a/report",
        "lampkeeper/v1/01234567890123456789012345678901234567890123456789012345678901234/report"})
    void anythingElseIsNotOurs(String topic) {
        assertThat(Topics.parse(topic)).isEmpty();
    }

    @ParameterizedTest
    @ValueSource(strings = {"", "a.b", "a/b", "+", "#", "a b", "01234567890123456789012345678901234567890123456789012345678901234"})
    void noTopicIsMadeForWhatIsNotADeviceId(String deviceId) {
        assertThat(Topics.isDeviceId(deviceId)).isFalse();
        assertThatThrownBy(() -> Topics.reportOf(deviceId)).isInstanceOf(IllegalArgumentException.class)
                .hasMessageContaining("must be 1 to 64");
    }

    @Test
    void birthAndWillAreTwoWords() {
        assertThat(link("up")).isEqualTo(LinkWord.UP);
        assertThat(link("down")).isEqualTo(LinkWord.DOWN);
        assertThat(link(" down\r\n")).isEqualTo(LinkWord.DOWN);
    }

    @ParameterizedTest
    @ValueSource(strings = {"", "Up", "updown", "up down", "{\"link\":\"up\"}", "1", "d\u00f6wn"})
    void anyOtherWordIsRefused(String word) {
        assertThat(link(word)).isInstanceOfSatisfying(Refusal.class, it -> assertThat(it.reason()).isEqualTo(Reason.UNKNOWN_WORD));
    }

    @Test
    void aHugeLinkMessageIsRefusedUnread() {
        assertThat(link("up" + " ".repeat(8190))).isEqualTo(LinkWord.UP);
        assertThat(link("up" + " ".repeat(8191))).isInstanceOfSatisfying(Refusal.class,
                it -> assertThat(it.reason()).isEqualTo(Reason.TOO_LARGE));
    }

    private static LinkReading link(String word) {
        return LinkWord.read(word.getBytes(StandardCharsets.UTF_8));
    }
}
