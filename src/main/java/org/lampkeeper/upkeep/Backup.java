package org.lampkeeper.upkeep;

import java.io.IOException;
import java.io.UncheckedIOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.sql.Connection;
import java.sql.PreparedStatement;
import java.sql.SQLException;
import java.sql.Statement;
import java.time.Clock;

import javax.sql.DataSource;

import jakarta.enterprise.context.ApplicationScoped;

import io.quarkus.narayana.jta.QuarkusTransaction;
import org.eclipse.microprofile.config.inject.ConfigProperty;

import org.lampkeeper.journal.Entry;
import org.lampkeeper.journal.Journal;
import org.lampkeeper.register.AnyDatabaseDriver;

/** A copy of the embedded database while the service goes on. The keys beside it are not in it. */
@ApplicationScoped
public class Backup {

    private final DataSource database;
    private final Journal journal;
    private final Clock clock;
    private final boolean isEmbedded;

    Backup(DataSource database, Journal journal, Clock clock, @ConfigProperty(name = "quarkus.datasource.jdbc.url") String url) {
        this.database = database;
        this.journal = journal;
        this.clock = clock;
        this.isEmbedded = !AnyDatabaseDriver.isPostgresql(url);
    }

    /** Whether there is one to take: PostgreSQL has tools of its own, which know more. */
    public boolean isOffered() {
        return isEmbedded;
    }

    /**
     * Every transaction that is committed when it begins is in it, and none by halves.
     *
     * @param personReference who asked for it: it has everybody's names and numbers in it
     * @return a zip file with every table in it, for the caller to hand on and delete
     */
    public Path take(String personReference) {
        QuarkusTransaction.requiringNew().run(() -> journal.append(Entry.of(clock.instant(), "backup-taken").site(0).with("person", personReference)));
        try {
            Path zip = Files.createTempFile("lampkeeper-backup", ".zip");
            try (Connection connection = database.getConnection()) {
                write(connection, zip);
                return zip;
            } catch (SQLException failed) {
                Files.deleteIfExists(zip);
                throw new IllegalStateException("the backup could not be taken: " + failed.getMessage(), failed);
            }
        } catch (IOException failed) {
            throw new UncheckedIOException("there is no room for a backup in the folder for temporary files", failed);
        }
    }

    /**
     * As one transaction sees it, which looks at all tables as they are when it begins. H2's own {@code BACKUP} copies its file while others write
     * into it, and leaves parts of what they had not committed.
     */
    private static void write(Connection connection, Path zip) throws SQLException {
        try (Statement statement = connection.createStatement()) {
            statement.execute("SET SESSION CHARACTERISTICS AS TRANSACTION ISOLATION LEVEL SNAPSHOT");
            connection.setAutoCommit(false);
            try (PreparedStatement script = connection.prepareStatement("SCRIPT NOPASSWORDS NOSETTINGS TO ? COMPRESSION ZIP CHARSET 'UTF-8'")) {
                script.setString(1, zip.toString());
                script.execute();
            } finally {
                connection.rollback();
                connection.setAutoCommit(true);
                statement.execute("SET SESSION CHARACTERISTICS AS TRANSACTION ISOLATION LEVEL READ COMMITTED");
            }
        }
    }
}
