package org.lampkeeper.message;

import java.io.IOException;
import java.net.InetAddress;
import java.net.ServerSocket;
import java.nio.charset.StandardCharsets;
import java.time.Duration;
import java.util.List;
import java.util.Optional;
import java.util.concurrent.CopyOnWriteArrayList;

import org.jsmpp.bean.OptionalParameter;
import org.jsmpp.bean.SubmitSm;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

import org.lampkeeper.journal.Head;
import org.lampkeeper.testing.ShortMessageCentre;
import org.lampkeeper.testing.ShortMessageCentre.Manner;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;
import static org.awaitility.Awaitility.await;

/** Against a short message centre that really speaks SMPP. */
class SmsChannelTest {

    private static final String NUMBER = "+447700900123";
    private static final Duration TIMEOUT = Duration.ofSeconds(1);

    private record Heard(List<String> senders, Optional<HeardText> text) {
    }

    private final List<String> receipts = new CopyOnWriteArrayList<>();
    private final List<Heard> heard = new CopyOnWriteArrayList<>();
    private volatile boolean isBroken;
    private ShortMessageCentre centre;
    private SmsChannel channel;

    private record Settings(Optional<String> host, int port, Optional<String> country) implements SmsConfig {
        @Override
        public String systemId() {
            return "lampkeeper";
        }

        @Override
        public Optional<String> password() {
            return Optional.of("secret");
        }

        @Override
        public Optional<String> systemType() {
            return Optional.empty();
        }

        @Override
        public Optional<String> sender() {
            return Optional.of("+447700900999");
        }

        @Override
        public boolean replies() {
            return true;
        }

        @Override
        public Duration timeout() {
            return TIMEOUT;
        }

        @Override
        public Duration enquireLink() {
            return Duration.ofSeconds(1);
        }

        @Override
        public int window() {
            return 4;
        }
    }

    @BeforeEach
    void centreIsThere() throws IOException {
        centre = new ShortMessageCentre();
        channel = channel(centre.port());
    }

    private SmsChannel channel(int port) {
        return new SmsChannel(new Settings(Optional.of("127.0.0.1"), port, Optional.of("GB")),
                (name, hasArrived, reason) -> receipts.add(name + " " + hasArrived + " " + reason),
                (sender, senders, text) -> {
                    if (isBroken) {
                        throw new IllegalStateException("as if the database were away");
                    }
                    heard.add(new Heard(senders, text));
                });
    }

    @AfterEach
    void allIsClosed() throws IOException {
        channel.stop();
        centre.close();
    }

    private Handover handOver() {
        return channel.handOver(MessageFixture.messageTo(NUMBER, "key"), Head.EMPTY);
    }

    @Test
    void messageIsTakenInOnePartAsEntered() {
        assertThat(handOver()).isEqualTo(new Handover.Accepted(Optional.of("id-1")));

        SubmitSm sent = centre.taken().get(0);
        assertThat(new String(sent.getShortMessage(), StandardCharsets.US_ASCII)).isEqualTo(MessageFixture.SUBJECT);
        assertThat(sent.getDestAddress()).isEqualTo("447700900123");
        assertThat(sent.getDestAddrTon()).isEqualTo((byte) 1);
        assertThat(sent.getSourceAddr()).isEqualTo("447700900999");
        assertThat(sent.getRegisteredDelivery()).isEqualTo((byte) 1);
        assertThat(sent.getDataCoding()).isZero();
    }

    @Test
    void oneLineServesManyMessages() {
        handOver();
        handOver();

        assertThat(centre.binds()).isEqualTo(1);
        assertThat(centre.taken()).hasSize(2);
    }

    /** Statuses of SMPP 3.4, 5.1.3: throttled, queue full, system error, submit failed; destination address, message length. */
    @ParameterizedTest
    @CsvSource({"0x58, Deferred", "0x14, Deferred", "0x08, Deferred", "0x45, Deferred", "0x0B, Refused", "0x01, Refused"})
    void refusalIsForNowOrForGood(String status, String outcome) {
        centre.answers(Integer.decode(status));

        assertThat(handOver().getClass().getSimpleName()).isEqualTo(outcome);
    }

    @Test
    void refusedBindingIsSaidAndTriedAgain() {
        // SMPP 3.4, 5.1.3: invalid password.
        centre.answersBinding(0x0E);

        assertThat(handOver()).isInstanceOfSatisfying(Handover.Unreachable.class, it -> assertThat(it.reason()).contains("0x0E"));
        centre.answersBinding(0);
        assertThat(handOver()).isInstanceOf(Handover.Accepted.class);
    }

    @Test
    void hangingCentreIsGivenUpInTimeAndTheNextLineWorks() {
        centre.behaves(Manner.HANGS);
        long begun = System.nanoTime();

        assertThat(handOver()).isInstanceOf(Handover.Unreachable.class);
        assertThat(Duration.ofNanos(System.nanoTime() - begun)).isLessThan(channel.timeout().plusSeconds(1));
        centre.behaves(Manner.TAKES);
        assertThat(handOver()).isInstanceOf(Handover.Accepted.class);
    }

    @ParameterizedTest
    @CsvSource({"CUTS_BEFORE_IT_TAKES, 1", "CUTS_AFTER_IT_TOOK, 2"})
    void messageOnALineThatIsCutIsNeverCalledTakenAndTheRepeatArrives(Manner manner, int taken) {
        centre.behaves(manner);
        assertThat(handOver()).isInstanceOf(Handover.Unreachable.class);
        centre.behaves(Manner.TAKES);

        assertThat(handOver()).isInstanceOf(Handover.Accepted.class);
        assertThat(centre.taken()).hasSize(taken);
    }

