package org.lampkeeper.message;

import java.sql.Connection;
import java.sql.PreparedStatement;
import java.sql.ResultSet;
import java.sql.SQLException;
import java.sql.Statement;
import java.time.Clock;
import java.time.Duration;
import java.util.ArrayList;
import java.util.Collections;
import java.util.List;
import java.util.Optional;
import java.util.OptionalLong;
import java.util.UUID;
import java.util.concurrent.CopyOnWriteArrayList;
import java.util.concurrent.atomic.AtomicInteger;

import javax.sql.DataSource;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.enterprise.event.Observes;
import jakarta.inject.Inject;
import jakarta.mail.internet.MimeMessage;

import io.quarkus.narayana.jta.QuarkusTransaction;
import io.quarkus.test.common.TestResourceScope;
import io.quarkus.test.common.WithTestResource;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;

import org.lampkeeper.journal.Entry;
import org.lampkeeper.journal.Head;
import org.lampkeeper.journal.Journal;
import org.lampkeeper.journal.JournalVerifier;
import org.lampkeeper.journal.Verdict;
import org.lampkeeper.register.By;
import org.lampkeeper.register.NewPerson;
import org.lampkeeper.register.Registration;
import org.lampkeeper.testing.GatewayCounterpart;
import org.lampkeeper.testing.GatewayResource;
import org.lampkeeper.testing.HookReceiver;
import org.lampkeeper.testing.HookReceiver.Received;
import org.lampkeeper.testing.MailServer;
import org.lampkeeper.testing.MailServerResource;
import org.lampkeeper.testing.MovedClock;
import org.lampkeeper.testing.PushPhone;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;
import static org.awaitility.Awaitility.await;

/** What the outbox promises in a running application, with a real mail server, whatever database it stands on. */
@WithTestResource(value = MailServerResource.class, scope = TestResourceScope.GLOBAL)
@WithTestResource(value = GatewayResource.class, scope = TestResourceScope.GLOBAL)
abstract class DeliveryContract {

    private static final Duration SOON = Duration.ofSeconds(20);
    /** Ofcom's range for drama ends at +44 7700 900999. */
    private static final AtomicInteger NUMBERS = new AtomicInteger();

    @Inject
    Outbox outbox;
    @Inject
    LookLetters lookLetters;
    @Inject
    MailHealth health;
    @Inject
    Deliveries deliveries;
    @Inject
    MailChannel channel;
    @Inject
    Channels channels;
    @Inject
    PersonChannels personChannels;
    @Inject
    Arrivals arrivals;
    @Inject
    LampChannel lamp;
    @Inject
    SpareLampChannel spare;
    @Inject
    MessageConfig config;
    @Inject
    Journal journal;
    @Inject
    JournalVerifier verifier;
    @Inject
    Registration registration;
    @Inject
    DataSource database;
    @Inject
    Clock clock;
    @Inject
    MovedClock moved;
    @Inject
    Failures failures;
    @Inject
    PushSubscriptions push;

    private final MailServer server = MailServer.shared();
    private final String address = UUID.randomUUID().toString().substring(0, 8) + "@quay.example";
    private final GatewayCounterpart provider = GatewayCounterpart.shared();
    private final String number = "+447700" + (900_000 + NUMBERS.incrementAndGet());
    private long person;

    /** Hears what the call-out will hear. */
    @ApplicationScoped
    static class Failures {
        private final List<MessageUndelivered> heard = new CopyOnWriteArrayList<>();

        List<MessageUndelivered> heard() {
            return heard;
        }

        void undelivered(@Observes MessageUndelivered event) {
            heard.add(event);
        }
    }

    @AfterEach
    void noOtherTestKnowsTheLamp() {
        lamp.darken();
        spare.ready(false);
        provider.behaves(GatewayCounterpart.Manner.ANSWERS);
        provider.answers(200, "{\"id\":\"c-1\"}");
    }

    @BeforeEach
    void somebodyIsRegistered() {
        person = registration.addPerson(new NewPerson("M. Teal", java.util.Optional.of(address), java.util.Optional.empty()), By.nobody(java.time.Instant.EPOCH)).personId();
    }

