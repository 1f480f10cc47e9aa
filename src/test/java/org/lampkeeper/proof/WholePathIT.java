package org.lampkeeper.proof;

import java.io.IOException;
import java.net.URI;
import java.nio.charset.StandardCharsets;
import java.time.Duration;
import java.util.List;
import java.util.concurrent.TimeUnit;

import org.junit.jupiter.api.extension.ExtendWith;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

import org.lampkeeper.journal.JournalProof;
import org.lampkeeper.journal.Verdict;
import org.lampkeeper.proof.Surroundings.BrokerKind;
import org.lampkeeper.proof.Surroundings.Database;
import org.lampkeeper.testing.EnabledIfTool;
import org.lampkeeper.testing.MailServer;
import org.lampkeeper.testing.ServiceProcess;
import org.lampkeeper.testing.ServiceProcess.Answer;
import org.lampkeeper.testing.TestInstallation;

import static org.assertj.core.api.Assertions.assertThat;
import static org.awaitility.Awaitility.await;
import static org.lampkeeper.testing.TestInstallation.address;
import static org.lampkeeper.testing.TestInstallation.cabinet;

/** The main job from end to end, from outside: what a sensor says becomes mail to one person after the other, until somebody takes it. */
@ExtendWith(LogOnFailure.class)
@EnabledIfTool("mosquitto_pub")
class WholePathIT {

    private static final Duration CONFIRM = Duration.ofSeconds(1);
    private static final Duration SECOND_AFTER = Duration.ofSeconds(2);
    // Long enough to press the button in between, even where the machine is busy.
    private static final Duration THIRD_AFTER = Duration.ofSeconds(6);
    private static final TestInstallation INSTALLATION = TestInstallation.of(2, Duration.ZERO, SECOND_AFTER, THIRD_AFTER);

    private enum Client {
        PAHO, MOSQUITTO_PUB
    }

    @ParameterizedTest(name = "{0}, {1}, published by {2}")
    @CsvSource({
        "H2,         EMBEDDED,  PAHO",
        "H2,         MOSQUITTO, PAHO",
        "POSTGRESQL, EMBEDDED,  PAHO",
        "POSTGRESQL, MOSQUITTO, MOSQUITTO_PUB",
    })
    void lostSupplyReachesOneAfterTheOtherUntilSomebodyTakesIt(Database database, BrokerKind broker, Client client) throws Exception {
        Inbox inbox = new Inbox(MailServer.shared());
        try (Surroundings here = Surroundings.of("whole-path-" + database + "-" + broker, database, broker, INSTALLATION)) {
            ServiceProcess service = here.service().with("lampkeeper.watch.confirm", CONFIRM).mailTo(MailServer.shared().port()).start();
            SensorClient sensor = here.sensor(1);

            publish(client, here.broker(), sensor, true);
            publish(client, here.broker(), sensor, false);

            Mail first = inbox.awaitCall(1);
            assertThat(first.text()).contains(TestInstallation.BOARD, "way " + TestInstallation.way(1),
                    TestInstallation.FUSE_AMPERE + " A");
            URI link = first.link().orElseThrow();
            assertThat(link).asString().startsWith(service.uri("/a/").toString());

            openAsAMailScanner(service, link.getPath());
            inbox.awaitCall(2);

            Answer taken = service.post(link.getPath() + "/take");
            assertThat(taken.status()).isEqualTo(303);
            assertThat(AlarmsPage.of(service).openOf(cabinet(1))).singleElement()
                    .satisfies(alarm -> assertThat(alarm.text()).contains("M. Teal has it"));
            await().during(THIRD_AFTER.plusSeconds(1)).atMost(THIRD_AFTER.plusSeconds(30)).until(() -> inbox.of(3).isEmpty());

            publish(client, here.broker(), sensor, true);
            await().atMost(Surroundings.patience()).untilAsserted(() -> {
                AlarmsPage alarms = AlarmsPage.of(service);
                assertThat(alarms.open()).isEmpty();
                assertThat(alarms.past()).singleElement().satisfies(alarm -> assertThat(alarm.text()).contains(cabinet(1)));
            });

            service.stop();
            assertThat(service.errors()).as("errors of the whole path, its stop included").isEmpty();
            assertThat(here.count("SELECT COUNT(*) FROM alarm WHERE kind = 'SUPPLY_LOST' AND acknowledged_at IS NOT NULL"
                    + " AND returned_at IS NOT NULL AND closed_at IS NOT NULL")).isEqualTo(1);
            assertThat(here.count("SELECT COUNT(*) FROM alarm")).isEqualTo(1);
            assertThat(JournalProof.verify(here.database(), inbox.journalHeads())).isInstanceOf(Verdict.Intact.class);
            assertThat(here.count("SELECT COUNT(*) FROM journal_entry WHERE kind = 'loss-confirmed'")).isEqualTo(1);
            sensor.close();
        }
    }

    /** Rule: opening a link changes nothing. Afterwards the next person must still be told, which the caller sees. */
    private static void openAsAMailScanner(ServiceProcess service, String link) {
        for (int time = 0; time < 3; time++) {
            assertThat(service.get(link).status()).isEqualTo(200);
        }
        // Whatever it answers to a HEAD, it must not take it for a press.
        assertThat(service.head(link).status()).isLessThan(500);
        assertThat(service.head(link + "/take").status()).isGreaterThanOrEqualTo(400);
        assertThat(service.get(link + "/take").status()).isGreaterThanOrEqualTo(400);
        assertThat(AlarmsPage.of(service).openOf(cabinet(1))).singleElement()
                .satisfies(alarm -> assertThat(alarm.text()).contains("nobody has taken it"));
    }

    private static void publish(Client client, URI broker, SensorClient sensor, boolean supplied) throws Exception {
        switch (client) {
            case PAHO -> sensor.says(supplied);
            case MOSQUITTO_PUB -> publishByCommand(broker, sensor, sensor.report(supplied));
        }
    }

    private static void publishByCommand(URI broker, SensorClient sensor, String report) throws IOException, InterruptedException {
        Process command = new ProcessBuilder("mosquitto_pub", "-h", broker.getHost(), "-p", Integer.toString(broker.getPort()), "-q", "1",
                "-u", sensor.login().deviceId(), "-P", sensor.login().secret(), "-t", sensor.topic(), "-m", report)
                .redirectErrorStream(true).start();
        String said = new String(command.getInputStream().readAllBytes(), StandardCharsets.UTF_8);
        assertThat(command.waitFor(60, TimeUnit.SECONDS)).as("mosquitto_pub ends: %s", said).isTrue();
        assertThat(command.exitValue()).as(said).isZero();
    }

    /** What the people of the call-out list got since this was made. */
    private static final class Inbox {

        private final MailServer server;
        private final List<Integer> before;

        Inbox(MailServer server) {
            this.server = server;
            this.before = List.of(server.receivedBy(address(1)).size(), server.receivedBy(address(2)).size(),
                    server.receivedBy(address(3)).size());
        }

        List<Mail> of(int turn) {
            return server.receivedBy(address(turn)).stream().skip(before.get(turn - 1)).map(Mail::of).toList();
        }

        Mail awaitCall(int turn) {
            return await("mail to " + address(turn)).atMost(Surroundings.patience()).until(
                    () -> of(turn).stream().filter(mail -> mail.callsOut(address(turn), cabinet(1))).toList(),
                    calls -> !calls.isEmpty()).get(0);
        }

        List<String> journalHeads() {
            return java.util.stream.IntStream.rangeClosed(1, 3).boxed().flatMap(turn -> of(turn).stream()).map(Mail::journal).toList();
        }
    }
}
