package org.lampkeeper.journal;

import java.sql.Connection;
import java.sql.SQLException;
import java.time.Clock;
import java.time.Duration;
import java.time.Instant;
import java.util.List;
import java.util.function.LongConsumer;

import javax.sql.DataSource;

import jakarta.enterprise.context.ApplicationScoped;

/** Tells whether the journal is as it was written. Reads every entry in pages; other work goes on meanwhile. */
@ApplicationScoped
public class JournalVerifier {

    private final DataSource database;
    private final JournalConfig config;
    private final Clock clock;

    JournalVerifier(DataSource database, JournalConfig config, Clock clock) {
        this.database = database;
        this.config = config;
        this.clock = clock;
    }

    /**
     * Walks the chain from its first entry. A cut tail together with an adjusted head, and a chain rebuilt from the start, are consistent
     * in themselves: only heads that somebody kept outside the database (each mail carries one) can tell.
     *
     * @param kept heads from mails, a heartbeat or an earlier verdict, in any order; may be empty
     */
    public Verdict verify(List<Head> kept) {
        return verify(kept, number -> { });
    }

    /** The same of any database with our tables, such as one that was just put back. */
    public static Verdict verify(Connection connection, Duration unsealedLimit, Instant now) throws SQLException {
        return Verification.of(connection, List.of(), unsealedLimit, number -> { }, now);
    }

    /**
     * The same, saying now and then how far it has come.
     *
     * @param reached takes the place in the chain up to which all was found intact; called on this thread, never backwards
     */
    public Verdict verify(List<Head> kept, LongConsumer reached) {
        try (Connection connection = database.getConnection()) {
            return Verification.of(connection, kept, config.unsealedLimit(), reached, clock.instant());
        } catch (SQLException failed) {
            throw new IllegalStateException("the journal could not be read", failed);
        }
    }
}