    private long put(Purpose purpose, OptionalLong callOut, String to) {
        return QuarkusTransaction.requiringNew()
                .call(() -> outbox.put(MessageFixture.newMessage(purpose, callOut, person, to, clock.instant())));
    }

    private long put() {
        return put(Purpose.ALARM, OptionalLong.empty(), address);
    }

    private long callOut(boolean taken) throws SQLException {
        long id = Long.parseLong(ask("SELECT nextval('call_out_seq')"));
        run("INSERT INTO call_out (id, site_id, opened_at, phase, told, version, taken_at) VALUES (" + id + ", 0, CURRENT_TIMESTAMP, 'RESTING', 1, 0, "
                + (taken ? "CURRENT_TIMESTAMP" : "NULL") + ")");
        return id;
    }

    private String state(long message) throws SQLException {
        return ask("SELECT state FROM outgoing_message WHERE id = " + message);
    }

    private List<String> journalled(long message) throws SQLException {
        List<String> kinds = new ArrayList<>();
        String key = ask("SELECT message_key FROM outgoing_message WHERE id = " + message);
        try (Connection connection = database.getConnection();
                PreparedStatement select = connection.prepareStatement("SELECT kind, body FROM journal_entry WHERE body LIKE ? ORDER BY id")) {
            select.setString(1, "%\"message\":\"" + key + "\"%");
            try (ResultSet row = select.executeQuery()) {
                while (row.next()) {
                    kinds.add(row.getString(1));
                    assertThat(row.getString(2)).doesNotContain("@", "M. Teal").contains("\"person\":\"");
                }
            }
        }
        return kinds;
    }

    /** Has no row before its first failure. */
    private void awaitLeftAlone(String channel) {
        await().atMost(SOON).untilAsserted(() -> assertThat(ask("SELECT CASE WHEN open_until IS NULL THEN 'closed' ELSE 'open' END FROM channel_health"
                + " WHERE kind = '" + channel + "'")).isEqualTo("open"));
    }

    private String ask(String sql) throws SQLException {
        try (Connection connection = database.getConnection(); Statement statement = connection.createStatement();
                ResultSet row = statement.executeQuery(sql)) {
            assertThat(row.next()).as(sql).isTrue();
            return row.getString(1);
        }
    }

    private void run(String sql) throws SQLException {
        try (Connection connection = database.getConnection(); Statement statement = connection.createStatement()) {
            statement.execute(sql);
        }
    }

    @Test
    void putMessageArrivesOnceAndIsJournalled() throws Exception {
        long id = put();

        await().atMost(SOON).until(() -> state(id).equals("SENT"));
        List<MimeMessage> mails = server.receivedBy(address);
        assertThat(mails).hasSize(1);
        assertThat(mails.get(0).getHeader("Message-ID")).containsExactly(
                "<" + ask("SELECT message_key FROM outgoing_message WHERE id = " + id) + "@watch.example>");
        assertThat(journalled(id)).containsExactly("message-sent");
    }

    @Test
    void messageOfARolledBackTransactionIsNeverSent() {
        assertThatThrownBy(() -> QuarkusTransaction.requiringNew().run(() -> {
            outbox.put(MessageFixture.newMessage(Purpose.ALARM, OptionalLong.empty(), person, address, clock.instant()));
            throw new IllegalStateException("the caller failed");
        })).hasMessage("the caller failed");
        put(Purpose.ALARM, OptionalLong.empty(), "later-" + address);

        await().atMost(SOON).until(() -> server.receivedBy("later-" + address).size() == 1);
        assertThat(server.receivedBy(address)).noneMatch(mail -> isExactlyTo(mail, address));
    }

    private static boolean isExactlyTo(MimeMessage mail, String address) {
        try {
            return mail.getHeader("To", ",").equals(address);
        } catch (jakarta.mail.MessagingException unreadable) {
            throw new IllegalStateException(unreadable);
        }
    }

    @Test
    void alarmThatIsTakenBeforeItIsSentIsNotSentButANoticeIs() throws Exception {
        long taken = callOut(true);
        long open = callOut(false);

        long notNeeded = put(Purpose.ALARM, OptionalLong.of(taken), address);
        long needed = put(Purpose.ALARM, OptionalLong.of(open), address);
        long notice = put(Purpose.NOTICE, OptionalLong.of(taken), address);

        await().atMost(SOON).until(() -> List.of(state(notNeeded), state(needed), state(notice)).equals(List.of("NOT_NEEDED", "SENT", "SENT")));
        assertThat(server.receivedBy(address)).hasSize(2);
        assertThat(journalled(notNeeded)).containsExactly("message-not-needed");
    }

