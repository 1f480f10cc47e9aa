package org.lampkeeper.message;

import java.io.IOException;
import java.net.InetSocketAddress;
import java.net.Socket;
import java.time.Duration;
import java.util.List;
import java.util.Optional;
import java.util.Set;
import java.util.concurrent.Semaphore;
import java.util.concurrent.ThreadLocalRandom;
import java.util.concurrent.TimeUnit;
import java.util.concurrent.locks.ReentrantLock;

import org.jboss.logging.Logger;
import org.jsmpp.InvalidResponseException;
import org.jsmpp.PDUException;
import org.jsmpp.SMPPConstant;
import org.jsmpp.bean.AlertNotification;
import org.jsmpp.bean.Alphabet;
import org.jsmpp.bean.BindType;
import org.jsmpp.bean.DataSm;
import org.jsmpp.bean.DeliverSm;
import org.jsmpp.bean.DeliveryReceipt;
import org.jsmpp.bean.ESMClass;
import org.jsmpp.bean.GeneralDataCoding;
import org.jsmpp.bean.InterfaceVersion;
import org.jsmpp.bean.NumberingPlanIndicator;
import org.jsmpp.bean.OptionalParameter;
import org.jsmpp.bean.RegisteredDelivery;
import org.jsmpp.bean.SMSCDeliveryReceipt;
import org.jsmpp.bean.TypeOfNumber;
import org.jsmpp.extra.NegativeResponseException;
import org.jsmpp.extra.ProcessRequestException;
import org.jsmpp.extra.ResponseTimeoutException;
import org.jsmpp.session.BindParameter;
import org.jsmpp.session.DataSmResult;
import org.jsmpp.session.MessageReceiverListener;
import org.jsmpp.session.SMPPSession;
import org.jsmpp.session.Session;
import org.jsmpp.session.connection.socket.SocketConnection;
import org.jsmpp.util.InvalidDeliveryReceiptException;
import org.jspecify.annotations.Nullable;

/** One line to the short message centre (SMPP 3.4, bound as transceiver), made when it is needed and kept. Used by many threads. */
final class SmppLine implements AutoCloseable {

    private static final Logger LOG = Logger.getLogger(SmppLine.class);

    /** SMPP 3.4, 5.1.3: the receiver could not take it now; send it again. */
    private static final int ESME_RX_T_APPN = 0x64;
    /** SMPP 3.4, 5.1.3: the receiver will never take it. */
    private static final int ESME_RX_P_APPN = 0x65;
    /** SMPP 3.4, 5.1.3: what is wrong with this message, and would be with a repeat: its length, its recipient's address, TON or NPI. */
    private static final Set<Integer> ABOUT_THIS_MESSAGE = Set.of(0x01, SMPPConstant.STAT_ESME_RINVDSTADR, 0x50, 0x51);
    /** SMPP 3.4, 5.2.12: bit 6, the text begins with a header. */
    private static final byte HAS_HEADER = 0x40;

    /** What the network says later about a message. Returns once that is stored; a failure makes the network say it again. */
    interface Receipts {
        void receipt(String networkId, boolean hasArrived, String reason);
    }

    /** What somebody sent to us, or a part of it. Returns once that is stored; a failure makes the network say it again. */
    interface Texts {
        /**
         * @param sender          as the network wrote it; a name where the network has no number
         * @param isInternational whether the network says that it is a whole number, whatever is written before it
         * @param text            empty for what is no text
         */
        void text(String sender, boolean isInternational, Optional<HeardText> text);
    }

    private final SmsConfig config;
    private final Receipts receipts;
    private final Texts texts;
    private final Semaphore window;
    private final ReentrantLock binding = new ReentrantLock();
    private volatile @Nullable SMPPSession bound;

    SmppLine(SmsConfig config, Receipts receipts, Texts texts) {
        this.config = config;
        this.receipts = receipts;
        this.texts = texts;
        window = new Semaphore(config.window());
    }

    /** Longest wait: for another's binding or for the window, for binding, for the answer to the last part. */
    Duration timeout() {
        return config.timeout().multipliedBy(4);
    }

