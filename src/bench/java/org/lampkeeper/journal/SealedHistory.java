package org.lampkeeper.journal;

import java.sql.Connection;
import java.sql.SQLException;
import java.time.Duration;
import java.time.Instant;

import org.lampkeeper.testing.TestDatabase;

/** Chains what was written into the journal's table, by the statements of the service, before a service is started on it. */
public final class SealedHistory {

    private static final String ME = "bench";
    private static final int TOGETHER = 5_000;

    private SealedHistory() {
    }

    /** Returns how many entries were chained; in the order of their ids, the first as number 1. */
    public static long seal(TestDatabase database) throws SQLException {
        long all = 0;
        try (Connection connection = database.connect()) {
            connection.setAutoCommit(false);
            int sealed;
            do {
                sealed = Chain.seal(connection, ME, Duration.ofMinutes(1), TOGETHER, Instant.now());
                connection.commit();
                all += sealed;
            } while (sealed > 0);
            Chain.giveUpLease(connection, ME);
            connection.commit();
        }
        return all;
    }
}
