package org.lampkeeper.testing;

import java.io.IOException;
import java.net.ServerSocket;
import java.nio.charset.StandardCharsets;
import java.util.List;
import java.util.concurrent.CopyOnWriteArrayList;
import java.util.concurrent.CountDownLatch;
import java.util.concurrent.TimeUnit;
import java.util.concurrent.TimeoutException;
import java.util.concurrent.atomic.AtomicInteger;

import org.jsmpp.InvalidResponseException;
import org.jsmpp.PDUException;
import org.jsmpp.PDUStringException;
import org.jsmpp.bean.BroadcastSm;
import org.jsmpp.bean.CancelBroadcastSm;
import org.jsmpp.bean.CancelSm;
import org.jsmpp.bean.DataSm;
import org.jsmpp.bean.ESMClass;
import org.jsmpp.bean.GeneralDataCoding;
import org.jsmpp.bean.NumberingPlanIndicator;
import org.jsmpp.bean.OptionalParameter;
import org.jsmpp.bean.QueryBroadcastSm;
import org.jsmpp.bean.QuerySm;
import org.jsmpp.bean.RawDataCoding;
import org.jsmpp.bean.RegisteredDelivery;
import org.jsmpp.bean.ReplaceSm;
import org.jsmpp.bean.SubmitMulti;
import org.jsmpp.bean.SubmitSm;
import org.jsmpp.bean.TypeOfNumber;
import org.jsmpp.extra.NegativeResponseException;
import org.jsmpp.extra.ProcessRequestException;
import org.jsmpp.extra.ResponseTimeoutException;
import org.jsmpp.session.BindRequest;
import org.jsmpp.session.BroadcastSmResult;
import org.jsmpp.session.DataSmResult;
import org.jsmpp.session.QueryBroadcastSmResult;
import org.jsmpp.session.QuerySmResult;
import org.jsmpp.session.SMPPServerSession;
import org.jsmpp.session.SMPPServerSessionListener;
import org.jsmpp.session.ServerMessageReceiverListener;
import org.jsmpp.session.Session;
import org.jsmpp.session.SubmitMultiResult;
import org.jsmpp.session.SubmitSmResult;
import org.jsmpp.util.MessageId;

/** A short message centre on the loopback address that behaves as told. */
public final class ShortMessageCentre implements AutoCloseable, ServerMessageReceiverListener {

    /** What it does with a message. */
    public enum Manner {
        TAKES, IS_SLOW, HANGS, CUTS_BEFORE_IT_TAKES, CUTS_AFTER_IT_TOOK
    }

    private static final int NOT_SUPPORTED = 0x03;

    private final int port;
    private final SMPPServerSessionListener listener;
    private final List<SubmitSm> taken = new CopyOnWriteArrayList<>();
    private final List<SMPPServerSession> sessions = new CopyOnWriteArrayList<>();
    private final AtomicInteger binds = new AtomicInteger();
    private final CountDownLatch closed = new CountDownLatch(1);
    private volatile Manner manner = Manner.TAKES;
    private volatile int status;
    private volatile int bindStatus;
    private volatile boolean saysReceiptFirst;

    public ShortMessageCentre() throws IOException {
        // The library's listener does not tell which port it was given.
        try (ServerSocket free = new ServerSocket(0)) {
            port = free.getLocalPort();
        }
        listener = new SMPPServerSessionListener(port);
        Thread accepting = new Thread(this::accept, "short-message-centre");
        accepting.setDaemon(true);
        accepting.start();
    }

    /** What it does with messages from now on. */
    public void behaves(Manner next) {
        manner = next;
    }

    /** SMPP 3.4, 5.1.3: with what it answers every message; 0: it takes it. */
    public void answers(int next) {
        status = next;
    }

    /** With what it answers who binds; 0: they are bound. */
    public void answersBinding(int next) {
        bindStatus = next;
    }

    /** Its receipt for a message comes before its answer to it. */
    public void saysReceiptFirst() {
        saysReceiptFirst = true;
    }

    /** Every line breaks, without a word. */
    public void cuts() {
        sessions.forEach(SMPPServerSession::close);
    }

    public int port() {
        return port;
    }

    /** How often somebody has asked to be bound. */
    public int binds() {
        return binds.get();
    }

    /** The messages that it took, in order. */
    public List<SubmitSm> taken() {
        return taken;
    }

    private void accept() {
        while (closed.getCount() > 0) {
            try {
                SMPPServerSession session = listener.accept();
                session.setMessageReceiverListener(this);
                Thread binding = new Thread(() -> bind(session));
                binding.setDaemon(true);
                binding.start();
            } catch (IOException ended) {
                return;
            }
        }
    }

    private void bind(SMPPServerSession session) {
        try {
            BindRequest request = session.waitForBind(5000);
            binds.incrementAndGet();
            if (bindStatus != 0) {
                request.reject(bindStatus);
                return;
            }
            sessions.add(session);
            request.accept("centre");
        } catch (TimeoutException | IOException | PDUStringException gone) {
            session.close();
        }
    }

