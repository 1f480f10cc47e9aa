package org.lampkeeper.upkeep;

import java.nio.file.Files;
import java.nio.file.Path;
import java.sql.Connection;
import java.sql.ResultSet;
import java.sql.SQLException;
import java.sql.Statement;
import java.time.Duration;
import java.time.Instant;
import java.time.ZoneId;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalInt;
import java.util.concurrent.atomic.AtomicBoolean;
import java.util.concurrent.atomic.AtomicLong;

import jakarta.inject.Inject;

import io.quarkus.narayana.jta.QuarkusTransaction;
import io.quarkus.test.junit.QuarkusTest;
import org.eclipse.microprofile.config.ConfigProvider;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

import org.lampkeeper.access.Role;
import org.lampkeeper.electrical.Curve;
import org.lampkeeper.journal.Entry;
import org.lampkeeper.journal.Journal;
import org.lampkeeper.journal.JournalVerifier;
import org.lampkeeper.journal.Verdict;
import org.lampkeeper.register.By;
import org.lampkeeper.register.DeviceKind;
import org.lampkeeper.register.NewBoard;
import org.lampkeeper.register.NewCabinet;
import org.lampkeeper.register.NewCircuit;
import org.lampkeeper.register.NewSite;
import org.lampkeeper.register.Registration;
import org.lampkeeper.testing.SignedIn;
import org.lampkeeper.testing.TestDatabase;
import org.lampkeeper.testing.TestPostgres;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;
import static org.awaitility.Awaitility.await;

/** A backup that is taken while things are written, put back, and moved to the other database. */
@QuarkusTest
class BackupTest {

    private static final Duration ANY = Duration.ofDays(36_500);

    @Inject
    Journal journal;
    @Inject
    Registration registration;
    @TempDir
    Path folder;

    @Test
    void everythingCommittedBeforeItBeganIsInItAndMovesToPostgresql() throws Exception {
        aCabinet();
        AtomicBoolean goesOn = new AtomicBoolean(true);
        AtomicLong written = new AtomicLong();
        List<Thread> writers = new ArrayList<>();
        for (int i = 0; i < 2; i++) {
            Thread writer = new Thread(() -> {
                while (goesOn.get()) {
                    QuarkusTransaction.requiringNew().run(() -> journal.append(Entry.of(Instant.parse("2026-11-25T02:45:00Z"), "written-under-load").site(0)
                            .with("text", "quay — “north”")));
                    written.incrementAndGet();
                }
            });
            writers.add(writer);
            writer.start();
        }
        long before;
        byte[] zip;
        try {
            await().until(() -> written.get() > 200);
            before = written.get();
            zip = SignedIn.as(Role.ADMINISTRATOR).request().accept("application/zip").get("/api/backup").then().statusCode(200).extract().asByteArray();
            assertThat(written.get()).as("the service goes on meanwhile").isGreaterThan(before);
        } finally {
            goesOn.set(false);
            for (Thread writer : writers) {
                writer.join();
            }
        }
        TestDatabase restored = new TestDatabase(url("restored"), "lampkeeper", "lampkeeper");
        BackupFile.restore(Files.write(folder.resolve("backup.zip"), zip), restored.url(), "lampkeeper", "lampkeeper");
        TestDatabase moved = TestPostgres.migratedDatabase();
        try (restored; Connection from = restored.connect(); Connection to = moved.connect()) {
            assertThat((Long) restored.ask("SELECT COUNT(*) FROM journal_entry WHERE kind = 'written-under-load'")).isGreaterThanOrEqualTo(before);
            assertThat(JournalVerifier.verify(from, ANY, Instant.now())).isInstanceOf(Verdict.Intact.class);

            to.setAutoCommit(false);
            Map<String, Long> rows = new TableCopy(from, to).copy();
            to.commit();

            assertThat(rows).containsKeys("journal_entry", "cabinet", "sensor_status", "check_photo", "outgoing_message").doesNotContainKey("flyway_schema_history");
            assertThat(rows.get("cabinet")).isPositive();
            assertThat(JournalVerifier.verify(to, ANY, Instant.now())).isEqualTo(JournalVerifier.verify(from, ANY, Instant.now()));
            for (String table : rows.keySet()) {
                assertThat(content(to, table)).as(table).isEqualTo(content(from, table));
            }
            // The next number of each is free there, too.
            assertThat((Long) moved.ask("SELECT nextval('journal_entry_seq')")).isGreaterThan((Long) moved.ask("SELECT MAX(id) FROM journal_entry"));
        }
    }

