package org.lampkeeper.proof;

import java.nio.file.Path;
import java.time.Duration;
import java.util.HashMap;
import java.util.Map;
import java.util.Optional;
import java.util.stream.IntStream;

import io.zonky.test.db.postgres.embedded.EmbeddedPostgres;
import org.junit.jupiter.api.AfterAll;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.extension.ExtendWith;

import org.lampkeeper.proof.Surroundings.BrokerKind;
import org.lampkeeper.testing.EnabledIfTool;
import org.lampkeeper.testing.MailServer;
import org.lampkeeper.testing.MosquittoServer;
import org.lampkeeper.testing.ServiceProcess;
import org.lampkeeper.testing.TestInstallation;
import org.lampkeeper.testing.TestPostgres;

import static org.assertj.core.api.Assertions.assertThat;
import static org.awaitility.Awaitility.await;
import static org.lampkeeper.testing.TestInstallation.operatorAddress;

/** Broker and database are restarted while sensors report: what was accepted is taken in, and the outage is one alarm. */
@ExtendWith(LogOnFailure.class)
@EnabledIfTool("mosquitto")
class RestartsIT {

    private static final int CABINETS = 20;
    private static final int REPORTS_PER_SECOND = 400;
    // More than twice what the service lets the broker have under way: the answer to its subscription comes in behind all of that.
    private static final int BACKLOG = 5_000;
    private static final Duration OUTAGE_AFTER = Duration.ofSeconds(5);
    private static final TestInstallation INSTALLATION = TestInstallation.of(CABINETS, Duration.ZERO, Duration.ofMinutes(20));

    private static final int POSTGRES_PORT = ServiceProcess.freePort();
    private static Path postgresData;
    private static EmbeddedPostgres postgres;
    private static Surroundings here;

    @BeforeAll
    static void start() throws Exception {
        postgresData = ServiceProcess.freshDirectory("restarts-postgresql");
        postgres = TestPostgres.startDurable(postgresData, POSTGRES_PORT);
        here = Surroundings.of("restarts", Optional.of(TestPostgres.of(postgres)), BrokerKind.MOSQUITTO, INSTALLATION);
        here.service().with("lampkeeper.watch.confirm", "1s").with("lampkeeper.watch.outage-after", OUTAGE_AFTER)
                .mailTo(MailServer.shared().port()).start();
    }

    @AfterAll
    static void stop() throws Exception {
        here.close();
        postgres.close();
    }

    /** What was accepted before the restart and not taken in yet comes after it, and so does what is accepted before the service is back. */
    @Test
    void restartedBrokerLosesNothingThatItHadAccepted() throws Exception {
        Outages before = Outages.read();
        MosquittoServer mosquitto = here.mosquitto().orElseThrow();
        try (Traffic untilStop = traffic(1, CABINETS / 4); Traffic afterRestart = traffic(CABINETS / 4 + 1, CABINETS / 2)) {
            await("load").atMost(Surroundings.patience())
                    .until(() -> untilStop.accepted() + afterRestart.accepted() > 3L * REPORTS_PER_SECOND);

            here.service().freeze();
            untilStop.loseSupply();
            await("losses acknowledged").atMost(Surroundings.patience()).until(untilStop::allSaidLost);
            Map<String, Long> beforeStop = untilStop.end();
            mosquitto.stop();
            here.service().thaw();
            await("own outage noticed").atMost(Surroundings.patience())
                    .untilAsserted(() -> assertThat(Outages.read()).isEqualTo(new Outages(before.raised() + 1, before.returned(), 1)));
            here.service().freeze();
            mosquitto.startAgain();
            afterRestart.loseSupply();
            await("losses acknowledged").atMost(Surroundings.patience()).until(afterRestart::allSaidLost);
            Map<String, Long> beforeReturn = afterRestart.end();
            here.service().thaw();

            isTakenIn(beforeStop);
            isTakenIn(beforeReturn);
            isOneAlarmEach(1, CABINETS / 2);
            await("outage over").atMost(Surroundings.patience())
                    .untilAsserted(() -> assertThat(Outages.read()).isEqualTo(new Outages(before.raised() + 1, before.returned() + 1, 0)));
        }
        await("operator told").atMost(Surroundings.patience()).until(() -> !MailServer.shared().receivedBy(operatorAddress()).isEmpty());
    }

