package org.lampkeeper.proof;

import java.nio.charset.StandardCharsets;
import java.time.Duration;
import java.time.Instant;
import java.util.Map;
import java.util.concurrent.atomic.AtomicInteger;

import org.eclipse.paho.client.mqttv3.MqttException;
import org.junit.jupiter.api.AfterAll;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.MethodOrderer;
import org.junit.jupiter.api.Order;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.TestMethodOrder;
import org.junit.jupiter.api.extension.ExtendWith;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.ValueSource;

import org.lampkeeper.proof.Surroundings.BrokerKind;
import org.lampkeeper.proof.Surroundings.Database;
import org.lampkeeper.testing.ServiceProcess.SensorLogin;
import org.lampkeeper.testing.TestInstallation;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;
import static org.awaitility.Awaitility.await;

/**
 * What a broken, wrongly set up or hostile sensor sends over the wire to the embedded broker: it is refused, counted, kept as a sample
 * where it got so far, and its neighbour's next report counts as ever. Each test has a sensor of its own.
 */
@ExtendWith(LogOnFailure.class)
@TestMethodOrder(MethodOrderer.OrderAnnotation.class)
class BadInputIT {

    private static final int NEIGHBOUR = 40;
    private static final AtomicInteger NEXT = new AtomicInteger();
    private static Surroundings here;
    private static SensorClient neighbour;

    private int number;
    private SensorClient sensor;

    @BeforeAll
    static void start() throws Exception {
        here = Surroundings.of("bad-input", Database.POSTGRESQL, BrokerKind.EMBEDDED, TestInstallation.of(NEIGHBOUR, Duration.ZERO));
        here.service().with("lampkeeper.watch.confirm", "0s").start();
        neighbour = here.sensor(NEIGHBOUR);
    }

    @AfterAll
    static void stop() {
        neighbour.close();
        here.close();
    }

    @BeforeEach
    void ownSensor() {
        number = NEXT.incrementAndGet();
        sensor = here.sensor(number);
    }

    @AfterEach
    void leave() {
        sensor.close();
    }

    // The reasons are those of docs/report-format.md. First, because for ten seconds no second sample of a reason is kept.
    @Order(1)
    @ParameterizedTest
    @CsvSource(delimiter = '|', value = {
        "not-json            | [{\"n\":\"supply\",\"vb\":tru",
        "not-senml           | {\"supply\":true}",
        "no-supply           | [{\"bn\":\"BN\",\"n\":\"inside\",\"u\":\"Cel\",\"v\":4}]",
        "bad-number          | [{\"bn\":\"BN\",\"n\":\"supply\",\"vb\":true},{\"n\":\"inside\",\"u\":\"Cel\",\"v\":1e999}]",
        "bad-name            | [{\"bn\":\"BN\",\"n\":\"supply'; DROP TABLE alarm; --\",\"vb\":true}]",
        "base-name-disagrees | [{\"bn\":\"urn:dev:mac:020000fffeffffff:\",\"n\":\"supply\",\"vb\":true}]",
        "unknown-version     | [{\"bn\":\"BN\",\"n\":\"supply\",\"vb\":true,\"must_\":1}]",
    })
    void unusableReportIsCountedAndASampleKept(String reason, String report) throws Exception {
        double before = refused(reason);
        String sent = report.replace("BN", sensor.login().baseName());

        sensor.publish(sent);

        await().atMost(Surroundings.patience()).until(() -> refused(reason) == before + 1);
        // Counted before the transaction that keeps it has ended.
        await().atMost(Surroundings.patience()).untilAsserted(() -> assertThat(
                here.texts("SELECT topic, sample FROM refused_report WHERE reason = '" + reason + "'")).containsEntry(sensor.topic(), sent));
        assertThat(here.count("SELECT COUNT(*) FROM sensor_status WHERE observed_at IS NOT NULL AND sensor_id = " + sensorId())).isZero();
        neighbourStillCounts();
    }

    /** Not JSON at all (RFC 8259 §6). */
    @ParameterizedTest
    @ValueSource(strings = {"NaN", "Infinity", "-Infinity"})
    void numberThatIsNoneIsRefused(String value) throws Exception {
        double before = refused("not-json");

        sensor.publish("[{\"bn\":\"" + sensor.login().baseName() + "\",\"n\":\"supply\",\"vb\":true},{\"n\":\"inside\",\"u\":\"Cel\",\"v\":" + value + "}]");

        await().atMost(Surroundings.patience()).until(() -> refused("not-json") == before + 1);
        neighbourStillCounts();
    }

