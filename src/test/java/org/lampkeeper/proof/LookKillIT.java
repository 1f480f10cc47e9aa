package org.lampkeeper.proof;

import java.time.Duration;
import java.time.LocalTime;
import java.time.ZoneId;
import java.time.temporal.ChronoUnit;
import java.util.HashMap;
import java.util.HashSet;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Random;
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
 * SIGKILL in the middle of opening: hundreds of looks are due at the same moment, and the service dies several times while it opens them and
 * asks for them, at moments drawn by lot ({@code -Dlooks.seed=} for others than the usual): with some opened and committed, some under way and
 * some not begun. After the last start each is there once, opened once, and asked for once but for what was being sent at a kill.
 */
@ExtendWith(LogOnFailure.class)
class LookKillIT {

    private static final long SEED = Long.getLong("looks.seed", 20_261_127L);
    private static final int KILLS = 3;
    /** Several transactions' worth, so that the first mails leave before the last has begun. */
    private static final int CABINETS = 600;
    /** More than the first transaction asks for would wait for mails that the kill has to come before. */
    private static final int LATEST_MAIL = 12;
    /** As many as send at once (lampkeeper.message.workers): each may have been killed between sending and recording. */
    private static final int WORKERS = 8;
    private static final List<Stage> STAGES = List.of(Stage.BEGUN, Stage.BEFORE_TEXT, Stage.TAKEN);
    private static final String OPENED = "SELECT COUNT(*) FROM check_due WHERE opened_at IS NOT NULL";
    /** Those that were opened with many others wait for it. */
    private static final String ASKED_FOR = OPENED + " AND to_ask = FALSE";
    private static final Pattern CABINET = Pattern.compile("Quay \\d+(?=, by )");

    @ParameterizedTest
    @EnumSource(Database.class)
    void killInTheMiddleOfOpeningLeavesEachLookOnceAndAskedFor(Database database) throws Exception {
        // Open for two hours already: half-way, and the next day's, are hours away.
        LocalTime now = LocalTime.now(ZoneId.of("Europe/London"));
        // The plans begin today: what opened before midnight is not theirs.
        LocalTime opens = now.getHour() < 2 ? LocalTime.MIDNIGHT : now.minusHours(2).truncatedTo(ChronoUnit.HOURS);
        TestInstallation installation = TestInstallation.of(CABINETS, Duration.ZERO).lookedAtFrom(opens);
        Random lot = new Random(SEED);
        try (StagedMailServer mailServer = new StagedMailServer();
                Surroundings here = Surroundings.of("kill-opening-" + database.name().toLowerCase(Locale.ROOT), database, BrokerKind.EMBEDDED, installation)) {
            here.service().mailTo(mailServer.port()).with("lampkeeper.message.workers", WORKERS);
            long openedBefore = 0;
            long askedForBefore = 0;
            for (int kill = 1; kill <= KILLS; kill++) {
                Stage stage = STAGES.get(lot.nextInt(STAGES.size()));
                int mail = 1 + lot.nextInt(LATEST_MAIL);
                dieAt(stage, mail, here, mailServer);
                long opened = here.count(OPENED);
                assertThat(opened).as("opened at kill %d, mail %d %s, seed %d", kill, mail, stage, SEED).isGreaterThanOrEqualTo(Math.max(1, openedBefore));
                long askedFor = here.count(ASKED_FOR);
                assertThat(askedFor).isGreaterThanOrEqualTo(Math.max(1, askedForBefore));
                if (kill == 1) {
                    assertThat(askedFor).as("it died in the middle: mail %d %s, seed %d", mail, stage, SEED).isLessThan(CABINETS);
                }
                assertThat(here.count("SELECT COUNT(*) FROM outgoing_message WHERE purpose = 'LOOK'")).as("each that is open is asked for, or will be").isEqualTo(askedFor);
                assertThat(here.count("SELECT COUNT(*) FROM check_asked")).isEqualTo(askedFor);
                assertThat(here.count("SELECT COUNT(*) FROM check_due c WHERE c.to_ask = TRUE AND NOT EXISTS (SELECT 1 FROM deadline d"
                        + " WHERE d.kind = 'CHECK' AND d.subject_id = c.id AND d.subject_version = c.version)")).as("each that will be has a moment for it").isZero();
                openedBefore = opened;
                askedForBefore = askedFor;
            }

            here.service().start();
            await("everybody asked").atMost(Surroundings.patience()).until(() -> asked(mailServer).size() == CABINETS);
            await("nothing left to send").atMost(Surroundings.patience())
                    .until(() -> here.service().metric("lampkeeper_messages_waiting") == 0 && here.service().metric("lampkeeper_deadlines_overdue") == 0);
            here.service().stop();

            eachIsThereOnce(here);
            assertThat(asked(mailServer).values()).as("a repeat has the same Message-ID").allSatisfy(ids -> assertThat(ids).hasSize(1));
            assertThat(mailServer.mails()).as("only what was being sent at a kill is sent again").hasSizeLessThanOrEqualTo(CABINETS + KILLS * WORKERS);
            assertThat(JournalProof.verify(here.database(), mailServer.mails().stream().map(Mail::journal).toList())).isInstanceOf(Verdict.Intact.class);
        }
    }

    private static void dieAt(Stage stage, int mail, Surroundings here, StagedMailServer mailServer) throws Exception {
        CompletableFuture<Void> killed = new CompletableFuture<>();
        mailServer.at(stage, mail, () -> {
            here.service().killHard();
            killed.complete(null);
        });
        here.service().launch();
        killed.get(Surroundings.patience().toSeconds(), TimeUnit.SECONDS);
    }

    private static void eachIsThereOnce(Surroundings here) throws Exception {
        assertThat(here.count(OPENED)).isEqualTo(CABINETS);
        assertThat(here.count("SELECT COUNT(DISTINCT cabinet_id) FROM check_due WHERE opened_at IS NOT NULL")).isEqualTo(CABINETS);
        assertThat(here.count("SELECT COUNT(*) FROM check_due WHERE opened_at IS NOT NULL AND (version NOT IN (1, 2) OR to_ask = TRUE OR state <> 'OPEN')")).isZero();
        assertThat(here.count("SELECT COUNT(*) FROM check_asked WHERE is_reachable = TRUE")).isEqualTo(CABINETS);
        assertThat(here.count("SELECT COUNT(DISTINCT due_id) FROM check_asked")).isEqualTo(CABINETS);
        assertThat(here.count("SELECT COUNT(*) FROM deadline d JOIN check_due c ON c.id = d.subject_id WHERE d.kind = 'CHECK' AND c.opened_at IS NOT NULL"
                + " AND d.subject_version = c.version")).as("each is asked about again").isEqualTo(CABINETS);
        assertThat(here.count("SELECT COUNT(*) FROM outgoing_message WHERE purpose = 'LOOK'")).isEqualTo(CABINETS);
        assertThat(here.count("SELECT COUNT(*) FROM outgoing_message WHERE state NOT IN ('SENT', 'NOT_NEEDED')")).isZero();
        assertThat(here.count("SELECT COUNT(*) FROM alarm WHERE kind = 'LOOK_MISSED'")).isZero();
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