    @Test
    void messageWaitsForAServerThatIsDownAndThenArrivesOnce() throws Exception {
        server.stop();
        long id;
        try {
            id = put();
            await().atMost(SOON).until(() -> journalled(id).contains("message-attempt-failed"));
            assertThat(state(id)).isEqualTo("WAITING");
            assertThat(outbox.waiting()).isPositive();
            assertThat(outbox.oldestWaitingSince()).isPresent();
            assertThat(health.failingSince()).isPresent();
        } finally {
            server.startAgain();
        }
        isTriedAgainUntilItIsSent(id);

        assertThat(server.receivedBy(address)).hasSize(1);
        assertThat(health.failingSince()).isEmpty();
        assertThat(journalled(id)).startsWith("message-attempt-failed").endsWith("message-sent");
    }

    @Test
    void lettersOfLooksWaitWhileOthersLeaveAndThenLeaveAtOnce() throws Exception {
        lookLetters.letWait(true);
        long look;
        try {
            look = put(Purpose.LOOK, OptionalLong.empty(), address);
            long alarm = put();
            await().atMost(SOON).until(() -> state(alarm).equals("SENT"));
            assertThat(state(look)).isEqualTo("WAITING");
        } finally {
            lookLetters.letWait(false);
        }

        await().atMost(SOON).until(() -> state(look).equals("SENT"));
    }

    /** The first try at a server that has just come back may meet its silence, which costs that try the whole time-out. */
    private void isTriedAgainUntilItIsSent(long id) {
        AtomicInteger pausesSkipped = new AtomicInteger();
        await().atMost(config.lease().plus(SOON)).until(() -> {
            if (Collections.frequency(journalled(id), "message-attempt-failed") > pausesSkipped.get()) {
                pausesSkipped.incrementAndGet();
                moved.advance(Duration.ofSeconds(30));
            }
            return state(id).equals("SENT");
        });
    }

    @Test
    void messageThatNoAddressCanTakeIsUndeliveredAtOnceAndHeardOfInTheSameTransaction() throws Exception {
        long id = put(Purpose.ALARM, OptionalLong.of(callOut(false)), "no address");

        await().atMost(SOON).until(() -> state(id).equals("UNDELIVERED"));
        assertThat(journalled(id)).containsExactly("message-undelivered");
        assertThat(failures.heard()).filteredOn(event -> event.messageId() == id).hasSize(1)
                .allSatisfy(event -> assertThat(event.personId()).isEqualTo(person));
    }

    @Test
    void messageThatCouldNotBeHandedOverForADayIsUndelivered() throws Exception {
        server.stop();
        try {
            long id = put();
            await().atMost(SOON).until(() -> journalled(id).contains("message-attempt-failed"));
            moved.advance(config.giveUpAfter());

            await().atMost(SOON).until(() -> state(id).equals("UNDELIVERED"));
            assertThat(journalled(id)).endsWith("message-undelivered");
            assertThat(failures.heard()).anyMatch(event -> event.messageId() == id);
        } finally {
            server.startAgain();
        }
    }

    @Test
    void messageOfAnInstanceThatDiedAfterSendingIsSentAgainUnderTheSameMessageId() throws Exception {
        long id = QuarkusTransaction.requiringNew().call(() -> {
            long put = outbox.put(MessageFixture.newMessage(Purpose.ALARM, OptionalLong.empty(), person, address, clock.instant()));
            // The other instance claims within this transaction, so that ours cannot be first, sends, and dies before it records.
            try (Connection connection = database.getConnection()) {
                OutgoingMessage claimed = OutboxTable.claim(connection, 100, true, config.lease(), clock.instant()).stream()
                        .filter(message -> message.id() == put).findFirst().orElseThrow();
                assertThat(channel.handOver(new OutgoingMail(claimed, MailChannels.sender(config), config.address(""), Optional.empty(), Head.EMPTY)))
                        .isEqualTo(new Handover.Accepted());
            }
            return put;
        });
        assertThat(server.receivedBy(address)).hasSize(1);
        assertThat(state(id)).isEqualTo("WAITING");
        moved.advance(config.lease().plusSeconds(1));

        await().atMost(SOON).until(() -> state(id).equals("SENT"));
        List<MimeMessage> mails = server.receivedBy(address);
        assertThat(mails).hasSize(2);
        assertThat(mails.get(0).getMessageID()).isEqualTo(mails.get(1).getMessageID());
    }

