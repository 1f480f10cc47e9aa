package org.lampkeeper.message;

import java.sql.Connection;
import java.sql.SQLException;
import java.time.Duration;
import java.time.Instant;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.OptionalLong;
import java.util.concurrent.Callable;
import java.util.concurrent.ConcurrentLinkedQueue;
import java.util.concurrent.ExecutorService;
import java.util.concurrent.Executors;
import java.util.concurrent.Future;
import java.util.concurrent.TimeUnit;
import java.util.concurrent.atomic.AtomicInteger;

import org.lampkeeper.testing.BothDatabases;
import org.lampkeeper.testing.TestDatabase;
import org.lampkeeper.testing.Transactions;

import static org.assertj.core.api.Assertions.assertThat;
import static org.lampkeeper.message.MessageFixture.NOW;
import static org.lampkeeper.message.MessageFixture.newMessage;

class OutboxTableTest {

    private static final Duration LEASE = Duration.ofSeconds(60);
    private static final long PERSON = 1;

    private int keys;

    private void addPerson(TestDatabase database) throws SQLException {
        database.run("INSERT INTO person (id, reference, name, version) VALUES (1, 'r-1', 'M. Teal', 0)");
    }

    private long put(TestDatabase database, Instant now) {
        return put(database, Purpose.ALARM, OptionalLong.empty(), now);
    }

    private long put(TestDatabase database, Purpose purpose, OptionalLong callOut, Instant now) {
        return Transactions.in(database, connection -> OutboxTable.put(connection,
                newMessage(purpose, callOut, PERSON, "m.teal@quay.example", now), "key-" + ++keys));
    }

    private static List<OutgoingMessage> claim(TestDatabase database, int most, Instant now) {
        return Transactions.in(database, connection -> OutboxTable.claim(connection, most, true, LEASE, now));
    }

    @BothDatabases
    void claimedMessageIsWhatWasPut(TestDatabase database) throws SQLException {
        addPerson(database);
        database.run("INSERT INTO call_out (id, site_id, opened_at, told, version) VALUES (5, 3, TIMESTAMP WITH TIME ZONE '2026-11-25 02:41:00+00', 1, 0)");
        database.run("INSERT INTO alarm (id, kind, site_id, cabinet_id, state, live, since, raised_at, version) VALUES (9, 'SUPPLY_LOST', 3, 7,"
                + " 'UNACKNOWLEDGED', TRUE, TIMESTAMP WITH TIME ZONE '2026-11-25 02:41:00+00', TIMESTAMP WITH TIME ZONE '2026-11-25 02:41:20+00', 0)");
        NewMessage message = new NewMessage(Purpose.ALARM, OptionalLong.of(5), OptionalLong.of(9), PERSON, "m.teal@quay.example",
                MessageFixture.SUBJECT, MessageFixture.BODY, NOW);
        long id = Transactions.in(database, connection -> OutboxTable.put(connection, message, "the-key"));

        assertThat(claim(database, 4, NOW)).containsExactly(new OutgoingMessage(id, "the-key", Purpose.ALARM, OptionalLong.of(5),
                OptionalLong.of(9), OptionalLong.of(3), OptionalLong.of(7), PERSON, "r-1", "M. Teal", "m.teal@quay.example",
                MessageFixture.SUBJECT, MessageFixture.BODY, NOW, 0, NOW.plus(LEASE), "MAIL", id, OptionalLong.empty(), Optional.empty(), OptionalLong.empty()));
    }

    @BothDatabases
    void leasedMessageIsNotClaimedAgainBeforeItsLeaseHasRunOut(TestDatabase database) throws SQLException {
        addPerson(database);
        long id = put(database, NOW);
        String key = claim(database, 4, NOW).get(0).key();

        assertThat(claim(database, 4, NOW)).isEmpty();
        assertThat(claim(database, 4, NOW.plus(LEASE).minusNanos(1000))).isEmpty();
        assertThat(claim(database, 4, NOW.plus(LEASE))).extracting(OutgoingMessage::id, OutgoingMessage::key)
                .containsExactly(org.assertj.core.groups.Tuple.tuple(id, key));
    }