    @Test
    void nothingIsOverwritten() throws Exception {
        Path backup = Files.write(folder.resolve("backup.zip"), SignedIn.as(Role.ADMINISTRATOR).request().accept("application/zip").get("/api/backup").then()
                .statusCode(200).extract().asByteArray());
        Path there = Files.writeString(folder.resolve("there.mv.db"), "precious");

        assertThatThrownBy(() -> BackupFile.restore(backup, url("there"), "lampkeeper", "lampkeeper")).isInstanceOf(java.nio.file.FileAlreadyExistsException.class);
        assertThat(there).hasContent("precious");
    }

    @Test
    void fileThatIsNoBackupIsRefusedInWords() throws Exception {
        Path other = folder.resolve("other.zip");
        try (var zip = new java.util.zip.ZipOutputStream(Files.newOutputStream(other))) {
            zip.putNextEntry(new java.util.zip.ZipEntry("readme.txt"));
        }

        assertThatThrownBy(() -> BackupFile.restore(other, url("x"), "lampkeeper", "lampkeeper")).hasMessageContaining("must be a file that a backup of Lampkeeper wrote");
    }

    @Test
    void whoDoesNotOperateItGetsNone() {
        SignedIn.as(Role.RESPONSIBLE_PERSON).request().get("/api/backup").then().statusCode(403);
    }

    @Test
    void databaseOfTheTestIsTheEmbeddedOne() {
        assertThat(ConfigProvider.getConfig().getValue("quarkus.datasource.jdbc.url", String.class)).startsWith("jdbc:h2:file:");
    }

    /** Of an installation without a demo there would be little to move. */
    private void aCabinet() {
        By by = By.nobody(Instant.parse("2026-11-25T02:45:00Z"));
        String unlike = Long.toString(System.nanoTime());
        long site = registration.addSite(new NewSite("Kept Landing " + unlike, "1 Shore Lane", ZoneId.of("Europe/London"), "gate code 2468", "meter cupboard", Optional.empty()),
                by).id();
        long board = registration.addBoard(new NewBoard(site, "Board A", "quay kiosk", "key 7"), by).id();
        registration.addCabinet(new NewCabinet(site, "K" + unlike.substring(unlike.length() - 8), "Kept cabinet", "by the steps — “north”", "defibrillator", "below the door",
                new NewCircuit(board, "2", DeviceKind.RCBO, Curve.C, 16, OptionalInt.of(30), "3-core 2.5 mm² SWA, 30 m", 3, "below the cabinet")), by);
    }

    private String url(String name) {
        return "jdbc:h2:file:" + folder.resolve(name) + ";MODE=PostgreSQL;DATABASE_TO_LOWER=TRUE;DEFAULT_NULL_ORDERING=HIGH";
    }

    /** Every row in words, in an order that both databases share. */
    private static List<String> content(Connection connection, String table) throws SQLException {
        List<String> columns = new ArrayList<>();
        try (ResultSet names = connection.getMetaData().getColumns(null, "public", table, "%")) {
            while (names.next()) {
                columns.add(names.getString("COLUMN_NAME"));
            }
        }
        columns.sort(null);
        List<String> rows = new ArrayList<>();
        try (Statement select = connection.createStatement(); ResultSet row = select.executeQuery("SELECT " + String.join(", ", columns.stream().map(name -> '"' + name + '"')
                .toList()) + " FROM " + table)) {
            while (row.next()) {
                StringBuilder line = new StringBuilder();
                for (int i = 1; i <= columns.size(); i++) {
                    line.append(columns.get(i - 1)).append('=').append(word(row, i)).append(' ');
                }
                rows.add(line.toString());
            }
        }
        rows.sort(null);
        return rows;
    }

    private static String word(ResultSet row, int column) throws SQLException {
        Object value = row.getObject(column);
        if (value instanceof byte[] bytes) {
            return java.util.HexFormat.of().formatHex(bytes);
        }
        if (value instanceof java.sql.Clob) {
            return row.getString(column);
        }
        if (value instanceof java.sql.Timestamp || value instanceof java.time.OffsetDateTime) {
            return row.getObject(column, java.time.OffsetDateTime.class).toInstant().toString();
        }
        if (value instanceof java.sql.Date) {
            return row.getObject(column, java.time.LocalDate.class).toString();
        }
        return String.valueOf(value);
    }
}
