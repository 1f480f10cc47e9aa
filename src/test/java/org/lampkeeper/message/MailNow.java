package org.lampkeeper.message;

import java.util.List;
import java.util.concurrent.atomic.AtomicLong;

import jakarta.enterprise.context.ApplicationScoped;

import io.quarkus.runtime.ShutdownEvent;
import org.jboss.logging.Logger;

/**
 * Sends what is due on the caller's thread, by the same steps as the loop behind it. A test that moves the clock far at a time needs it: a lease that
 * began before the clock moved would be over after it, and a mail that is on its way would go twice.
 */
@ApplicationScoped
public class MailNow {

    private static final Logger LOG = Logger.getLogger(MailNow.class);
    private static final int TOGETHER = 16;

    private final Deliveries deliveries;
    private final Dispatcher dispatcher;
    private final AtomicLong notRecorded = new AtomicLong();

    MailNow(Deliveries deliveries, Dispatcher dispatcher) {
        this.deliveries = deliveries;
        this.dispatcher = dispatcher;
    }

    /** Ends the loop of the application under test, for as long as that runs. */
    public void alone() throws InterruptedException {
        dispatcher.stop(new ShutdownEvent());
    }

    /** Returns when nothing is due any more; fails where nothing could be claimed. */
    public void sendDue() {
        for (List<OutgoingMessage> due = deliveries.claim(TOGETHER); !due.isEmpty(); due = deliveries.claim(TOGETHER)) {
            due.forEach(this::send);
        }
    }

    private void send(OutgoingMessage message) {
        try {
            deliveries.deliver(message);
        } catch (RuntimeException failed) {
            LOG.warnf("%s: its outcome could not be recorded: %s", message, failed);
            notRecorded.incrementAndGet();
        }
    }

    /** Of how many messages so far nobody recorded what became of them; they are due again when their lease is over, and may go twice. */
    public long notRecorded() {
        return notRecorded.get();
    }
}