    @Test
    void twoDispatchersSendEachMessageOnce() throws Exception {
        Dispatcher second = new Dispatcher(deliveries, channels, config);
        second.start(null);
        int messages = 100;
        try {
            for (int i = 0; i < messages; i++) {
                put();
                if (i % 10 == 9) {
                    second.put(new Outbox.Put());
                }
            }
            await().atMost(Duration.ofSeconds(60)).until(() -> server.receivedBy(address).size() >= messages);
        } finally {
            second.stop(null);
        }

        assertThat(server.receivedBy(address)).hasSize(messages);
        assertThat(server.receivedBy(address).stream().map(DeliveryContract::id).distinct()).hasSize(messages);
    }

    private static String id(MimeMessage mail) {
        try {
            return mail.getMessageID();
        } catch (jakarta.mail.MessagingException unreadable) {
            throw new IllegalStateException(unreadable);
        }
    }

    private void tell(Purpose purpose) {
        assertThat(QuarkusTransaction.requiringNew().call(() -> outbox.tell(MessageFixture.newMessage(purpose, OptionalLong.empty(), person, "",
                clock.instant())))).isTrue();
    }

    private String fates() throws SQLException {
        return ask("SELECT COALESCE(STRING_AGG(channel || ' ' || state || COALESCE(' ' || arrival, ''), ', ' ORDER BY id), '') FROM outgoing_message"
                + " WHERE person_id = " + person);
    }

    private PersonChannel addLamp(boolean first) {
        By by = By.nobody(clock.instant());
        lamp.light();
        PersonChannel added = QuarkusTransaction.requiringNew().call(() -> personChannels.add(person, LampChannel.KIND, "lamp of " + address, by));
        if (first) {
            QuarkusTransaction.requiringNew().run(() -> personChannels.move(person, added.id(), -1, by));
        }
        return added;
    }

    private void prove() {
        QuarkusTransaction.requiringNew().run(() -> personChannels.of(person)
                .forEach(it -> personChannels.proven(it, ProofAnswer.ARRIVED, By.nobody(clock.instant()))));
    }

    @Test
    void alarmGoesByTheFirstProvenChannelAlone() throws Exception {
        addLamp(true);
        prove();

        tell(Purpose.ALARM);

        await().atMost(SOON).until(() -> fates().equals("LAMP SENT"));
    }

    @Test
    void alarmGoesByEveryChannelWhileNoneIsProvenAndANoticeByTheFirst() throws Exception {
        addLamp(true);

        tell(Purpose.ALARM);
        tell(Purpose.NOTICE);

        await().atMost(SOON).until(() -> fates().equals("LAMP SENT, MAIL SENT, LAMP SENT"));
    }

    @Test
    void refusedAlarmGoesByTheNextChannelAndNobodyIsCalledUnreachable() throws Exception {
        addLamp(true);
        prove();
        lamp.answers(new Handover.Refused("no such lamp"));

        tell(Purpose.ALARM);

        await().atMost(SOON).until(() -> fates().equals("LAMP UNDELIVERED, MAIL SENT"));
        assertThat(server.receivedBy(address)).hasSize(1);
        assertThat(failures.heard()).noneMatch(event -> event.personId() == person);
    }

    @Test
    void personIsUnreachableOnceTheLastOfTheirChannelsHasFailed() throws Exception {
        QuarkusTransaction.requiringNew().run(() -> registration.changePerson(person, 0, new NewPerson("M. Teal", java.util.Optional.empty(),
                java.util.Optional.empty()), By.nobody(clock.instant())));
        addLamp(true);
        lamp.answers(new Handover.Refused("no such lamp"));

        tell(Purpose.ALARM);

        await().atMost(SOON).until(() -> fates().equals("LAMP UNDELIVERED"));
        assertThat(failures.heard()).filteredOn(event -> event.personId() == person).hasSize(1);
    }

