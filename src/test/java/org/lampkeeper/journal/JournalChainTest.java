package org.lampkeeper.journal;

import java.sql.Connection;
import java.sql.SQLException;
import java.time.Duration;
import java.time.Instant;
import java.util.ArrayList;
import java.util.List;
import java.util.OptionalLong;
import java.util.concurrent.Callable;
import java.util.concurrent.ExecutorService;
import java.util.concurrent.Executors;
import java.util.concurrent.Future;
import java.util.concurrent.TimeUnit;
import java.util.concurrent.atomic.AtomicBoolean;

import org.lampkeeper.journal.Verdict.Broken;
import org.lampkeeper.journal.Verdict.Fault;
import org.lampkeeper.journal.Verdict.Intact;
import org.lampkeeper.testing.BothDatabases;
import org.lampkeeper.testing.TestDatabase;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;
import static org.lampkeeper.journal.JournalFixture.NOON;
import static org.lampkeeper.journal.JournalFixture.broken;

class JournalChainTest {

    @BothDatabases
    void chainOfUntouchedEntriesIsIntact(TestDatabase database) {
        JournalFixture journal = JournalFixture.sealed(database, 12);

        Verdict verdict = journal.verify(Head.EMPTY, journal.headAt(4), journal.head());

        assertThat(verdict).isEqualTo(new Intact(journal.headAt(12)));
    }

    @BothDatabases
    void emptyJournalIsIntact(TestDatabase database) {
        assertThat(new JournalFixture(database).verify()).isEqualTo(new Intact(Head.EMPTY));
    }

    @BothDatabases
    void chainLongerThanAPageIsWalkedToItsEnd(TestDatabase database) throws SQLException {
        JournalFixture journal = new JournalFixture(database);
        journal.inTransaction(connection -> {
            for (int i = 0; i < 2000; i++) {
                Chain.append(connection, Entry.of(NOON, "report-heard").with("count", i));
            }
            return true;
        });
        for (int i = 0; i < 4; i++) {
            assertThat(journal.seal()).isEqualTo(500);
        }

        assertThat(journal.verify()).isEqualTo(new Intact(journal.headAt(2000)));

        journal.run("UPDATE journal_entry SET body = '{\"count\":0}' WHERE seal_number = 1999");
        assertThat(broken(journal.verify()).number()).isEqualTo(1999);
    }

    @BothDatabases
    void editedEntryIsNoticedWhateverColumnWasEdited(TestDatabase database) throws SQLException {
        for (String edit : List.of("body = '{\"count\":6}'", "kind = 'loss-confirmed'", "site_id = 4", "site_id = NULL", "cabinet_id = 8",
                "alarm_id = 0", "at = at + INTERVAL '1' SECOND", "seal_hash = '" + "a".repeat(64) + "'", "seal_hash = 'none'", "seal_salt = '" + "0".repeat(32) + "'", "seal_salt = NULL", "seal_salt = 'none'")) {
            JournalFixture journal = JournalFixture.sealed(database, 9);
            journal.run("UPDATE journal_entry SET " + edit + " WHERE seal_number = 5");

            assertThat(broken(journal.verify())).as(edit).extracting(Broken::fault, Broken::number).containsExactly(Fault.EDITED, 5L);
        }
    }

    @BothDatabases
    void editThatAlsoReplacesTheEntrysHashIsNoticedAtTheNextEntry(TestDatabase database) throws SQLException {
        JournalFixture journal = JournalFixture.sealed(database, 9);
        Head before = journal.headAt(4);
        Head forged = new Link(NOON, "report-heard", OptionalLong.empty(), OptionalLong.empty(),
                OptionalLong.empty(), "{}", "5".repeat(32)).after(before);
        journal.run("UPDATE journal_entry SET at = '2026-11-25 12:00:00+00', site_id = NULL, cabinet_id = NULL, body = '{}',"
                + " seal_hash = '" + forged.hash() + "', seal_salt = '" + "5".repeat(32) + "' WHERE seal_number = 5");

        assertThat(broken(journal.verify())).extracting(Broken::fault, Broken::number).containsExactly(Fault.EDITED, 6L);
    }

