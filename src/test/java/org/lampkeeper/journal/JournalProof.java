package org.lampkeeper.journal;

import java.sql.Connection;
import java.sql.SQLException;
import java.time.Duration;
import java.time.Instant;
import java.util.List;

import org.lampkeeper.testing.TestDatabase;

/** The journal's verifier for tests that look at a database from outside, after the service has written to it. */
public final class JournalProof {

    private JournalProof() {
    }

    /** @param kept heads as mails carry them: {@code number hash} */
    public static Verdict verify(TestDatabase database, List<String> kept) throws SQLException {
        List<Head> heads = kept.stream().map(head -> head.split(" ")).map(head -> new Head(Long.parseLong(head[0]), head[1])).toList();
        try (Connection connection = database.connect()) {
            return Verification.of(connection, heads, Duration.ofMinutes(5), number -> { }, Instant.now());
        }
    }
}