    @Test
    void alarmThatAChannelDoesNotTakeForLongGoesByTheNextAsWellAndStillWaitsForTheFirst() throws Exception {
        addLamp(true);
        prove();
        lamp.answers(new Handover.Deferred("busy"));
        tell(Purpose.ALARM);
        await().atMost(SOON).until(() -> ask("SELECT attempts FROM outgoing_message WHERE person_id = " + person).equals("1"));

        moved.advance(config.nextChannelAfter());
        await().atMost(SOON).until(() -> fates().equals("LAMP WAITING, MAIL SENT"));
        lamp.answers(new Handover.Accepted());
        moved.advance(Duration.ofMinutes(1));

        await().atMost(SOON).until(() -> fates().equals("LAMP SENT, MAIL SENT"));
    }

    @Test
    void channelThatFailsAgainAndAgainIsLeftAloneAndItsAlarmsGoByTheNextAtOnce() throws Exception {
        addLamp(true);
        prove();
        lamp.answers(new Handover.Unreachable("dark"));
        for (int i = 0; i < config.circuitAfter(); i++) {
            tell(Purpose.ALARM);
        }
        awaitLeftAlone("LAMP");
        int tried = lamp.tries();

        tell(Purpose.ALARM);

        await().atMost(SOON).until(() -> fates().contains("MAIL SENT"));
        assertThat(lamp.tries()).isEqualTo(tried);
        lamp.answers(new Handover.Accepted());
        moved.advance(Duration.ofMinutes(1));
        await().atMost(SOON).until(() -> !fates().contains("WAITING"));
        assertThat(ask("SELECT failures FROM channel_health WHERE kind = 'LAMP'")).isEqualTo("0");
    }

    private long phoneOf(long owner) throws SQLException {
        // Clear of the sequence: of each person there is one.
        long phone = 5_000_000_000L + owner;
        run("INSERT INTO phone (id, secret_hash, person_id, device, enrolled_at, seen_at) VALUES (" + phone + ", '" + UUID.randomUUID() + "', " + owner
                + ", 'a test', CURRENT_TIMESTAMP, CURRENT_TIMESTAMP)");
        return phone;
    }

    @Test
    void pushMessageIsReadByItsPhoneAloneAndOneThatHasEndedIsNotProvenAnyMore() throws Exception {
        PushPhone phone = PushPhone.make();
        long phoneId = phoneOf(person);
        try (HookReceiver service = HookReceiver.start()) {
            push.start(person, phoneId, service.url("/send/one"), phone.p256dh(), phone.auth());
            await().atMost(SOON).until(() -> fates().equals("PUSH SENT"));
            Received proof = service.received().get(0);
            assertThat(proof.line()).isEqualTo("POST /send/one HTTP/1.1");
            assertThat(proof.headers()).containsEntry("Content-Encoding", "aes128gcm").containsEntry("TTL", "14400").containsEntry("Urgency", "high")
                    .hasEntrySatisfying("Topic", topic -> assertThat(topic).matches("[0-9a-f]{32}"))
                    .hasEntrySatisfying("Authorization", it -> assertThat(it).matches("vapid t=[\\w-]+\\.[\\w-]+\\.[\\w-]+, k=[\\w-]{87}"));
            assertThat(phone.read(proof.bytes())).contains("\"title\":\"Lampkeeper: did this arrive?\"", "\"link\":\"" + config.address("p/"));

            prove();
            QuarkusTransaction.requiringNew().run(() -> personChannels.move(person, personChannels.of(person).get(1).id(), -1, By.nobody(clock.instant())));
            service.behaves(HookReceiver.status(503));
            tell(Purpose.ALARM);
            await().atMost(SOON).until(() -> service.received().size() > 1);
            assertThat(fates()).startsWith("PUSH SENT, PUSH WAITING");
            service.behaves(HookReceiver.status(201));
            moved.advance(Duration.ofSeconds(20));
            await().atMost(SOON).until(() -> fates().startsWith("PUSH SENT, PUSH SENT"));
            Received alarm = service.received().get(service.received().size() - 1);
            assertThat(phone.read(alarm.bytes())).contains("\"title\":\"Lampkeeper: alarm\"", MessageFixture.SUBJECT);

            service.behaves(HookReceiver.status(410));
            tell(Purpose.ALARM);
            await().atMost(SOON).until(() -> fates().endsWith("PUSH UNDELIVERED, MAIL SENT"));
        }
        assertThat(push.isOn(phoneId)).isFalse();
        assertThat(personChannels.of(person).get(0)).satisfies(ended -> {
            assertThat(ended.kind()).isEqualTo(PushChannel.KIND);
            assertThat(personChannels.isProven(ended)).isFalse();
            assertThat(ended.returned()).isPresent();
        });
        assertThat(failures.heard()).noneMatch(event -> event.personId() == person);
    }