    @BothDatabases
    void deletedEntryIsAGap(TestDatabase database) throws SQLException {
        JournalFixture journal = JournalFixture.sealed(database, 9);
        journal.run("DELETE FROM journal_entry WHERE seal_number = 5");

        assertThat(broken(journal.verify())).extracting(Broken::fault, Broken::number).containsExactly(Fault.MISSING, 5L);
    }

    @BothDatabases
    void deletedTailIsNoticedByTheJournalsOwnHead(TestDatabase database) throws SQLException {
        JournalFixture journal = JournalFixture.sealed(database, 9);
        journal.run("DELETE FROM journal_entry WHERE seal_number > 6");

        assertThat(broken(journal.verify())).extracting(Broken::fault, Broken::number).containsExactly(Fault.TAIL_CUT, 7L);
    }

    @BothDatabases
    void deletedTailWithAnAdjustedHeadIsNoticedByAKeptHeadOnly(TestDatabase database) throws SQLException {
        JournalFixture journal = JournalFixture.sealed(database, 9);
        Head fromAMail = journal.head();
        journal.run("DELETE FROM journal_entry WHERE seal_number > 6");
        journal.run("UPDATE journal_head SET seal_number = 6, seal_hash = '" + journal.headAt(6).hash() + "'");

        assertThat(journal.verify()).isInstanceOf(Intact.class);
        assertThat(broken(journal.verify(fromAMail))).extracting(Broken::fault, Broken::number).containsExactly(Fault.TAIL_CUT, 7L);
    }

    @BothDatabases
    void journalDeletedAsAWholeIsNoticedByAKeptHead(TestDatabase database) throws SQLException {
        JournalFixture journal = JournalFixture.sealed(database, 9);
        Head fromAMail = journal.head();
        journal.run("DELETE FROM journal_entry");
        journal.run("UPDATE journal_head SET seal_number = 0, seal_hash = '" + Head.EMPTY.hash() + "'");

        assertThat(broken(journal.verify(fromAMail))).extracting(Broken::fault, Broken::number).containsExactly(Fault.TAIL_CUT, 1L);
    }

    @BothDatabases
    void rebuiltChainIsConsistentInItselfAndNoticedByAKeptHead(TestDatabase database) throws SQLException {
        JournalFixture journal = JournalFixture.sealed(database, 9);
        Head fromAMail = journal.headAt(7);
        journal.run("UPDATE journal_entry SET body = '{\"count\":0}' WHERE seal_number = 2");
        journal.rebuildChain();

        assertThat(journal.verify()).isInstanceOf(Intact.class);
        assertThat(broken(journal.verify(fromAMail))).extracting(Broken::fault, Broken::number).containsExactly(Fault.REBUILT, 7L);
    }

    @BothDatabases
    void headThatWasSetBackIsNoticed(TestDatabase database) throws SQLException {
        JournalFixture journal = JournalFixture.sealed(database, 9);
        journal.run("UPDATE journal_head SET seal_number = 6, seal_hash = '" + journal.headAt(6).hash() + "'");
        assertThat(broken(journal.verify())).extracting(Broken::fault, Broken::number).containsExactly(Fault.HEAD_MOVED, 6L);

        journal.run("UPDATE journal_head SET seal_number = 9, seal_hash = '" + "b".repeat(64) + "'");
        assertThat(broken(journal.verify())).extracting(Broken::fault, Broken::number).containsExactly(Fault.HEAD_MOVED, 9L);
    }

    @BothDatabases
    void entryLeftUnsealedIsReportedAfterTheLimit(TestDatabase database) throws SQLException {
        JournalFixture journal = JournalFixture.sealed(database, 3);
        journal.append(Entry.of(NOON, "loss-confirmed"));

        assertThat(journal.verifyAt(NOON.plus(JournalFixture.UNSEALED_LIMIT))).isInstanceOf(Intact.class);
        assertThat(broken(journal.verifyAt(NOON.plus(JournalFixture.UNSEALED_LIMIT).plusSeconds(1)))).extracting(Broken::fault, Broken::number)
                .containsExactly(Fault.UNSEALED, 4L);
    }

