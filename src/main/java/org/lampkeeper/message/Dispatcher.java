package org.lampkeeper.message;

import java.util.List;
import java.util.concurrent.ExecutorService;
import java.util.concurrent.Executors;
import java.util.concurrent.Semaphore;
import java.util.concurrent.TimeUnit;
import java.util.concurrent.atomic.AtomicInteger;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.enterprise.event.Observes;
import jakarta.enterprise.event.TransactionPhase;

import io.quarkus.runtime.ShutdownEvent;
import io.quarkus.runtime.StartupEvent;
import org.jboss.logging.Logger;

/**
 * Sends what waits in the outbox. One loop and a few workers run in every instance; a message is claimed only when a worker is free, so
 * a lease never runs out in a queue. Woken by every commit that put a message, and by itself now and then for what comes due.
 */
@ApplicationScoped
class Dispatcher {

    private static final Logger LOG = Logger.getLogger(Dispatcher.class);
    /** Ours: long enough not to fill the log while a database is away, short enough to send soon after it is back. */
    private static final long PAUSE_AFTER_FAILURE_MS = 1000;

    private final Deliveries deliveries;
    private final MessageConfig config;
    private final Semaphore wakeUp = new Semaphore(0);
    private final Semaphore free;
    private final ExecutorService workers;
    private final Thread loop = new Thread(this::run, "message-dispatcher");
    private volatile boolean stopping;

    /** Takes the channels so that a wrong setting of one stops the start, not the first alarm. */
    Dispatcher(Deliveries deliveries, Channels channels, MessageConfig config) {
        LOG.infof("people can be told by %s", String.join(", ", channels.offered().stream().map(Channels.Kind::label).toList()));
        this.deliveries = deliveries;
        this.config = config;
        free = new Semaphore(config.workers());
        AtomicInteger number = new AtomicInteger();
        workers = Executors.newFixedThreadPool(config.workers(), work -> {
            Thread worker = new Thread(work, "message-worker-" + number.incrementAndGet());
            worker.setDaemon(true);
            return worker;
        });
        loop.setDaemon(true);
    }

    void start(@Observes StartupEvent started) {
        loop.start();
    }

    void put(@Observes(during = TransactionPhase.AFTER_SUCCESS) Outbox.Put put) {
        wakeUp.release();
    }

    /** Claims nothing more, and lets what is on its way arrive and be recorded; what does not in time is sent again after its lease. */
    void stop(@Observes ShutdownEvent stopped) throws InterruptedException {
        stopping = true;
        wakeUp.release();
        // Not interrupted: a thread of H2 that is interrupted while it reads closes the database file under everybody.
        loop.join(TimeUnit.SECONDS.toMillis(5));
        workers.shutdown();
        if (!workers.awaitTermination(10, TimeUnit.SECONDS)) {
            LOG.warn("messages were still on their way at the stop; they are sent again after their lease");
        }
    }

    private void run() {
        while (!stopping) {
            try {
                if (sendSome() == 0) {
                    wakeUp.tryAcquire(config.poll().toMillis(), TimeUnit.MILLISECONDS);
                    wakeUp.drainPermits();
                }
            } catch (InterruptedException ended) {
                return;
            } catch (RuntimeException failed) {
                LOG.errorf(failed, "message: claiming failed, tried again in %d ms", PAUSE_AFTER_FAILURE_MS);
                pause();
            }
        }
    }

    private void pause() {
        try {
            TimeUnit.MILLISECONDS.sleep(PAUSE_AFTER_FAILURE_MS);
        } catch (InterruptedException ended) {
            stopping = true;
        }
    }

    /** Claims as many as workers are free, waiting a little for the first of them, and returns how many were claimed. */
    private int sendSome() throws InterruptedException {
        if (!free.tryAcquire(config.poll().toMillis(), TimeUnit.MILLISECONDS)) {
            return 0;
        }
        int held = 1 + free.drainPermits();
        int used = 0;
        try {
            List<OutgoingMessage> claimed = deliveries.claim(held);
            for (OutgoingMessage message : claimed) {
                workers.execute(() -> send(message));
                used++;
            }
            return claimed.size();
        } finally {
            free.release(held - used);
        }
    }

    private void send(OutgoingMessage message) {
        try {
            deliveries.deliver(message);
        } catch (RuntimeException failed) {
            LOG.errorf(failed, "%s: its outcome could not be recorded, it is sent again after its lease", message);
        } finally {
            free.release();
        }
    }
}