    @Test
    void slowCentreIsWaitedFor() {
        centre.behaves(Manner.IS_SLOW);

        assertThat(handOver()).isInstanceOf(Handover.Accepted.class);
        assertThat(centre.taken()).hasSize(1);
    }

    /** It takes the connection and says nothing, as one that hangs or something else on that port does. */
    @Test
    void centreThatNeverAnswersTheBindingIsGivenUpInTime() throws IOException {
        try (ServerSocket deaf = new ServerSocket(0, 5, InetAddress.getLoopbackAddress())) {
            SmsChannel other = channel(deaf.getLocalPort());
            long begun = System.nanoTime();

            Handover result = other.handOver(MessageFixture.messageTo(NUMBER, "key"), Head.EMPTY);

            assertThat(result).isInstanceOf(Handover.Unreachable.class);
            assertThat(Duration.ofNanos(System.nanoTime() - begun)).isLessThan(other.timeout());
            other.stop();
        }
    }

    @Test
    void centreThatDiesAfterItAcceptedIsBoundToAnewForTheNextMessage() {
        assertThat(handOver()).isInstanceOf(Handover.Accepted.class);

        centre.cuts();

        await().until(() -> handOver() instanceof Handover.Accepted);
        assertThat(centre.binds()).isEqualTo(2);
        // Nothing that it had accepted is sent again: its receipt may come by the new line.
        assertThat(centre.taken()).hasSize(2);
        centre.receipt("id-1", "DELIVRD");
        await().until(() -> receipts.size() == 1);
    }

    @Test
    void centreThatIsAwayIsUnreachable() throws IOException {
        centre.close();

        assertThat(handOver()).isInstanceOf(Handover.Unreachable.class);
    }

    @ParameterizedTest
    @CsvSource({"DELIVRD, id-1 true", "UNDELIV, id-1 false", "EXPIRED, id-1 false", "REJECTD, id-1 false", "DELETED, id-1 false"})
    void finalReceiptIsHeard(String state, String heard) {
        handOver();

        centre.receipt("id-1", "ACCEPTD");
        centre.receipt("id-1", state);

        await().until(() -> !receipts.isEmpty());
        assertThat(receipts).singleElement().asString().startsWith(heard);
    }

    @Test
    void receiptMayComeBeforeTheAnswer() {
        centre.saysReceiptFirst();

        assertThat(handOver()).isEqualTo(new Handover.Accepted(Optional.of("id-1")));
        assertThat(receipts).singleElement().asString().startsWith("id-1 true");
    }

    /** By what the network says of the number; without it a number is of the configured country, or whole without its plus sign. */
    @ParameterizedTest
    @CsvSource(delimiter = '|', textBlock = """
            +447700900123 | +447700900123
            447700900123  | +447700900123
            07700900123   | +447700900123
            """)
    void textIsHeardWithWhatItsSendersNumberMayMean(String from, String number) {
        handOver();

        assertThat(centre.hands(from, "take7km")).isZero();

        assertThat(heard).singleElement().satisfies(it -> {
            assertThat(it.senders()).contains(number);
            assertThat(it.text()).contains(new HeardText("take7km", Optional.empty()));
        });
    }

    @Test
    void textOfANameHasNoNumber() {
        handOver();

        assertThat(centre.hands("HARBOUR1", "take7km")).isZero();

        assertThat(heard).singleElement().satisfies(it -> assertThat(it.senders()).isEmpty());
    }

    @Test
    void textMayComeBesideTheMessageAndItsPlaceToo() {
        handOver();

        centre.hands(NUMBER, 8, false, new byte[0], new OptionalParameter.Message_payload("täke7km".getBytes(StandardCharsets.UTF_16BE)),
                new OptionalParameter.Sar_msg_ref_num((short) 700), new OptionalParameter.Sar_total_segments((byte) 2),
                new OptionalParameter.Sar_segment_seqnum((byte) 1));

        assertThat(heard).singleElement().satisfies(it -> assertThat(it.text()).contains(new HeardText("täke7km", Optional.of(new HeardText.Part(700, 2, 1)))));
    }

    /** SMPP 3.4, 5.1.3: ESME_RX_T_APPN, by which a network hands it over again later. */
    @Test
    void textThatCannotBeStoredIsNotAcknowledged() {
        handOver();
        isBroken = true;

        assertThat(centre.hands(NUMBER, "take7km")).isEqualTo(0x64);
        isBroken = false;
        assertThat(centre.hands(NUMBER, "take7km")).isZero();

        assertThat(heard).hasSize(1);
    }

    /** Numbers that Ofcom reserves for drama: +44 7700 900000 to 900999 and others; 555-0100 to 0199 in North America. */
    @ParameterizedTest
    @CsvSource(delimiter = '|', textBlock = """
            +44 7700 900123   | +447700900123
            07700 900123      | +447700900123
            +44 (0)7700900123 | +447700900123
            +44 20 7946 0123  | +442079460123
            +1 202-555-0143   | +12025550143
            """)
    void numberIsStoredAsE164(String entered, String stored) {
        assertThat(channel.address(entered)).isEqualTo(stored);
    }

    @ParameterizedTest
    @CsvSource({"''", "m.teal@quay.example", "+44 7700", "+44 7700 900123 456789", "+999 7700 900123"})
    void whatIsNoNumberIsRefusedWithWhatWouldBe(String entered) {
        assertThatThrownBy(() -> channel.address(entered)).isInstanceOf(AddressRefused.class).hasMessageContaining("+44 7700 900123");
    }

    @Test
    void withoutACentreThereIsNoSuchChannel() {
        assertThat(new SmsChannel(new Settings(Optional.empty(), 0, Optional.empty()), (name, hasArrived, reason) -> receipts.add(name),
                (sender, senders, text) -> heard.add(new Heard(senders, text))).isOffered())
                .isFalse();
    }
}