    @BothDatabases
    void entryOfARolledBackTransactionIsNotThere(TestDatabase database) {
        JournalFixture journal = JournalFixture.sealed(database, 1);

        assertThatThrownBy(() -> journal.inTransaction(connection -> {
            Chain.append(connection, Entry.of(NOON, "loss-confirmed"));
            throw new IllegalStateException("the caller failed");
        })).hasMessage("the caller failed");

        assertThat(journal.seal()).isZero();
        assertThat(journal.verify()).isEqualTo(new Intact(journal.headAt(1)));
    }

    @BothDatabases
    void entryCommittedAfterALaterOneIsChainedBehindIt(TestDatabase database) throws SQLException {
        JournalFixture journal = new JournalFixture(database);
        try (Connection slow = journal.database.connect()) {
            slow.setAutoCommit(false);
            Chain.append(slow, Entry.of(NOON, "slow-one"));
            journal.append(Entry.of(NOON, "quick-one"));
            assertThat(journal.seal()).isEqualTo(1);
            slow.commit();
        }
        assertThat(journal.seal()).isEqualTo(1);

        assertThat(journal.read("SELECT kind FROM journal_entry WHERE seal_number = 2")).isEqualTo("slow-one");
        assertThat(journal.verify()).isEqualTo(new Intact(journal.headAt(2)));
    }

    @BothDatabases
    void onlyTheHolderOfTheLeaseSealsUntilItRunsOut(TestDatabase database) {
        JournalFixture journal = new JournalFixture(database);
        assertThat(journal.sealAs("one", NOON)).isZero();
        journal.append(Entry.of(NOON, "loss-confirmed"));

        assertThat(journal.sealAs("two", NOON.plus(JournalFixture.LEASE).minusMillis(1))).isZero();
        assertThat(journal.sealAs("two", NOON.plus(JournalFixture.LEASE))).isEqualTo(1);
        journal.append(Entry.of(NOON, "supply-returned"));
        assertThat(journal.sealAs("one", NOON.plus(JournalFixture.LEASE).plusMillis(1))).isZero();
    }

    @BothDatabases
    void twoSealersWithClocksAnHourApartAndManyWritersMakeOneChain(TestDatabase database) throws Exception {
        JournalFixture journal = new JournalFixture(database);
        AtomicBoolean writing = new AtomicBoolean(true);
        ExecutorService threads = Executors.newFixedThreadPool(8);
        List<Future<?>> running = new ArrayList<>();
        for (String instance : List.of("one", "two")) {
            // each takes the other's lease for run out all the time: the row lock alone must keep the chain whole
            Instant clock = instance.equals("one") ? NOON : NOON.plus(Duration.ofHours(1));
            running.add(threads.submit((Callable<Boolean>) () -> {
                boolean more = true;
                while (more) {
                    boolean last = !writing.get();
                    journal.run("UPDATE journal_head SET leased_until = NULL WHERE leased_by = '" + instance + "'");
                    more = journal.sealAs(instance, clock) > 0 || !last;
                }
                return true;
            }));
        }
        List<Future<?>> writers = new ArrayList<>();
        for (int writer = 0; writer < 6; writer++) {
            int name = writer;
            writers.add(threads.submit(() -> {
                for (int i = 0; i < 50; i++) {
                    journal.append(Entry.of(NOON, "report-heard").site(name).with("count", i));
                }
            }));
        }
        for (Future<?> writer : writers) {
            writer.get(60, TimeUnit.SECONDS);
        }
        writing.set(false);
        for (Future<?> sealer : running) {
            sealer.get(60, TimeUnit.SECONDS);
        }
        threads.shutdown();
        journal.sealAs("three", NOON.plus(Duration.ofDays(1)));

        assertThat(journal.read("SELECT COUNT(*) FROM journal_entry WHERE seal_number BETWEEN 1 AND 300")).isEqualTo("300");
        assertThat(journal.verify()).isEqualTo(new Intact(journal.headAt(300)));
    }
}
