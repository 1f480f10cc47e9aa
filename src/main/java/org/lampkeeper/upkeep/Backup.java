package org.lampkeeper.upkeep;

import java.io.IOException;
import java.io.UncheckedIOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.sql.Connection;
import java.sql.PreparedStatement;
import java.sql.SQLException;
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
     * @return a zip file with the database's file in it, for the caller to hand on and delete
     */
    public Path take(String personReference) {
        QuarkusTransaction.requiringNew().run(() -> journal.append(Entry.of(clock.instant(), "backup-taken").site(0).with("person", personReference)));
        try {
            Path zip = Files.createTempFile("lampkeeper-backup", ".zip");
            try (Connection connection = database.getConnection(); PreparedStatement backup = connection.prepareStatement("BACKUP TO ?")) {
                backup.setString(1, zip.toString());
                backup.execute();
                return zip;
            } catch (SQLException failed) {
                Files.deleteIfExists(zip);
                throw new IllegalStateException("the backup could not be taken: " + failed.getMessage(), failed);
            }
        } catch (IOException failed) {
            throw new UncheckedIOException("there is no room for a backup in the folder for temporary files", failed);
        }
    }
}