    @Test
    void phoneOfSomebodyElseIsNeverWrittenTo() throws Exception {
        PushPhone phone = PushPhone.make();
        long other = registration.addPerson(new NewPerson("R. Osk", Optional.empty(), Optional.empty()), By.nobody(java.time.Instant.EPOCH)).personId();
        long phoneId = phoneOf(other);
        try (HookReceiver service = HookReceiver.start()) {
            push.start(other, phoneId, service.url("/send/other"), phone.p256dh(), phone.auth());
            await().atMost(SOON).until(() -> service.received().size() == 1);
            QuarkusTransaction.requiringNew().run(() -> personChannels.add(person, PushChannel.KIND, "phone " + phoneId, By.nobody(clock.instant())));

            tell(Purpose.ALARM);
            await().atMost(SOON).until(() -> fates().contains("PUSH UNDELIVERED") && fates().contains("MAIL SENT"));

            assertThat(service.received()).hasSize(1);
        }
    }

    @Test
    void receiptThatComesBeforeTheAnswerIsClaimedByIt() throws Exception {
        addLamp(true);
        prove();
        String name = "name-" + address;
        lamp.answers(new Handover.Accepted(java.util.Optional.of(name)));
        arrivals.arrived(LampChannel.KIND, name);
        arrivals.arrived(LampChannel.KIND, name);

        tell(Purpose.ALARM);

        await().atMost(SOON).until(() -> fates().equals("LAMP SENT ARRIVED"));
    }

    @Test
    void messageThatDidNotArriveGoesByTheNextChannel() throws Exception {
        addLamp(true);
        prove();
        String name = "name-" + address;
        lamp.answers(new Handover.Accepted(java.util.Optional.of(name)));
        tell(Purpose.ALARM);
        await().atMost(SOON).until(() -> fates().equals("LAMP SENT"));

        arrivals.notArrived(LampChannel.KIND, name, "switched off");
        arrivals.notArrived(LampChannel.KIND, name, "switched off");

        await().atMost(SOON).until(() -> fates().equals("LAMP UNDELIVERED NOT_ARRIVED, MAIL SENT"));
    }

    /** From the mailbox to the person's next channel; that the mail was proven does not count from then on. */
    @Test
    void mailThatCameBackGoesByTheNextChannelAndIsNotProvenUntilItsPersonShowsItAgain() throws Exception {
        addLamp(false);
        prove();
        tell(Purpose.ALARM);
        await().atMost(SOON).until(() -> fates().equals("MAIL SENT"));

        try (ReturnedMails mails = new ReturnedMails()) {
            BounceMailbox mailbox = mails.mailbox((key, reason) -> arrivals.notArrived(MailByChannel.KIND, key, reason));
            String key = ask("SELECT message_key FROM outgoing_message WHERE person_id = " + person);
            mails.comesBack(key);
            mails.comesBack(key);
            assertThat(mailbox.read()).isEqualTo(2);
        }

        await().atMost(SOON).until(() -> fates().equals("MAIL UNDELIVERED NOT_ARRIVED, LAMP SENT"));
        assertThat(personChannels.of(person)).extracting(personChannels::isProven).containsExactly(false, true);
        assertThat(personChannels.of(person).get(0).returned()).get().extracting(PersonChannel.Returned::why).isEqualTo("came back: 5.1.1");
        assertThat(journalled(messageId())).containsExactly("message-sent", "message-not-arrived", "channel-returned", "message-by-next-channel");
        prove();
        assertThat(personChannels.of(person)).extracting(personChannels::isProven).containsExactly(true, true);
        assertThat(personChannels.of(person).get(0).returned()).isEmpty();
    }

