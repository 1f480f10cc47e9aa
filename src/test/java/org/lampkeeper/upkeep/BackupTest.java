package org.lampkeeper.upkeep;

import java.nio.file.Files;
import java.nio.file.Path;
import java.sql.Connection;
import java.sql.ResultSet;
import java.sql.SQLException;
import java.sql.Statement;
import java.time.Duration;
import java.time.Instant;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.concurrent.atomic.AtomicBoolean;
import java.util.concurrent.atomic.AtomicLong;

import jakarta.inject.Inject;

import io.quarkus.narayana.jta.QuarkusTransaction;
import io.quarkus.test.junit.QuarkusTest;
import io.quarkus.test.junit.TestProfile;
import org.eclipse.microprofile.config.ConfigProvider;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

import org.lampkeeper.access.Role;
import org.lampkeeper.journal.Entry;
import org.lampkeeper.journal.Journal;
import org.lampkeeper.journal.JournalVerifier;
import org.lampkeeper.journal.Verdict;
import org.lampkeeper.testing.SignedIn;
import org.lampkeeper.testing.TestDatabase;
import org.lampkeeper.testing.TestPostgres;
import org.lampkeeper.testing.WithDemo;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;
import static org.awaitility.Awaitility.await;

/** A backup that is taken while things are written, put back, and moved to the other database. */
@QuarkusTest
@TestProfile(WithDemo.class)
class BackupTest {

    private static final Duration ANY = Duration.ofDays(36_500);

    @Inject
    Journal journal;
    @TempDir
    Path folder;

    @Test
    void everythingCommittedBeforeItBeganIsInItAndMovesToPostgresql() throws Exception {
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
        BackupFile.unpack(Files.write(folder.resolve("backup.zip"), zip), folder.resolve("restored.mv.db"));

        TestDatabase restored = new TestDatabase("jdbc:h2:file:" + folder.resolve("restored") + ";MODE=PostgreSQL;DATABASE_TO_LOWER=TRUE;DEFAULT_NULL_ORDERING=HIGH",
                "lampkeeper", "lampkeeper");
        TestDatabase moved = TestPostgres.migratedDatabase();
        try (restored; Connection from = restored.connect(); Connection to = moved.connect()) {
            assertThat((Long) restored.ask("SELECT COUNT(*) FROM journal_entry WHERE kind = 'written-under-load'")).isGreaterThanOrEqualTo(before);
            assertThat(JournalVerifier.verify(from, ANY, Instant.now())).isInstanceOf(Verdict.Intact.class);

            to.setAutoCommit(false);
            Map<String, Long> rows = new TableCopy(from, to).copy();
            to.commit();

            assertThat(rows).containsKeys("journal_entry", "cabinet", "sensor_status", "check_photo", "outgoing_message").doesNotContainKey("flyway_schema_history");
            assertThat(rows.get("cabinet")).isGreaterThanOrEqualTo(12);
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

        assertThatThrownBy(() -> BackupFile.unpack(backup, there)).isInstanceOf(java.nio.file.FileAlreadyExistsException.class);
        assertThat(there).hasContent("precious");
    }

    @Test
    void fileThatIsNoBackupIsRefusedInWords() throws Exception {
        Path other = folder.resolve("other.zip");
        try (var zip = new java.util.zip.ZipOutputStream(Files.newOutputStream(other))) {
            zip.putNextEntry(new java.util.zip.ZipEntry("readme.txt"));
        }

        assertThatThrownBy(() -> BackupFile.unpack(other, folder.resolve("x.mv.db"))).hasMessageContaining("must be a file that a backup of Lampkeeper wrote");
    }

    @Test
    void whoDoesNotOperateItGetsNone() {
        SignedIn.as(Role.RESPONSIBLE_PERSON).request().get("/api/backup").then().statusCode(403);
    }

    @Test
    void databaseOfTheTestIsTheEmbeddedOne() {
        assertThat(ConfigProvider.getConfig().getValue("quarkus.datasource.jdbc.url", String.class)).startsWith("jdbc:h2:file:");
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