    @BothDatabases
    void oldestDueMessagesAreClaimedFirstAndNoMoreThanAsked(TestDatabase database) throws SQLException {
        addPerson(database);
        long third = put(database, NOW);
        long first = put(database, NOW.minusSeconds(2));
        long second = put(database, NOW.minusSeconds(1));
        put(database, NOW.plusSeconds(1));

        assertThat(claim(database, 2, NOW)).extracting(OutgoingMessage::id).containsExactlyInAnyOrder(first, second);
        assertThat(claim(database, 2, NOW)).extracting(OutgoingMessage::id).containsExactly(third);
    }

    @BothDatabases
    void lettersOfLooksAreClaimedAfterAllOthersAndNotAtAllWhileTheyWait(TestDatabase database) throws SQLException {
        addPerson(database);
        long look = put(database, Purpose.LOOK, OptionalLong.empty(), NOW.minusSeconds(60));
        long alarm = put(database, NOW);
        long later = put(database, NOW);

        assertThat(claim(database, 1, NOW)).extracting(OutgoingMessage::id).containsExactly(alarm);
        List<OutgoingMessage> withoutLooks = Transactions.in(database, connection -> OutboxTable.claim(connection, 4, false, LEASE, NOW));
        assertThat(withoutLooks).extracting(OutgoingMessage::id).containsExactly(later);
        assertThat(claim(database, 4, NOW)).extracting(OutgoingMessage::id).containsExactly(look);
    }

    @BothDatabases
    void claimInProgressIsSkippedNotWaitedFor(TestDatabase database) throws SQLException {
        addPerson(database);
        put(database, NOW);
        put(database, NOW);
        try (Connection other = database.connect()) {
            other.setAutoCommit(false);
            assertThat(OutboxTable.claim(other, 1, true, LEASE, NOW)).hasSize(1);

            assertThat(claim(database, 2, NOW)).hasSize(1);
            other.commit();
        }
        assertThat(claim(database, 2, NOW)).isEmpty();
    }

    @BothDatabases
    void manyClaimersGetEachMessageOnce(TestDatabase database) throws Exception {
        addPerson(database);
        int messages = 200;
        for (int i = 0; i < messages; i++) {
            put(database, NOW);
        }
        ConcurrentLinkedQueue<Long> claimed = new ConcurrentLinkedQueue<>();
        AtomicInteger left = new AtomicInteger(messages);
        ExecutorService claimers = Executors.newFixedThreadPool(6);
        List<Future<?>> running = new ArrayList<>();
        for (int claimer = 0; claimer < 6; claimer++) {
            running.add(claimers.submit((Callable<Boolean>) () -> {
                while (left.get() > 0) {
                    for (OutgoingMessage message : claim(database, 4, NOW)) {
                        claimed.add(message.id());
                        left.decrementAndGet();
                    }
                }
                return true;
            }));
        }
        for (Future<?> claimer : running) {
            claimer.get(60, TimeUnit.SECONDS);
        }
        claimers.shutdown();

        assertThat(claimed).hasSize(messages).doesNotHaveDuplicates();
    }

    @BothDatabases
    void sentMessageIsOverEvenWhenItsLeaseRanOutBeforeItWasRecorded(TestDatabase database) throws SQLException {
        addPerson(database);
        put(database, NOW);
        OutgoingMessage slow = claim(database, 1, NOW).get(0);
        OutgoingMessage again = claim(database, 1, NOW.plus(LEASE)).get(0);

        assertThat(Transactions.<Boolean> in(database, connection -> OutboxTable.sent(connection, slow, NOW))).isTrue();
        assertThat(Transactions.<Boolean> in(database, connection -> OutboxTable.sent(connection, again, NOW))).isFalse();
        assertThat(claim(database, 1, NOW.plus(LEASE).plus(LEASE))).isEmpty();
        assertThat(database.ask("SELECT state || attempts FROM outgoing_message")).isEqualTo("SENT1");
    }

    @BothDatabases
    void failureOfARunOutLeaseChangesNothing(TestDatabase database) throws SQLException {
        addPerson(database);
        put(database, NOW);
        OutgoingMessage slow = claim(database, 1, NOW).get(0);
        claim(database, 1, NOW.plus(LEASE));

        assertThat(Transactions.<Boolean> in(database, connection -> OutboxTable.tryAgain(connection, slow, "late", NOW))).isFalse();
        assertThat(Transactions.<Boolean> in(database, connection -> OutboxTable.undelivered(connection, slow, "late", NOW))).isFalse();
        assertThat(database.ask("SELECT state || attempts FROM outgoing_message")).isEqualTo("WAITING0");
    }