    @Override
    public SubmitSmResult onAcceptSubmitSm(SubmitSm message, SMPPServerSession source) throws ProcessRequestException {
        if (status != 0) {
            throw new ProcessRequestException("as told", status);
        }
        if (manner == Manner.HANGS) {
            try {
                closed.await(60, TimeUnit.SECONDS);
            } catch (InterruptedException ended) {
                Thread.currentThread().interrupt();
            }
            throw new ProcessRequestException("closed", 0x08);
        }
        if (manner == Manner.IS_SLOW) {
            pause();
        }
        if (manner == Manner.CUTS_BEFORE_IT_TAKES) {
            source.close();
            throw new ProcessRequestException("cut", 0x08);
        }
        taken.add(message);
        String name = "id-" + taken.size();
        if (manner == Manner.CUTS_AFTER_IT_TOOK) {
            source.close();
        }
        try {
            if (saysReceiptFirst) {
                receipt(source, name, "DELIVRD");
            }
            return new SubmitSmResult(new MessageId(name), new OptionalParameter[0]);
        } catch (PDUStringException impossible) {
            throw new IllegalStateException(impossible);
        }
    }

    /** Half a second: within everybody's patience. */
    private void pause() {
        try {
            closed.await(500, TimeUnit.MILLISECONDS);
        } catch (InterruptedException ended) {
            Thread.currentThread().interrupt();
        }
    }

    /** Says what became of a message. */
    public void receipt(String name, String state) {
        receipt(newest(), name, state);
    }

    private SMPPServerSession newest() {
        return sessions.get(sessions.size() - 1);
    }

    /**
     * Hands over what somebody sent.
     *
     * @param from   in digits; with a plus sign where the network says that it is a whole number
     * @param coding SMPP 3.4, 5.2.19
     * @param header whether the octets begin with one
     * @return with which status it was answered; 0: it was taken
     */
    public int hands(String from, int coding, boolean header, byte[] octets, OptionalParameter... beside) {
        boolean isName = !from.matches("\\+?[0-9]+");
        TypeOfNumber type = isName ? TypeOfNumber.ALPHANUMERIC : from.startsWith("+") ? TypeOfNumber.INTERNATIONAL : TypeOfNumber.UNKNOWN;
        try {
            newest().deliverShortMessage("", type, isName ? NumberingPlanIndicator.UNKNOWN : NumberingPlanIndicator.ISDN, from.replace("+", ""),
                    TypeOfNumber.UNKNOWN, NumberingPlanIndicator.UNKNOWN, "1234", new ESMClass(header ? 0x40 : 0), (byte) 0, (byte) 0,
                    new RegisteredDelivery(0), new RawDataCoding((byte) coding), octets, beside);
            return 0;
        } catch (NegativeResponseException refused) {
            return refused.getCommandStatus();
        } catch (PDUException | IOException | InvalidResponseException | ResponseTimeoutException failed) {
            throw new IllegalStateException("what was handed over was not answered", failed);
        }
    }

    /** Hands over a text and does not hear the answer: nothing tells it whether the text was taken. */
    public void handsUnheard(String from, String text) {
        newest().setTransactionTimer(1);
        try {
            hands(from, text);
        } catch (IllegalStateException unheard) {
            // As meant: its patience was a millisecond.
        }
    }

    /** The same in the network's own alphabet, as far as that is ASCII. */
    public int hands(String from, String text) {
        return hands(from, 0, false, text.getBytes(StandardCharsets.US_ASCII));
    }

    /** SMPP 3.4, appendix B: the usual form of a receipt. */
    private static void receipt(SMPPServerSession session, String name, String state) {
        String text = "id:" + name + " sub:001 dlvrd:001 submit date:2611250241 done date:2611250242 stat:" + state + " err:000 text:none";
        try {
            session.deliverShortMessage("", TypeOfNumber.INTERNATIONAL, NumberingPlanIndicator.ISDN, "447700900123", TypeOfNumber.UNKNOWN,
                    NumberingPlanIndicator.UNKNOWN, "1234", new ESMClass(0x04), (byte) 0, (byte) 0, new RegisteredDelivery(0),
                    new GeneralDataCoding(), text.getBytes(StandardCharsets.US_ASCII));
        } catch (Exception failed) {
            throw new IllegalStateException("receipt was not taken", failed);
        }
    }

    @Override
    public void close() throws IOException {
        closed.countDown();
        sessions.forEach(SMPPServerSession::close);
        listener.close();
    }

    private static ProcessRequestException notSupported() {
        return new ProcessRequestException("not supported", NOT_SUPPORTED);
    }

    @Override
    public SubmitMultiResult onAcceptSubmitMulti(SubmitMulti request, SMPPServerSession source) throws ProcessRequestException {
        throw notSupported();
    }

    @Override
    public QuerySmResult onAcceptQuerySm(QuerySm request, SMPPServerSession source) throws ProcessRequestException {
        throw notSupported();
    }

    @Override
    public void onAcceptReplaceSm(ReplaceSm request, SMPPServerSession source) throws ProcessRequestException {
        throw notSupported();
    }

    @Override
    public void onAcceptCancelSm(CancelSm request, SMPPServerSession source) throws ProcessRequestException {
        throw notSupported();
    }

    @Override
    public BroadcastSmResult onAcceptBroadcastSm(BroadcastSm request, SMPPServerSession source) throws ProcessRequestException {
        throw notSupported();
    }

    @Override
    public void onAcceptCancelBroadcastSm(CancelBroadcastSm request, SMPPServerSession source) throws ProcessRequestException {
        throw notSupported();
    }

    @Override
    public QueryBroadcastSmResult onAcceptQueryBroadcastSm(QueryBroadcastSm request, SMPPServerSession source) throws ProcessRequestException {
        throw notSupported();
    }

    @Override
    public DataSmResult onAcceptDataSm(DataSm request, Session source) throws ProcessRequestException {
        throw notSupported();
    }
}
