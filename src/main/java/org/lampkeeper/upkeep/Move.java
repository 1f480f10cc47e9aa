package org.lampkeeper.upkeep;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.sql.Connection;
import java.sql.ResultSet;
import java.sql.SQLException;
import java.sql.Statement;
import java.time.Duration;
import java.util.Map;
import java.util.Optional;

import javax.sql.DataSource;

import jakarta.annotation.Priority;
import jakarta.enterprise.context.ApplicationScoped;
import jakarta.enterprise.event.Observes;
import jakarta.interceptor.Interceptor;

import io.quarkus.narayana.jta.QuarkusTransaction;
import io.quarkus.runtime.StartupEvent;
import org.eclipse.microprofile.config.inject.ConfigProperty;
import org.jboss.logging.Logger;


/**
 * Fills an empty database from a backup of the embedded one, before anything else of the service begins: so an installation moves to
 * PostgreSQL. All of it in one transaction; a database in which somebody has registered anything is left alone.
 */
@ApplicationScoped
class Move {

    private static final Logger LOG = Logger.getLogger(Move.class);

    /** Ours: some hundred million rows. */
    private static final Duration LONGEST = Duration.ofHours(6);

    /** Of the database in between, which is deleted at once. */
    private static final String USER = "lampkeeper";

    private final DataSource database;
    private final Optional<String> backup;

    Move(DataSource database, @ConfigProperty(name = "lampkeeper.move.from") Optional<String> backup) {
        this.database = database;
        this.backup = backup;
    }

    void start(@Observes @Priority(Interceptor.Priority.PLATFORM_BEFORE) StartupEvent started) {
        backup.map(Path::of).ifPresent(this::move);
    }

    private void move(Path from) {
        try {
            Path folder = Files.createTempDirectory("lampkeeper-move");
            // With the words of the service's own URL, by which names and nulls are kept as in PostgreSQL.
            String url = "jdbc:h2:file:" + folder.resolve("from").toAbsolutePath() + ";MODE=PostgreSQL;DATABASE_TO_LOWER=TRUE;DEFAULT_NULL_ORDERING=HIGH";
            try {
                BackupFile.restore(from, url, USER, USER);
                QuarkusTransaction.requiringNew().timeout((int) LONGEST.toSeconds()).run(() -> copy(from, url));
            } finally {
                Files.deleteIfExists(folder.resolve("from" + BackupFile.DATABASE));
                Files.deleteIfExists(folder);
            }
        } catch (IOException | SQLException failed) {
            throw new IllegalStateException("lampkeeper.move.from: " + from + " cannot be read: " + failed.getMessage(), failed);
        }
    }

    private void copy(Path backup, String url) {
        try (Connection from = BackupFile.open(url, USER, USER); Connection to = database.getConnection()) {
            String ours = TableCopy.version(to);
            String theirs = TableCopy.version(from);
            if (!ours.equals(theirs)) {
                throw new IllegalStateException("lampkeeper.move.from: the backup is of version " + theirs + " of the tables, and this program has " + ours
                        + ". Restore it and start this program on it once, then take another backup");
            }
            if (isUsed(to)) {
                throw new IllegalStateException("lampkeeper.move.from is set, but there is a register in this database already. Take the setting out, or use an empty database");
            }
            Map<String, Long> rows = new TableCopy(from, to).copy();
            LOG.infof("moved %d rows of %d tables from %s; take lampkeeper.move.from out before the next start", rows.values().stream().mapToLong(Long::longValue).sum(),
                    rows.size(), backup);
        } catch (SQLException failed) {
            throw new IllegalStateException("lampkeeper.move.from: nothing was moved, " + failed.getMessage(), failed);
        }
    }

    private static boolean isUsed(Connection connection) throws SQLException {
        try (Statement select = connection.createStatement();
                ResultSet row = select.executeQuery("SELECT (SELECT COUNT(*) FROM site) + (SELECT COUNT(*) FROM person) + (SELECT COUNT(*) FROM journal_entry)")) {
            row.next();
            return row.getLong(1) > 0;
        }
    }
}