    @BothDatabases
    void failedAttemptIsDueAgainWhenToldAndCounts(TestDatabase database) throws SQLException {
        addPerson(database);
        put(database, NOW);
        OutgoingMessage message = claim(database, 1, NOW).get(0);
        Instant later = NOW.plusSeconds(5);
        Transactions.in(database, connection -> OutboxTable.tryAgain(connection, message, "x".repeat(1000), later));

        assertThat(claim(database, 1, later.minusMillis(1))).isEmpty();
        assertThat(claim(database, 1, later)).extracting(OutgoingMessage::attempts).containsExactly(1);
        assertThat(database.ask("SELECT last_error FROM outgoing_message").toString()).hasSize(400);
    }

    @BothDatabases
    void callOutIsTakenOrOverOnceEitherTimeIsSet(TestDatabase database) throws SQLException {
        String insert = "INSERT INTO call_out (id, site_id, opened_at, told, version, %s) VALUES (%d, 3, CURRENT_TIMESTAMP, 1, 0, %s)";
        database.run(insert.formatted("taken_at", 1, "NULL"));
        database.run(insert.formatted("taken_at", 2, "CURRENT_TIMESTAMP"));
        database.run(insert.formatted("ended_at", 3, "CURRENT_TIMESTAMP"));

        Transactions.in(database, connection -> {
            assertThat(OutboxTable.isTakenOrOver(connection, 1)).isFalse();
            assertThat(OutboxTable.isTakenOrOver(connection, 2)).isTrue();
            assertThat(OutboxTable.isTakenOrOver(connection, 3)).isTrue();
            return true;
        });
    }

    @BothDatabases
    void figuresCountWhatHasNotLeft(TestDatabase database) throws SQLException {
        addPerson(database);
        assertThat(Transactions.in(database, OutboxTable::waiting)).isEqualTo(new OutboxTable.Waiting(0, Optional.empty()));
        put(database, NOW);
        put(database, NOW.plusSeconds(1));
        put(database, NOW.plusSeconds(2));
        OutgoingMessage oldest = claim(database, 1, NOW).get(0);
        assertThat(Transactions.in(database, OutboxTable::waiting)).isEqualTo(new OutboxTable.Waiting(3, Optional.of(NOW)));

        Transactions.in(database, connection -> OutboxTable.sent(connection, oldest, NOW));

        assertThat(Transactions.in(database, OutboxTable::waiting)).isEqualTo(new OutboxTable.Waiting(2, Optional.of(NOW.plusSeconds(1))));
    }

    @BothDatabases
    void outageBeginsWithTheFirstFailureOpensTheCircuitAtTheLastAndEndsWithASuccess(TestDatabase database) {
        Instant pause = NOW.plusSeconds(10);
        Transactions.in(database, connection -> {
            assertThat(ChannelHealthTable.of(connection, "SMS")).isEmpty();
            assertThat(ChannelHealthTable.works(connection, "SMS")).isFalse();
            ChannelHealthTable.add(connection, "SMS");
            ChannelHealthTable.failed(connection, "SMS", "refused", 2, pause, NOW);
            assertThat(ChannelHealthTable.of(connection, "SMS").orElseThrow())
                    .isEqualTo(new ChannelHealthTable.Health(1, Optional.of(NOW), Optional.empty(), Optional.of("refused")));
            ChannelHealthTable.failed(connection, "SMS", "silent", 2, pause, NOW.plusSeconds(1));
            ChannelHealthTable.Health open = ChannelHealthTable.of(connection, "SMS").orElseThrow();
            assertThat(open).isEqualTo(new ChannelHealthTable.Health(2, Optional.of(NOW), Optional.of(pause), Optional.of("silent")));
            assertThat(open.isOpen(pause.minusMillis(1))).isTrue();
            assertThat(open.isOpen(pause)).isFalse();
            assertThat(ChannelHealthTable.mayTry(connection, "SMS", pause, pause.plusSeconds(20))).isTrue();
            assertThat(ChannelHealthTable.mayTry(connection, "SMS", pause, pause.plusSeconds(20))).isFalse();
            assertThat(ChannelHealthTable.works(connection, "SMS")).isTrue();
            assertThat(ChannelHealthTable.of(connection, "SMS").orElseThrow())
                    .isEqualTo(new ChannelHealthTable.Health(0, Optional.empty(), Optional.empty(), Optional.empty()));
            return true;
        });
    }