    /** @param number in E.164, with its plus sign */
    Handover send(String number, String text, int reference) {
        long end = System.nanoTime() + config.timeout().multipliedBy(3).toNanos();
        SMPPSession session = null;
        String name = "";
        try {
            session = session();
            List<ShortText.Part> parts = ShortText.parts(text, reference);
            for (int i = 0; i < parts.size(); i++) {
                if (!window.tryAcquire(Math.max(0, end - System.nanoTime()), TimeUnit.NANOSECONDS)) {
                    return new Handover.Deferred("the short message centre is too slow: " + config.window() + " parts wait for its answer");
                }
                try {
                    name = submit(session, number, parts.get(i), i == parts.size() - 1);
                } finally {
                    window.release();
                }
            }
            return new Handover.Accepted(Optional.of(name).filter(it -> !it.isEmpty()));
        } catch (NegativeResponseException refused) {
            return answer(refused.getCommandStatus());
        } catch (ResponseTimeoutException silent) {
            drop(session);
            return new Handover.Unreachable("the short message centre gave no answer within " + config.timeout().toSeconds() + " s");
        } catch (PDUException | InvalidResponseException | IOException cut) {
            drop(session);
            return new Handover.Unreachable("the line to the short message centre failed: " + reason(cut));
        } catch (InterruptedException stopped) {
            Thread.currentThread().interrupt();
            return new Handover.Deferred("interrupted: this instance stops");
        }
    }

    private static String reason(Exception cut) {
        Throwable cause = cut.getCause() == null ? cut : cut.getCause();
        return cause instanceof NegativeResponseException refused ? "binding was refused with status " + hex(refused.getCommandStatus())
                : String.valueOf(cause.getMessage());
    }

    /** SMPP 3.4, 5.1.3. What is unknown is tried again: the person's next channel does not wait for that. */
    private static Handover answer(int status) {
        if (status == SMPPConstant.STAT_ESME_RTHROTTLED) {
            return new Handover.Deferred("the short message centre takes no more messages at this moment (throttled)");
        }
        if (status == SMPPConstant.STAT_ESME_RMSGQFUL) {
            return new Handover.Deferred("the short message centre's queue is full");
        }
        return ABOUT_THIS_MESSAGE.contains(status) ? new Handover.Refused("the short message centre refused the number or the text with status " + hex(status))
                : new Handover.Deferred("the short message centre answered with status " + hex(status));
    }

    private static String hex(int status) {
        return String.format("0x%02X", status);
    }

    private String submit(SMPPSession session, String number, ShortText.Part part, boolean isLast)
            throws PDUException, ResponseTimeoutException, InvalidResponseException, NegativeResponseException, IOException {
        String sender = config.sender().orElse("");
        boolean isName = !SmsChannel.isNumber(sender);
        TypeOfNumber type = sender.isEmpty() ? TypeOfNumber.UNKNOWN : isName ? TypeOfNumber.ALPHANUMERIC
                : sender.startsWith("+") ? TypeOfNumber.INTERNATIONAL : TypeOfNumber.UNKNOWN;
        NumberingPlanIndicator plan = isName ? NumberingPlanIndicator.UNKNOWN : NumberingPlanIndicator.ISDN;
        // One receipt tells of the whole: that of the part which left last.
        RegisteredDelivery receipt = new RegisteredDelivery(isLast ? SMSCDeliveryReceipt.SUCCESS_FAILURE : SMSCDeliveryReceipt.DEFAULT);
        return session.submitShortMessage("", type, plan, sender.replace("+", ""), TypeOfNumber.INTERNATIONAL, NumberingPlanIndicator.ISDN,
                number.replace("+", ""), new ESMClass(part.hasHeader() ? HAS_HEADER : 0), (byte) 0, (byte) 0, null, null, receipt, (byte) 0,
                new GeneralDataCoding(part.isUnicode() ? Alphabet.ALPHA_UCS2 : Alphabet.ALPHA_DEFAULT), (byte) 0, part.octets()).getMessageId();
    }

    private SMPPSession session() throws IOException, InterruptedException {
        SMPPSession ready = bound;
        if (ready != null && ready.getSessionState().isBound()) {
            return ready;
        }
        if (!binding.tryLock(config.timeout().toMillis(), TimeUnit.MILLISECONDS)) {
            throw new IOException("it is still being bound");
        }
        try {
            SMPPSession meanwhile = bound;
            if (meanwhile != null && meanwhile.getSessionState().isBound()) {
                return meanwhile;
            }
            SMPPSession made = bind();
            bound = made;
            LOG.info("bound to the short message centre");
            return made;
        } finally {
            binding.unlock();
        }
    }

    private SMPPSession bind() throws IOException {
        int quiet = Math.toIntExact(config.timeout().toMillis());
        SMPPSession session = new SMPPSession((host, port) -> {
            // The library's own connection waits for as long as the system does, which is minutes.
            Socket socket = new Socket();
            try {
                socket.setTcpNoDelay(true);
                socket.connect(new InetSocketAddress(host, port), quiet);
                return new SocketConnection(socket);
            } catch (IOException failed) {
                socket.close();
                throw failed;
            }
        });
        session.setEnquireLinkTimer(Math.toIntExact(config.enquireLink().toMillis()));
        session.setTransactionTimer(quiet);
        session.setMessageReceiverListener(new Receiver());
        session.connectAndBind(config.host().orElseThrow(), config.port(), new BindParameter(BindType.BIND_TRX, config.systemId(), config.password().orElse(""),
                config.systemType().orElse(""), TypeOfNumber.UNKNOWN, NumberingPlanIndicator.UNKNOWN, null, InterfaceVersion.IF_34), quiet);
        return session;
    }

