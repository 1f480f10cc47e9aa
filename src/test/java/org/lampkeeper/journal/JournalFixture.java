package org.lampkeeper.journal;

import java.sql.SQLException;
import java.time.Duration;
import java.time.Instant;
import java.util.List;

import org.lampkeeper.register.MigratedDatabase;

/** A journal without an application around it: appended to, sealed and verified at moments that the test chooses. */
final class JournalFixture {

    static final Instant NOON = Instant.parse("2026-11-25T12:00:00Z");
    static final Duration LEASE = Duration.ofSeconds(3);
    static final Duration UNSEALED_LIMIT = Duration.ofMinutes(5);

    final MigratedDatabase.Database database;

    JournalFixture(MigratedDatabase kind) {
        database = kind.create();
    }

    static JournalFixture sealed(MigratedDatabase kind, int entries) {
        JournalFixture journal = new JournalFixture(kind);
        for (int i = 1; i <= entries; i++) {
            journal.append(Entry.of(NOON.plusSeconds(i), "report-heard").site(3).cabinet(7).with("count", i).with("note", "quay — “north”"));
        }
        journal.seal();
        return journal;
    }

    void append(Entry entry) {
        database.inTransaction(connection -> {
            Chain.append(connection, entry);
            return true;
        });
    }

    int seal() {
        return sealAs("one", NOON);
    }

    int sealAs(String instance, Instant now) {
        return database.inTransaction(connection -> Chain.seal(connection, instance, LEASE, 500, now));
    }

    Head head() {
        return database.inTransaction(Chain::head);
    }

    Head headAt(long number) {
        return new Head(number, database.read("SELECT seal_hash FROM journal_entry WHERE seal_number = " + number));
    }

    Verdict verify(Head... kept) {
        return verifyAt(NOON, kept);
    }

    Verdict verifyAt(Instant now, Head... kept) {
        return database.inTransaction(connection -> Verification.of(connection, List.of(kept), UNSEALED_LIMIT, now));
    }

    /** What somebody with the password of the database can do who knows the layout: a new chain over the rows as they now are. */
    void rebuildChain() {
        database.update("UPDATE journal_entry SET seal_number = NULL, seal_hash = NULL");
        database.update("UPDATE journal_head SET seal_number = 0, seal_hash = '" + Head.EMPTY.hash() + "'");
        seal();
    }

    static Verdict.Broken broken(Verdict verdict) throws SQLException {
        if (verdict instanceof Verdict.Broken broken) {
            return broken;
        }
        throw new AssertionError("expected a broken journal, was " + verdict);
    }
}