    @BothDatabases
    void receiptIsKeptUntilItIsClaimedAndTheNewestCounts(TestDatabase database) {
        Transactions.in(database, connection -> {
            OutboxTable.keepReceipt(connection, "SMS", "a1", false, "expired", NOW);
            OutboxTable.keepReceipt(connection, "SMS", "a1", true, "", NOW.plusSeconds(1));
            assertThat(OutboxTable.earlyReceipt(connection, "SMS", "a1")).contains(new OutboxTable.Receipt(true, "", NOW.plusSeconds(1)));
            assertThat(OutboxTable.earlyReceipt(connection, "VOICE", "a1")).isEmpty();
            OutboxTable.dropReceipts(connection, NOW.plusSeconds(1));
            assertThat(OutboxTable.earlyReceipt(connection, "SMS", "a1")).isPresent();
            OutboxTable.dropReceipts(connection, NOW.plusSeconds(2));
            assertThat(OutboxTable.earlyReceipt(connection, "SMS", "a1")).isEmpty();
            return true;
        });
    }

    @BothDatabases
    void receiptIsMatchedToItsMessageOnceByTheNetworksNameForIt(TestDatabase database) throws SQLException {
        addPerson(database);
        put(database, NOW);
        OutgoingMessage message = claim(database, 1, NOW).get(0);
        Transactions.in(database, connection -> {
            OutboxTable.sent(connection, message, NOW);
            OutboxTable.networkId(connection, message, "a1");
            assertThat(OutboxTable.lockByNetworkId(connection, "SMS", "a1")).isEmpty();
            assertThat(OutboxTable.lockByNetworkId(connection, "MAIL", "a1").map(OutgoingMessage::id)).contains(message.id());
            assertThat(OutboxTable.notArrived(connection, message, "no such number", NOW)).isTrue();
            assertThat(OutboxTable.arrived(connection, message, NOW)).isFalse();
            return true;
        });
        assertThat(database.ask("SELECT state || ' ' || arrival || ' ' || last_error FROM outgoing_message")).isEqualTo("UNDELIVERED NOT_ARRIVED no such number");
    }

    @BothDatabases
    void channelsOfAPersonKeepTheirOrderAndFollowTheSignInAddress(TestDatabase database) throws SQLException {
        addPerson(database);
        Transactions.in(database, connection -> {
            PersonChannelTable.add(connection, PERSON, "MAIL", "m.teal@quay.example", true, NOW);
            PersonChannelTable.add(connection, PERSON, "SMS", "+447700900123", false, NOW);
            List<PersonChannel> had = PersonChannelTable.ofPeople(connection, List.of(PERSON, 99L));
            assertThat(had).extracting(PersonChannel::kind, PersonChannel::place).containsExactly(
                    org.assertj.core.groups.Tuple.tuple("MAIL", 1), org.assertj.core.groups.Tuple.tuple("SMS", 2));
            assertThat(PersonChannelTable.proven(connection, had.get(0).id(), had.get(0).address(), ProofAnswer.SILENT, NOW.minusSeconds(60))).isTrue();
            assertThat(PersonChannelTable.proven(connection, had.get(0).id(), had.get(0).address(), ProofAnswer.ARRIVED, NOW)).isTrue();
            assertThat(PersonChannelTable.ofPeople(connection, List.of(PERSON)).get(0)).satisfies(mail -> {
                assertThat(mail.provenAt()).contains(NOW);
                assertThat(mail.night()).contains(new PersonChannel.Night(ProofAnswer.SILENT, NOW.minusSeconds(60)));
            });
            assertThat(PersonChannelTable.moveSignIn(connection, PERSON, "teal@quay.example")).isTrue();
            PersonChannelTable.place(connection, had.get(1).id(), 0);
            assertThat(PersonChannelTable.ofPeople(connection, List.of(PERSON))).extracting(PersonChannel::address, PersonChannel::provenAt)
                    .containsExactly(org.assertj.core.groups.Tuple.tuple("+447700900123", Optional.empty()),
                            org.assertj.core.groups.Tuple.tuple("teal@quay.example", Optional.empty()));
            PersonChannelTable.removeSignIn(connection, PERSON);
            assertThat(PersonChannelTable.ofPeople(connection, List.of(PERSON))).hasSize(1);
            return true;
        });
    }
}