    @Test
    void wayThatFailsIsFollowedByAnotherOfTheSameKindWhichIsStoredAsTheOneThatCarried() throws Exception {
        addLamp(true);
        prove();
        spare.ready(true);
        lamp.answers(new Handover.Deferred("busy"));
        tell(Purpose.ALARM);
        await().atMost(SOON).until(() -> ask("SELECT attempts FROM outgoing_message WHERE person_id = " + person).equals("1"));

        moved.advance(Duration.ofSeconds(5));

        await().atMost(SOON).until(() -> fates().equals("LAMP_SPARE SENT"));
        assertThat(spare.tries()).isPositive();
    }

    @Test
    void wayThatIsLeftAloneIsPassedOverWithoutLosingTime() throws Exception {
        addLamp(true);
        prove();
        lamp.answers(new Handover.Unreachable("dark"));
        for (int i = 0; i < config.circuitAfter(); i++) {
            tell(Purpose.NOTICE);
        }
        awaitLeftAlone("LAMP");
        int tried = lamp.tries();
        spare.ready(true);

        tell(Purpose.ALARM);

        await().atMost(SOON).until(() -> fates().endsWith("LAMP_SPARE SENT"));
        assertThat(lamp.tries()).isEqualTo(tried);
        lamp.answers(new Handover.Accepted());
        moved.advance(Duration.ofMinutes(1));
        await().atMost(SOON).until(() -> !fates().contains("WAITING"));
        // One that carries closes what the others left open.
        spare.ready(false);
        tell(Purpose.NOTICE);
        await().atMost(SOON).until(() -> ask("SELECT failures FROM channel_health WHERE kind = 'LAMP'").equals("0"));
    }

    private void addFirst(String kind) {
        By by = By.nobody(clock.instant());
        PersonChannel added = QuarkusTransaction.requiringNew().call(() -> personChannels.add(person, kind, number, by));
        QuarkusTransaction.requiringNew().run(() -> personChannels.move(person, added.id(), -1, by));
        prove();
    }

    private long calls() {
        return provider.received().stream().filter(it -> it.body().contains(number.substring(1))).count();
    }

    private long messageId() throws SQLException {
        return Long.parseLong(ask("SELECT MIN(id) FROM outgoing_message WHERE person_id = " + person));
    }

    @Test
    void shortMessageGoesByTheGatewayWhereNoCentreIsSet() throws Exception {
        addFirst("SMS");

        tell(Purpose.ALARM);

        await().atMost(SOON).until(() -> fates().equals("SMS_HTTP SENT"));
        assertThat(calls()).isOne();
        assertThat(journalled(messageId())).containsExactly("message-sent");
    }

    @Test
    void refusedCallIsFollowedByThePersonsNextChannelAtOnce() throws Exception {
        addFirst("VOICE");
        provider.answers(422, "{}");

        tell(Purpose.ALARM);

        await().atMost(SOON).until(() -> fates().equals("VOICE UNDELIVERED, MAIL SENT"));
    }

    @Test
    void gatewayThatFailsAgainAndAgainIsLeftAloneAndItsAlarmsGoByTheNextAtOnce() throws Exception {
        addFirst("VOICE");
        provider.answers(503, "{}");
        for (int i = 0; i < config.circuitAfter(); i++) {
            tell(Purpose.ALARM);
        }
        awaitLeftAlone("VOICE");
        long tried = calls();

        tell(Purpose.ALARM);

        await().atMost(SOON).until(() -> fates().contains("MAIL SENT"));
        assertThat(calls()).isEqualTo(tried);
        provider.answers(200, "{}");
        moved.advance(Duration.ofMinutes(1));
        await().atMost(SOON).until(() -> !fates().contains("WAITING"));
        assertThat(ask("SELECT failures FROM channel_health WHERE kind = 'VOICE'")).isEqualTo("0");
    }