    @Test
    void restartedDatabaseLosesNothingThatTheBrokerAccepted() throws Exception {
        Outages before = Outages.read();
        try (Traffic traffic = traffic(CABINETS / 2 + 1, CABINETS)) {
            await("load").atMost(Surroundings.patience()).until(() -> traffic.accepted() > 3L * REPORTS_PER_SECOND);

            postgres.close();
            traffic.loseSupply();
            long atStop = traffic.accepted();
            await("away for longer than an outage, under load").during(OUTAGE_AFTER.plusSeconds(1)).atMost(Surroundings.patience())
                    .until(() -> here.service().get("/q/health/ready").status() != 200);
            await("backlog").atMost(Surroundings.patience()).until(() -> traffic.accepted() > atStop + BACKLOG);
            postgres = TestPostgres.startDurable(postgresData, POSTGRES_PORT);

            everythingAcceptedIsTakenIn(traffic, CABINETS / 2 + 1, CABINETS);
            await("outage was one alarm and is over").atMost(Surroundings.patience())
                    .untilAsserted(() -> assertThat(Outages.read()).isEqualTo(new Outages(before.raised() + 1, before.returned() + 1, 0)));
        }
    }

    private static Traffic traffic(int from, int to) {
        return new Traffic(IntStream.rangeClosed(from, to).mapToObj(here::sensor).toList(), REPORTS_PER_SECOND);
    }

    private static void everythingAcceptedIsTakenIn(Traffic traffic, int from, int to) {
        await("losses acknowledged").atMost(Surroundings.patience()).until(traffic::allSaidLost);
        isTakenIn(traffic.end());
        isOneAlarmEach(from, to);
    }

    private static void isTakenIn(Map<String, Long> last) {
        await("every accepted report is in").atMost(Surroundings.patience()).untilAsserted(() -> {
            Map<String, Long> stored = TwoInstancesIT.lastStored(here);
            stored.keySet().retainAll(last.keySet());
            assertThat(stored).isEqualTo(last);
        });
    }

    private static void isOneAlarmEach(int from, int to) {
        Map<String, Long> oneEach = new HashMap<>();
        IntStream.rangeClosed(from, to).forEach(number -> oneEach.put(TestInstallation.device(number), 1L));
        await("every loss is one alarm").atMost(Surroundings.patience()).untilAsserted(() -> {
            Map<String, Long> alarms = here.numbers("SELECT s.device_id, COUNT(*) FROM alarm a JOIN sensor s ON s.cabinet_id = a.cabinet_id"
                    + " WHERE a.kind = 'SUPPLY_LOST' GROUP BY s.device_id");
            alarms.keySet().retainAll(oneEach.keySet());
            assertThat(alarms).isEqualTo(oneEach);
        });
    }

    /** How often Lampkeeper's own outage was raised (again) and returned, and how many are there now. */
    private record Outages(long raised, long returned, long live) {
        static Outages read() throws Exception {
            return new Outages(entries("LIKE 'alarm-raised%'"), entries("= 'alarm-returned'"),
                    here.count("SELECT COUNT(*) FROM alarm WHERE kind = 'NOT_LISTENING' AND live"));
        }

        private static long entries(String kind) throws Exception {
            return here.count("SELECT COUNT(*) FROM journal_entry j JOIN alarm a ON a.id = j.alarm_id"
                    + " WHERE a.kind = 'NOT_LISTENING' AND j.kind " + kind);
        }
    }
}
