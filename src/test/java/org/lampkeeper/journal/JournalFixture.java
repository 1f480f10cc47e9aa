package org.lampkeeper.journal;

import java.sql.ResultSet;
import java.sql.SQLException;
import java.sql.Statement;
import java.time.Duration;
import java.time.Instant;
import java.util.List;

import org.lampkeeper.testing.TestDatabase;
import org.lampkeeper.testing.Transactions;

/** A journal without an application around it: appended to, sealed and verified at moments that the test chooses. */
final class JournalFixture {

    static final Instant NOON = Instant.parse("2026-11-25T12:00:00Z");
    static final Duration LEASE = Duration.ofSeconds(3);
    static final Duration UNSEALED_LIMIT = Duration.ofMinutes(5);

    final TestDatabase database;

    JournalFixture(TestDatabase database) {
        this.database = database;
    }

    /** A journal of so many sealed entries, and of nothing that was in it before. */
    static JournalFixture sealed(TestDatabase database, int entries) {
        JournalFixture journal = new JournalFixture(database);
        journal.run("DELETE FROM journal_entry");
        journal.run("UPDATE journal_head SET seal_number = 0, seal_hash = '" + Head.EMPTY.hash() + "'");
        for (int i = 1; i <= entries; i++) {
            journal.append(Entry.of(NOON.plusSeconds(i), "report-heard").site(3).cabinet(7).with("count", i).with("note", "quay — “north”"));
        }
        journal.seal();
        return journal;
    }

    void append(Entry entry) {
        inTransaction(connection -> {
            Chain.append(connection, entry);
            return true;
        });
    }

    int run(String sql) {
        return inTransaction(connection -> {
            try (Statement statement = connection.createStatement()) {
                return statement.executeUpdate(sql);
            }
        });
    }

    String read(String sql) {
        return inTransaction(connection -> {
            try (Statement statement = connection.createStatement(); ResultSet row = statement.executeQuery(sql)) {
                row.next();
                return row.getString(1);
            }
        });
    }

    <T> T inTransaction(Transactions.Work<T> work) {
        return Transactions.in(database, work);
    }

    int seal() {
        return sealAs("one", NOON);
    }

    int sealAs(String instance, Instant now) {
        return inTransaction(connection -> Chain.seal(connection, instance, LEASE, 500, now));
    }

    Head head() {
        return inTransaction(Chain::head);
    }

    Head headAt(long number) {
        return new Head(number, read("SELECT seal_hash FROM journal_entry WHERE seal_number = " + number));
    }

    Verdict verify(Head... kept) {
        return verifyAt(NOON, kept);
    }

    Verdict verifyAt(Instant now, Head... kept) {
        return inTransaction(connection -> Verification.of(connection, List.of(kept), UNSEALED_LIMIT, number -> { }, now));
    }

    /** What somebody with the password of the database can do who knows the layout: a new chain over the rows as they now are. */
    void rebuildChain() {
        run("UPDATE journal_entry SET seal_number = NULL, seal_hash = NULL, seal_salt = NULL");
        run("UPDATE journal_head SET seal_number = 0, seal_hash = '" + Head.EMPTY.hash() + "'");
        seal();
    }

    static Verdict.Broken broken(Verdict verdict) throws SQLException {
        if (verdict instanceof Verdict.Broken broken) {
            return broken;
        }
        throw new AssertionError("expected a broken journal, was " + verdict);
    }
}