    @Test
    void callWhoseAnswerWasCutOffIsMadeAgain() throws Exception {
        addFirst("VOICE");
        provider.behaves(GatewayCounterpart.Manner.CUTS_AFTER_IT_TOOK);
        tell(Purpose.ALARM);
        await().atMost(SOON).until(() -> ask("SELECT attempts FROM outgoing_message WHERE person_id = " + person).equals("1"));
        provider.behaves(GatewayCounterpart.Manner.ANSWERS);
        moved.advance(Duration.ofSeconds(5));

        await().atMost(SOON).until(() -> fates().startsWith("VOICE SENT"));
        assertThat(calls()).isEqualTo(2);
        assertThat(ask("SELECT network_id FROM outgoing_message WHERE id = " + messageId())).isEqualTo("c-1");
    }

    @Test
    void callThatIsToldOfThoughItsAnswerWasCutOffIsNotMadeAgain() throws Exception {
        addFirst("VOICE");
        provider.behaves(GatewayCounterpart.Manner.CUTS_AFTER_IT_TOOK);
        tell(Purpose.ALARM);
        await().atMost(SOON).until(() -> ask("SELECT attempts FROM outgoing_message WHERE person_id = " + person).equals("1"));

        arrivals.told(messageId(), "VOICE", true, "");
        arrivals.told(messageId(), "VOICE", true, "");

        assertThat(fates()).startsWith("VOICE SENT ARRIVED");
        assertThat(journalled(messageId())).containsExactly("message-attempt-failed", "message-sent", "message-arrived");
        provider.behaves(GatewayCounterpart.Manner.ANSWERS);
        moved.advance(Duration.ofMinutes(10));
        long later = put();
        await().atMost(SOON).until(() -> state(later).equals("SENT"));
        assertThat(calls()).isOne();
    }

    @Test
    void callThatNobodyAnsweredIsFollowedByTheNextChannelOnce() throws Exception {
        addFirst("VOICE");
        tell(Purpose.ALARM);
        await().atMost(SOON).until(() -> fates().equals("VOICE SENT"));

        arrivals.told(messageId(), "VOICE", false, "the network said: no-answer");
        arrivals.told(messageId(), "VOICE", false, "the network said: no-answer");

        await().atMost(SOON).until(() -> fates().equals("VOICE UNDELIVERED NOT_ARRIVED, MAIL SENT"));
        assertThat(journalled(messageId())).containsExactly("message-sent", "message-not-arrived", "message-by-next-channel");
    }

    @Test
    void anotherSignInAddressIsToldAndUnproven() {
        prove();
        QuarkusTransaction.requiringNew().run(() -> registration.changePerson(person, 0, new NewPerson("M. Teal",
                java.util.Optional.of("new-" + address), java.util.Optional.empty()), By.nobody(clock.instant())));

        assertThat(personChannels.of(person)).singleElement().satisfies(channel -> {
            assertThat(channel.address()).isEqualTo("new-" + address);
            assertThat(personChannels.isProven(channel)).isFalse();
        });
    }

    /** The poll is 500 ms: only the wake-up after the commit can make it this quick. */
    @Test
    void idleDispatcherIsWokenByTheCommit() {
        put();
        await().atMost(SOON).until(() -> server.receivedBy(address).size() == 1);
        List<Long> millis = new ArrayList<>();
        for (int i = 2; i <= 21; i++) {
            int expected = i;
            long begun = System.nanoTime();
            put();
            await().pollDelay(Duration.ZERO).pollInterval(Duration.ofMillis(5)).atMost(SOON)
                    .until(() -> server.receivedBy(address).size() == expected);
            millis.add(Duration.ofNanos(System.nanoTime() - begun).toMillis());
        }

        // Each is put right after the one before was sent, so polling alone would take the whole interval every time, on any machine.
        assertThat(Collections.min(millis)).as("fastest of " + millis + " ms").isLessThan(250);
    }

    @Test
    void journalIsSealedAfterTheCommitAndVerifies() {
        Head before = journal.head();
        QuarkusTransaction.requiringNew().run(() -> journal.append(Entry.of(clock.instant(), "loss-confirmed").site(0)));

        await().pollInterval(Duration.ofMillis(10)).atMost(SOON).until(() -> journal.head().number() > before.number());
        assertThat(verifier.verify(List.of(before, journal.head()))).isInstanceOf(Verdict.Intact.class);
    }
}