    /** Makes the line where there is none, for what the network has to say while nothing is sent. */
    void keep() {
        try {
            session();
        } catch (IOException failed) {
            LOG.warnf("no line to the short message centre: %s", reason(failed));
        } catch (InterruptedException stopped) {
            Thread.currentThread().interrupt();
        }
    }

    /** When to look after the line again: not at the same moment as every other instance after an outage. */
    static Duration pause(Duration about) {
        return Duration.ofMillis(Math.round(about.toMillis() * ThreadLocalRandom.current().nextDouble(0.5, 1.5)));
    }

    private static void drop(@Nullable SMPPSession session) {
        if (session != null) {
            session.close();
        }
    }

    @Override
    public void close() {
        SMPPSession last = bound;
        if (last != null) {
            last.unbindAndClose();
        }
    }

    private final class Receiver implements MessageReceiverListener {

        @Override
        public void onAcceptDeliverSm(DeliverSm heard) throws ProcessRequestException {
            try {
                if (heard.isSmscDeliveryReceipt()) {
                    take(heard.getShortMessageAsDeliveryReceipt());
                } else if (heard.isDefaultMessageType()) {
                    texts.text(heard.getSourceAddr(), heard.getSourceAddrTon() == TypeOfNumber.INTERNATIONAL.value(), text(heard));
                } else {
                    throw new ProcessRequestException("only receipts and texts are taken", ESME_RX_P_APPN);
                }
            } catch (InvalidDeliveryReceiptException unreadable) {
                LOG.warnf("a receipt could not be read: %s", unreadable.getMessage());
                throw new ProcessRequestException("receipt cannot be read", ESME_RX_P_APPN, unreadable);
            } catch (RuntimeException notStored) {
                LOG.errorf(notStored, "what the network said could not be stored, it is asked to say it again");
                throw new ProcessRequestException("it could not be stored", ESME_RX_T_APPN, notStored);
            }
        }

        /** SMPP 3.4, 5.3.2.32: a text may come beside the message instead; 5.3.2.22 to 24: so may its place among several. */
        private static Optional<HeardText> text(DeliverSm heard) {
            byte[] octets = Optional.ofNullable(heard.getShortMessage()).filter(it -> it.length > 0)
                    .or(() -> Optional.ofNullable(heard.getOptionalParameter(OptionalParameter.Message_payload.class)).map(OptionalParameter.OctetString::getValue))
                    .orElse(new byte[0]);
            OptionalParameter.Sar_msg_ref_num reference = heard.getOptionalParameter(OptionalParameter.Sar_msg_ref_num.class);
            OptionalParameter.Sar_total_segments count = heard.getOptionalParameter(OptionalParameter.Sar_total_segments.class);
            OptionalParameter.Sar_segment_seqnum number = heard.getOptionalParameter(OptionalParameter.Sar_segment_seqnum.class);
            Optional<HeardText.Part> segment = reference == null || count == null || number == null ? Optional.empty()
                    : Optional.of(new HeardText.Part(Short.toUnsignedInt(reference.getValue()), Byte.toUnsignedInt(count.getValue()),
                            Byte.toUnsignedInt(number.getValue())));
            return HeardText.of(octets, heard.getDataCoding(), heard.isUdhi(), segment);
        }

        /** SMPP 3.4, appendix B and 5.2.28. What is no final state says nothing yet. */
        private void take(DeliveryReceipt receipt) {
            if (receipt.getFinalStatus() == null) {
                LOG.warn("a receipt without a state that SMPP knows");
                return;
            }
            switch (receipt.getFinalStatus()) {
                case DELIVRD -> receipts.receipt(receipt.getId(), true, "");
                case EXPIRED -> receipts.receipt(receipt.getId(), false, "the network gave up: the telephone was off or out of reach");
                case DELETED, UNDELIV, REJECTD -> receipts.receipt(receipt.getId(), false,
                        "the network said " + receipt.getFinalStatus() + ", error " + receipt.getError());
                case ENROUTE, ACCEPTD, UNKNOWN -> LOG.debugf("receipt in between: %s", receipt.getFinalStatus());
            }
        }

        @Override
        public void onAcceptAlertNotification(AlertNotification alert) {
            LOG.debug("alert notification, which says nothing about a message");
        }

        @Override
        public DataSmResult onAcceptDataSm(DataSm data, Session source) throws ProcessRequestException {
            throw new ProcessRequestException("data_sm is not taken", ESME_RX_P_APPN);
        }
    }
}
