package org.lampkeeper.journal;

import java.sql.Connection;
import java.sql.SQLException;

import javax.sql.DataSource;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.enterprise.event.Event;

/**
 * Where everything observed, decided and told is written down. Appending is one insert and waits for nobody; the {@link Sealer} chains
 * what was committed within a second.
 */
@ApplicationScoped
public class Journal {

    private final DataSource database;
    private final Event<Appended> appended;

    Journal(DataSource database, Event<Appended> appended) {
        this.database = database;
        this.appended = appended;
    }

    /** Something was written down: heard within its transaction, and by whoever seals after the commit. */
    public record Appended(Entry entry) {
    }

    /** Writes the entry in the caller's transaction: it is there exactly if that commits. */
    public void append(Entry entry) {
        try (Connection connection = database.getConnection()) {
            Chain.append(connection, entry);
        } catch (SQLException failed) {
            throw new IllegalStateException("journal entry " + entry.kind() + " could not be written", failed);
        }
        appended.fire(new Appended(entry));
    }

    /** The newest sealed entry; what was appended in the last second may not be in it yet. */
    public Head head() {
        try (Connection connection = database.getConnection()) {
            return Chain.head(connection);
        } catch (SQLException failed) {
            throw new IllegalStateException("the journal's head could not be read", failed);
        }
    }
}
