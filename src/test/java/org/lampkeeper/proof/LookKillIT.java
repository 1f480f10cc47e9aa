package org.lampkeeper.proof;

import java.time.Duration;
import java.time.LocalTime;
import java.time.ZoneId;
import java.time.temporal.ChronoUnit;
import java.util.HashMap;
import java.util.HashSet;
import java.util.Map;
import java.util.Set;
import java.util.concurrent.CompletableFuture;
import java.util.concurrent.TimeUnit;
import java.util.regex.Matcher;
import java.util.regex.Pattern;

import org.junit.jupiter.api.extension.ExtendWith;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.EnumSource;

import org.lampkeeper.journal.JournalProof;
import org.lampkeeper.journal.Verdict;
import org.lampkeeper.proof.StagedMailServer.Stage;
import org.lampkeeper.proof.Surroundings.BrokerKind;
import org.lampkeeper.proof.Surroundings.Database;
import org.lampkeeper.testing.TestInstallation;

import static org.assertj.core.api.Assertions.assertThat;
import static org.awaitility.Awaitility.await;

/**
 * SIGKILL in the middle of opening: hundreds of looks are due at the same moment, and the service dies when the mail server is asked to take
 * the first of their messages, with some opened and committed, some under way and some not begun. After a start on what is left each is
 * there once, opened once, and asked for at least once.
 */
@ExtendWith(LogOnFailure.class)
class LookKillIT {

    /** Several transactions' worth, so that the first mail leaves before the last has begun. */
    private static final int CABINETS = 600;
    private static final String OPENED = "SELECT COUNT(*) FROM check_due WHERE opened_at IS NOT NULL";
    private static final Pattern CABINET = Pattern.compile("Quay \\d+(?=, by )");

    @ParameterizedTest
    @EnumSource(Database.class)
    void killInTheMiddleOfOpeningLeavesEachLookOnceAndAskedFor(Database database) throws Exception {
        // Open for two hours already: half-way, and the next day's, are hours away.
        LocalTime opens = LocalTime.now(ZoneId.of("Europe/London")).minusHours(2).truncatedTo(ChronoUnit.HOURS);
        TestInstallation installation = TestInstallation.of(CABINETS, Duration.ZERO).lookedAtFrom(opens);
        try (StagedMailServer mailServer = new StagedMailServer();
                Surroundings here = Surroundings.of("kill-opening-" + database, database, BrokerKind.EMBEDDED, installation)) {
            here.service().mailTo(mailServer.port());
            CompletableFuture<Void> killed = new CompletableFuture<>();
            mailServer.at(Stage.BEGUN, () -> {
                here.service().killHard();
                killed.complete(null);
            });
            here.service().launch();
            killed.get(Surroundings.patience().toSeconds(), TimeUnit.SECONDS);
            assertThat(here.count(OPENED)).as("opened when it died").isBetween(1L, CABINETS - 1L);

            here.service().start();
            await("everybody asked").atMost(Surroundings.patience()).until(() -> asked(mailServer).size() == CABINETS);
            await("nothing left to send").atMost(Surroundings.patience())
                    .until(() -> here.service().metric("lampkeeper_messages_waiting") == 0 && here.service().metric("lampkeeper_deadlines_overdue") == 0);
            here.service().stop();

            assertThat(here.count(OPENED)).isEqualTo(CABINETS);
            assertThat(here.count("SELECT COUNT(DISTINCT cabinet_id) FROM check_due WHERE opened_at IS NOT NULL")).isEqualTo(CABINETS);
            assertThat(here.count("SELECT COUNT(*) FROM check_due WHERE opened_at IS NOT NULL AND (version <> 1 OR state <> 'OPEN')")).isZero();
            assertThat(here.count("SELECT COUNT(*) FROM check_asked")).isEqualTo(CABINETS);
            assertThat(here.count("SELECT COUNT(*) FROM deadline d JOIN check_due c ON c.id = d.subject_id WHERE d.kind = 'CHECK' AND c.opened_at IS NOT NULL"
                    + " AND d.subject_version = c.version")).as("each is asked about again").isEqualTo(CABINETS);
            assertThat(here.count("SELECT COUNT(*) FROM outgoing_message WHERE purpose = 'LOOK'")).isEqualTo(CABINETS);
            assertThat(here.count("SELECT COUNT(*) FROM outgoing_message WHERE state NOT IN ('SENT', 'NOT_NEEDED')")).isZero();
            assertThat(asked(mailServer).values()).as("a repeat has the same Message-ID").allSatisfy(ids -> assertThat(ids).hasSize(1));
            assertThat(JournalProof.verify(here.database(), mailServer.mails().stream().map(Mail::journal).toList())).isInstanceOf(Verdict.Intact.class);
        }
    }

    /** The Message-IDs by the cabinet that somebody is asked to look at. */
    private static Map<String, Set<String>> asked(StagedMailServer mailServer) {
        Map<String, Set<String>> asked = new HashMap<>();
        for (Mail mail : mailServer.mails()) {
            Matcher cabinet = CABINET.matcher(mail.subject());
            if (cabinet.find()) {
                asked.computeIfAbsent(cabinet.group(), name -> new HashSet<>()).add(mail.messageId());
            }
        }
        return asked;
    }
}
