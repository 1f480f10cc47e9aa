package org.lampkeeper.proof;

import java.time.Duration;
import java.util.List;
import java.util.Map;
import java.util.Set;
import java.util.stream.Collectors;
import java.util.stream.IntStream;

import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.extension.ExtendWith;

import org.lampkeeper.journal.JournalProof;
import org.lampkeeper.journal.Verdict;
import org.lampkeeper.proof.Surroundings.BrokerKind;
import org.lampkeeper.proof.Surroundings.Database;
import org.lampkeeper.testing.EnabledIfTool;
import org.lampkeeper.testing.MailServer;
import org.lampkeeper.testing.ServiceProcess;
import org.lampkeeper.testing.TestInstallation;

import static org.assertj.core.api.Assertions.assertThat;
import static org.awaitility.Awaitility.await;
import static org.lampkeeper.testing.TestInstallation.address;
import static org.lampkeeper.testing.TestInstallation.cabinet;

/** Two instances on one PostgreSQL and one Mosquitto; one of them dies and never comes back. */
@ExtendWith(LogOnFailure.class)
@EnabledIfTool("mosquitto")
class TwoInstancesIT {

    private static final int CABINETS = 12;
    private static final int REPORTS_PER_SECOND = 150;
    private static final TestInstallation INSTALLATION = TestInstallation.of(CABINETS, Duration.ZERO, Duration.ofMinutes(20));

    @Test
    void oneOfTwoThatShareDiesForGoodAndNothingIsStranded() throws Exception {
        MailServer mailServer = MailServer.shared();
        int before = mailServer.receivedBy(address(1)).size();
        try (Surroundings here = Surroundings.of("two-instances", Database.POSTGRESQL, BrokerKind.MOSQUITTO, INSTALLATION)) {
            ServiceProcess survivor = here.service().with("lampkeeper.broker.share-name", "hard-to-guess")
                    .with("lampkeeper.watch.confirm", "1s").mailTo(mailServer.port()).start();
            try (ServiceProcess victim = survivor.twin(ServiceProcess.freshDirectory("two-instances-victim")).start();
                    Traffic traffic = new Traffic(IntStream.rangeClosed(1, CABINETS).mapToObj(here::sensor).toList(), REPORTS_PER_SECOND)) {
                await("work is shared").atMost(Surroundings.patience())
                        .until(() -> reportsOf(survivor) > 100 && reportsOf(victim) > 100);

                // The dead one's session goes on being dealt its share until its lease runs out and the survivor takes the session over.
                losesAllWhileThisOneDies(victim, traffic, here, mailServer, before);
            }
            survivor.stop();
            isIntact(here, mailServer, before);
        }
    }

    @Test
    void theOneThatListensDiesForGoodAndTheOneThatStoodByTakesOver() throws Exception {
        MailServer mailServer = MailServer.shared();
        int before = mailServer.receivedBy(address(1)).size();
        try (Surroundings here = Surroundings.of("standing-by", Database.POSTGRESQL, BrokerKind.MOSQUITTO, INSTALLATION)) {
            ServiceProcess victim = here.service().with("lampkeeper.watch.confirm", "1s").mailTo(mailServer.port()).start();
            try (ServiceProcess survivor = victim.twin(ServiceProcess.freshDirectory("standing-by-survivor")).start();
                    Traffic traffic = new Traffic(IntStream.rangeClosed(1, CABINETS).mapToObj(here::sensor).toList(), REPORTS_PER_SECOND)) {
                await("one listens").atMost(Surroundings.patience()).until(() -> reportsOf(victim) > 100);
                assertThat(reportsOf(survivor)).isZero();

                losesAllWhileThisOneDies(victim, traffic, here, mailServer, before);
                assertThat(reportsOf(survivor)).isPositive();
                survivor.stop();
            }
            isIntact(here, mailServer, before);
        }
    }

    private static void losesAllWhileThisOneDies(ServiceProcess victim, Traffic traffic, Surroundings here, MailServer mailServer, int before)
            throws Exception {
        traffic.loseSupply();
        victim.killHard();
        await("losses acknowledged").atMost(Surroundings.patience()).until(traffic::allSaidLost);
        Map<String, Long> last = traffic.end();

        await("every accepted report is in").atMost(Surroundings.patience()).untilAsserted(() -> assertThat(lastStored(here)).isEqualTo(last));
        await("every loss is an alarm").atMost(Surroundings.patience()).untilAsserted(() -> assertThat(here.count(
                "SELECT COUNT(DISTINCT cabinet_id) FROM alarm WHERE kind = 'SUPPLY_LOST' AND live")).isEqualTo(CABINETS));
        await("every one named in a mail").atMost(Surroundings.patience()).until(() -> calledFor(mailServer, before).size() == CABINETS);
        assertThat(here.count("SELECT COUNT(*) FROM alarm")).isEqualTo(CABINETS);
        assertThat(here.count("SELECT COUNT(DISTINCT leased_by) FROM ingest_slot")).isEqualTo(1);
    }

    private static void isIntact(Surroundings here, MailServer mailServer, int before) throws Exception {
        assertThat(JournalProof.verify(here.database(), mailServer.receivedBy(address(1)).stream().skip(before)
                .map(mail -> Mail.of(mail).journal()).toList())).isInstanceOf(Verdict.Intact.class);
    }

    private static double reportsOf(ServiceProcess service) {
        return service.metric("lampkeeper_reports_in_total");
    }

    static Map<String, Long> lastStored(Surroundings here) throws Exception {
        return here.numbers("SELECT s.device_id, t.seq FROM sensor s JOIN sensor_status t ON t.sensor_id = s.id WHERE t.seq IS NOT NULL");
    }

    private static Set<Integer> calledFor(MailServer mailServer, int before) {
        List<Mail> mails = mailServer.receivedBy(address(1)).stream().skip(before).map(Mail::of).toList();
        return IntStream.rangeClosed(1, CABINETS).boxed()
                .filter(number -> mails.stream().anyMatch(mail -> mail.callsOut(address(1), cabinet(number))
                        || (mail.link().isPresent() && mail.labels().contains("Q" + number)))).collect(Collectors.toSet());
    }
}
