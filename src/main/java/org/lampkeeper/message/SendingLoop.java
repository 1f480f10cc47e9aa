package org.lampkeeper.message;

import java.time.Duration;
import java.util.List;
import java.util.concurrent.ExecutorService;
import java.util.concurrent.Executors;
import java.util.concurrent.Semaphore;
import java.util.concurrent.TimeUnit;
import java.util.concurrent.atomic.AtomicInteger;
import java.util.function.Consumer;
import java.util.function.IntFunction;

import org.jboss.logging.Logger;

/**
 * One loop that claims and a few workers that send. Something is claimed only when a worker is free, so a lease never runs out in a queue.
 *
 * @param <T> what is sent
 */
final class SendingLoop<T> {

    private static final Logger LOG = Logger.getLogger(SendingLoop.class);
    /** Ours: long enough not to fill the log while a database is away, short enough to send soon after it is back. */
    private static final long PAUSE_AFTER_FAILURE_MS = 1000;

    private final String name;
    private final Duration poll;
    private final IntFunction<List<T>> claim;
    private final Consumer<T> send;
    private final Semaphore wakeUp = new Semaphore(0);
    private final Semaphore free;
    private final ExecutorService workers;
    private final Thread loop;
    private volatile boolean stopping;

    /**
     * @param name  of what is sent, for threads and log
     * @param poll  how long the loop sleeps when nobody wakes it
     * @param claim leases up to that many
     * @param send  sends one and records what became of it
     */
    SendingLoop(String name, int workers, Duration poll, IntFunction<List<T>> claim, Consumer<T> send) {
        this.name = name;
        this.poll = poll;
        this.claim = claim;
        this.send = send;
        this.free = new Semaphore(workers);
        AtomicInteger number = new AtomicInteger();
        this.workers = Executors.newFixedThreadPool(workers, work -> daemon(work, name + "-worker-" + number.incrementAndGet()));
        this.loop = daemon(this::run, name + "-dispatcher");
    }

    private static Thread daemon(Runnable work, String name) {
        Thread thread = new Thread(work, name);
        thread.setDaemon(true);
        return thread;
    }

    void start() {
        loop.start();
    }

    void wake() {
        wakeUp.release();
    }

    /** Claims nothing more, and lets what is on its way arrive and be recorded; what does not in time is sent again after its lease. */
    void stop() throws InterruptedException {
        stopping = true;
        wakeUp.release();
        // Not interrupted: a thread of H2 that is interrupted while it reads closes the database file under everybody.
        loop.join(TimeUnit.SECONDS.toMillis(5));
        workers.shutdown();
        if (!workers.awaitTermination(10, TimeUnit.SECONDS)) {
            LOG.warnf("%s: some were still on their way at the stop; they are sent again after their lease", name);
        }
    }

    private void run() {
        while (!stopping) {
            try {
                if (sendSome() == 0) {
                    wakeUp.tryAcquire(poll.toMillis(), TimeUnit.MILLISECONDS);
                    wakeUp.drainPermits();
                }
            } catch (InterruptedException ended) {
                return;
            } catch (RuntimeException failed) {
                LOG.errorf(failed, "%s: claiming failed, tried again in %d ms", name, PAUSE_AFTER_FAILURE_MS);
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
        if (!free.tryAcquire(poll.toMillis(), TimeUnit.MILLISECONDS)) {
            return 0;
        }
        int held = 1 + free.drainPermits();
        int used = 0;
        try {
            List<T> claimed = claim.apply(held);
            for (T each : claimed) {
                workers.execute(() -> send(each));
                used++;
            }
            return claimed.size();
        } finally {
            free.release(held - used);
        }
    }

    private void send(T each) {
        try {
            send.accept(each);
        } catch (RuntimeException failed) {
            LOG.errorf(failed, "%s: its outcome could not be recorded, it is sent again after its lease", each);
        } finally {
            free.release();
        }
    }
}
