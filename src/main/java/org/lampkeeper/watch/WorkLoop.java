package org.lampkeeper.watch;

import java.time.Duration;
import java.util.concurrent.Semaphore;
import java.util.concurrent.TimeUnit;
import java.util.function.BooleanSupplier;

import org.jboss.logging.Logger;

/**
 * A thread that works while there is work, then rests until it is woken or an interval has passed. It survives any failure of one pass,
 * and a stop waits for the pass under way.
 */
final class WorkLoop {

    private static final Logger LOG = Logger.getLogger(WorkLoop.class);

    private final String name;
    private final Duration interval;
    private final BooleanSupplier pass;
    private final Semaphore wake = new Semaphore(0);
    private final Thread thread;
    private volatile boolean stopping;

    /** {@code pass} returns whether it found something to do, so that it should be asked again at once. */
    WorkLoop(String name, Duration interval, BooleanSupplier pass) {
        this.name = name;
        this.interval = interval;
        this.pass = pass;
        this.thread = new Thread(this::run, "lampkeeper-" + name);
        this.thread.setDaemon(true);
    }

    void start() {
        thread.start();
    }

    void wake() {
        if (wake.availablePermits() == 0) {
            wake.release();
        }
    }

    boolean isRunning() {
        return thread.isAlive();
    }

    void stop(Duration atMost) {
        stopping = true;
        wake.release();
        try {
            thread.join(atMost.toMillis());
        } catch (InterruptedException interrupted) {
            Thread.currentThread().interrupt();
        }
    }

    private void run() {
        boolean failedBefore = false;
        while (!stopping) {
            boolean more = false;
            try {
                more = pass.getAsBoolean();
                failedBefore = false;
            } catch (RuntimeException | Error failure) {
                // Keeps the worker alive; what it was about is untouched in the database and comes up again.
                if (failedBefore) {
                    LOG.warnf("%s: failed again: %s", name, failure.toString());
                } else {
                    LOG.errorf(failure, "%s: a pass failed and will be tried again", name);
                }
                failedBefore = true;
            }
            if (!more) {
                rest();
            }
        }
    }

    private void rest() {
        try {
            wake.tryAcquire(interval.toMillis(), TimeUnit.MILLISECONDS);
            wake.drainPermits();
        } catch (InterruptedException interrupted) {
            stopping = true;
        }
    }
}
