package org.lampkeeper.proof;

import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Duration;
import java.util.List;

import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.extension.ExtendWith;

import org.lampkeeper.journal.JournalProof;
import org.lampkeeper.journal.Verdict;
import org.lampkeeper.testing.ServiceProcess;
import org.lampkeeper.testing.TestDatabase;
import org.lampkeeper.testing.TestInstallation;
import org.lampkeeper.testing.TestPostgres;

import static org.assertj.core.api.Assertions.assertThat;
import static org.awaitility.Awaitility.await;

/** As docs/backup.md has it, with the packaged service: a backup while it runs, put back, and moved to PostgreSQL. */
@ExtendWith(LogOnFailure.class)
class BackupIT {

    private static final String CABINET = "Quay 1";
    private static final String CABINETS = "SELECT COUNT(*) FROM cabinet";

    @Test
    void backupIsPutBackAndTheServiceMovesToPostgresqlByStartingOnIt() throws Exception {
        Path directory = ServiceProcess.freshDirectory("backup");
        TestDatabase postgresql = TestPostgres.emptyDatabase();
        try (ServiceProcess service = Surroundings.impatient(ServiceProcess.in(directory))) {
            Surroundings.installation(service, TestInstallation.of(3, Duration.ZERO).write(directory));
            service.start();
            assertThat(service.get("/").body()).contains(CABINET);
            Path backup = service.download("/api/backup", directory.resolve("backup.zip"));
            service.stop();

            assertThat(service.command("restore", backup.toString())).as("nothing is overwritten").isOne();
            Path database = directory.resolve("data").resolve("lampkeeper.mv.db");
            Files.move(database, directory.resolve("away.mv.db"));
            assertThat(service.command("restore", backup.toString())).isZero();
            assertThat(service.h2File().ask(CABINETS)).isEqualTo(3L);
            assertThat(JournalProof.verify(service.h2File(), List.of())).isInstanceOf(Verdict.Intact.class);
            service.start();
            assertThat(service.get("/").body()).as("who had signed in still has").contains(CABINET);
            service.stop();

            service.on(postgresql).with("lampkeeper.move.from", backup);
            service.start();
            assertThat(service.get("/").body()).as("who had signed in still has").contains(CABINET);
            assertThat(postgresql.ask(CABINETS)).isEqualTo(3L);
            await().untilAsserted(() -> assertThat(JournalProof.verify(postgresql, List.of())).isInstanceOf(Verdict.Intact.class));
            service.stop();

            service.launch();
            await("a database that is in use is left alone").until(() -> !service.isAlive());
            assertThat(service.logTail()).contains("there is a register in this database already");
        }
    }
}