    @Test
    void bytesThatAreNoTextAreRefused() throws Exception {
        double before = refused("not-json");

        sensor.publish(sensor.topic(), new byte[] {0, (byte) 0xC3, (byte) 0x28, (byte) 0xFF, 0});

        await().atMost(Surroundings.patience()).until(() -> refused("not-json") == before + 1);
        neighbourStillCounts();
    }

    @Test
    void packBeyondTheLimitIsRefused() throws Exception {
        double before = refused("too-large");

        sensor.publish(sensor.topic(), new byte[8193]);

        await().atMost(Surroundings.patience()).until(() -> refused("too-large") == before + 1);
        neighbourStillCounts();
    }

    @Test
    void aMegabyteEndsTheConnectionOfItsSenderOnly() throws Exception {
        neighbour.says(true);

        assertThatThrownBy(() -> sensor.publish(sensor.topic(), new byte[1_000_000])).isInstanceOf(MqttException.class);

        neighbourStillCounts();
        sensor.says(true);
        isStored(number, sensor.seq());
    }

    @Test
    void publishingAsAnotherSensorDoesNotArrive() throws Exception {
        neighbourStillCounts();
        String forged = SensorClient.report(neighbour.login().baseName(), false, Instant.now(), neighbour.seq() + 1);

        assertThatThrownBy(() -> sensor.publish(neighbour.topic(), forged.getBytes(StandardCharsets.UTF_8))).isInstanceOf(MqttException.class);

        neighbourStillCounts();
        assertThat(here.count("SELECT COUNT(*) FROM alarm WHERE cabinet_id = " + cabinetId(NEIGHBOUR))).isZero();
    }

    @ParameterizedTest
    @CsvSource({"quay-1, wrong", "quay-1, ''", "nobody-knows-me, secret", "quay-1' OR '1'='1, secret"})
    void wrongPasswordAndUnknownSensorAreNotLetIn(String device, String secret) throws Exception {
        try (SensorClient stranger = new SensorClient(here.broker(), new SensorLogin(device, secret, "urn:dev:mac:020000fffeffffff:"))) {
            // MQTT 3.1.1 §3.2.2.3: 4 bad user name or password, 5 not authorized.
            assertThatThrownBy(() -> stranger.says(false)).isInstanceOfSatisfying(MqttException.class,
                    refusal -> assertThat(refusal.getReasonCode()).isIn(4, 5));
        }
        neighbourStillCounts();
    }

    @Test
    void clockThatIsADayAheadCannotHideALaterLoss() throws Exception {
        sensor.publish(sensor.report(true, Instant.now().plus(Duration.ofDays(1))));
        await().atMost(Surroundings.patience()).until(() -> here.count(
                "SELECT COUNT(*) FROM sensor_status WHERE clock_odd AND sensor_id = " + sensorId()) == 1);

        sensor.says(false);

        await().atMost(Surroundings.patience()).until(() -> liveAlarms() == 1);
        neighbourStillCounts();
    }

    @Test
    void clockThatIsYearsBehindEndsNoLoss() throws Exception {
        sensor.says(false);
        await().atMost(Surroundings.patience()).until(() -> liveAlarms() == 1);

        sensor.publish(sensor.report(true, Instant.parse("2001-09-09T01:46:40Z")));

        await().atMost(Surroundings.patience()).until(() -> here.count(
                "SELECT COUNT(*) FROM sensor_status WHERE clock_odd AND reading = 'LOST' AND sensor_id = " + sensorId()) == 1);
        assertThat(liveAlarms()).isEqualTo(1);

        sensor.says(true);

        await().atMost(Surroundings.patience()).until(() -> liveAlarms() == 0);
        neighbourStillCounts();
    }

    private static double refused(String reason) {
        return here.service().metric("lampkeeper_reports_refused_total{reason=\"" + reason + "\"}");
    }

    private static void neighbourStillCounts() throws Exception {
        neighbour.says(true);
        isStored(NEIGHBOUR, neighbour.seq());
    }

    private static void isStored(int cabinet, long seq) {
        await("report " + seq + " of cabinet " + cabinet).atMost(Surroundings.patience()).until(() -> {
            Map<String, Long> stored = TwoInstancesIT.lastStored(here);
            return Long.valueOf(seq).equals(stored.get(TestInstallation.device(cabinet)));
        });
    }

    private long sensorId() throws Exception {
        return here.count("SELECT id FROM sensor WHERE device_id = '" + sensor.login().deviceId() + "'");
    }

    private static long cabinetId(int cabinet) throws Exception {
        return here.count("SELECT cabinet_id FROM sensor WHERE device_id = '" + TestInstallation.device(cabinet) + "'");
    }

    private long liveAlarms() throws Exception {
        return here.count("SELECT COUNT(*) FROM alarm WHERE kind = 'SUPPLY_LOST' AND live AND cabinet_id = " + cabinetId(number));
    }
}
