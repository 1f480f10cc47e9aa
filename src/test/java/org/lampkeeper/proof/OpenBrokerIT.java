package org.lampkeeper.proof;

import java.net.URI;
import java.nio.charset.StandardCharsets;
import java.time.Duration;
import java.time.Instant;

import org.junit.jupiter.api.AfterAll;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.extension.ExtendWith;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

import org.lampkeeper.testing.EnabledIfTool;
import org.lampkeeper.testing.MosquittoServer;
import org.lampkeeper.testing.ServiceProcess;
import org.lampkeeper.testing.TestDatabase;
import org.lampkeeper.testing.TestInstallation;
import org.lampkeeper.testing.TestPostgres;

import static org.assertj.core.api.Assertions.assertThat;
import static org.awaitility.Awaitility.await;

/** At a broker that lets everybody in and checks nothing, the service checks by itself what it can. */
@ExtendWith(LogOnFailure.class)
@EnabledIfTool("mosquitto")
class OpenBrokerIT {

    private static final int A_MEGABYTE = 1_000_000;

    private static MosquittoServer mosquitto;
    private static Surroundings here;
    private static SensorClient sensor;
    private static SensorClient neighbour;

    @BeforeAll
    static void start() throws Exception {
        TestDatabase database = TestPostgres.emptyDatabase();
        var directory = ServiceProcess.freshDirectory("open-broker");
        mosquitto = MosquittoServer.startOpen(directory);
        URI uri = mosquitto.uri();
        ServiceProcess service = Surroundings.impatient(ServiceProcess.in(directory)).on(database).at(uri);
        Surroundings.installation(service, TestInstallation.of(2, Duration.ZERO).write(directory));
        service.with("lampkeeper.broker.password", "any").with("lampkeeper.watch.confirm", "0s").start();
        here = new Surroundings(service, database, java.util.Optional.of(mosquitto));
        sensor = here.sensor(1);
        neighbour = here.sensor(2);
    }

    @AfterAll
    static void stop() {
        sensor.close();
        neighbour.close();
        here.close();
    }

    @ParameterizedTest
    @CsvSource(delimiter = '|', quoteCharacter = '"', value = {
        "lampkeeper/v1/quay-99/report            | unknown-sensor",
        "lampkeeper/v1/quay-1' OR '1'='1/report  | foreign-topic",
        "lampkeeper/v1/quay-2/report             | base-name-disagrees",
        "lampkeeper/v1/quay-1/link               | unknown-word",
    })
    void reportOnATopicThatIsNotItsOwnIsRefusedAndKept(String topic, String reason) throws Exception {
        double before = refused(reason);

        sensor.publish(topic, sensor.report(false).getBytes(StandardCharsets.UTF_8));

        await().atMost(Surroundings.patience()).until(() -> refused(reason) == before + 1);
        assertThat(here.texts("SELECT topic, reason FROM refused_report")).containsEntry(topic, reason);
        neighbourStillCounts();
        assertThat(here.count("SELECT COUNT(*) FROM alarm")).isZero();
    }

    @Test
    void aMegabyteIsRefusedAndOnlyItsBeginningKept() throws Exception {
        double before = refused("too-large");

        sensor.publish(sensor.topic(), new byte[A_MEGABYTE]);

        await().atMost(Surroundings.patience()).until(() -> refused("too-large") == before + 1);
        assertThat(here.count("SELECT MAX(CHAR_LENGTH(sample)) FROM refused_report WHERE reason = 'too-large'")).isLessThanOrEqualTo(2000);
        neighbourStillCounts();
    }

    /** Of a hundred bad messages each is counted, and a sample is kept of few. */
    @Test
    void floodOfBadMessagesIsCountedAndKeptInSamples() throws Exception {
        double before = refused("not-json");

        for (int message = 0; message < 100; message++) {
            sensor.publish(sensor.topic(), ("no json " + message).getBytes(StandardCharsets.UTF_8));
        }

        await().atMost(Surroundings.patience()).until(() -> refused("not-json") == before + 100);
        assertThat(here.count("SELECT COUNT(*) FROM refused_report WHERE reason = 'not-json'")).isBetween(1L, 20L);
        neighbourStillCounts();
    }

    private static double refused(String reason) {
        return here.service().metric("lampkeeper_reports_refused_total{reason=\"" + reason + "\"}");
    }

    private static void neighbourStillCounts() throws Exception {
        neighbour.publish(neighbour.report(true, Instant.now()));
        await("neighbour's report").atMost(Surroundings.patience())
                .until(() -> Long.valueOf(neighbour.seq()).equals(TwoInstancesIT.lastStored(here).get(TestInstallation.device(2))));
    }
}
