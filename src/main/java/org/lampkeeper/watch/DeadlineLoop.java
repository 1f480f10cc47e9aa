package org.lampkeeper.watch;

import java.time.Duration;
import java.util.List;
import java.util.Set;
import java.util.concurrent.ConcurrentHashMap;
import java.util.concurrent.ExecutorService;
import java.util.concurrent.Executors;
import java.util.concurrent.Semaphore;
import java.util.concurrent.TimeUnit;
import java.util.concurrent.atomic.AtomicInteger;
import java.util.concurrent.atomic.AtomicReference;

import jakarta.annotation.Priority;
import jakarta.enterprise.context.ApplicationScoped;
import jakarta.enterprise.event.Observes;

import io.quarkus.runtime.ShutdownEvent;
import io.quarkus.runtime.StartupEvent;
import org.jboss.logging.Logger;
import org.jspecify.annotations.Nullable;

import org.lampkeeper.watch.Deadlines.Deadline;

/**
 * Drains the deadlines of this instance but those of looks, which have {@link LookLoop}: woken after a commit that adds one, and by the clock. Several are handled side by side, since
 * each mostly waits for the database; what is about the same sensor or site waits for its row.
 */
@ApplicationScoped
class DeadlineLoop {

    private static final Logger LOG = Logger.getLogger(DeadlineLoop.class);
    /** Ours: what a deadline may be late at most when no other instance handles it first. */
    private static final Duration TICK = Duration.ofMillis(250);
    /** Ours: enough to keep the workers busy until the next look. */
    private static final int LOOK = 64;
    private static final Duration LONGEST_STOP = Duration.ofSeconds(10);

    private final DeadlineHandler handler;
    private final ServiceConfig service;
    private final WorkLoop loop;
    private final ExecutorService workers;
    private final Semaphore free;
    private final Set<Long> inHand = ConcurrentHashMap.newKeySet();

    DeadlineLoop(DeadlineHandler handler, ServiceConfig service, WatchConfig config) {
        this.handler = handler;
        this.service = service;
        this.loop = new WorkLoop("deadlines", TICK, this::pass);
        this.free = new Semaphore(config.deadlineWorkers());
        AtomicInteger number = new AtomicInteger();
        this.workers = Executors.newFixedThreadPool(config.deadlineWorkers(), work -> {
            Thread worker = new Thread(work, "lampkeeper-deadline-" + number.incrementAndGet());
            worker.setDaemon(true);
            return worker;
        });
    }

    void start(@Observes @Priority(2_000) StartupEvent event) {
        if (service.loops()) {
            loop.start();
        }
    }

    void added(@Observes Deadlines.Added added) {
        loop.wake();
    }

    /** After what is heard has ended, and before those go whom a deadline needs: at the destruction of beans the database may be gone. */
    void stop(@Observes @Priority(300) ShutdownEvent event) throws InterruptedException {
        loop.stop(LONGEST_STOP);
        workers.shutdown();
        if (!workers.awaitTermination(LONGEST_STOP.toMillis(), TimeUnit.MILLISECONDS)) {
            LOG.warn("deadlines were still being handled at the stop; what was not committed comes up again");
        }
    }

    boolean isRunning() {
        return loop.isRunning();
    }

    /** Hands out what is due and is not in hand yet, each as soon as a worker is free; true where there may be more. */
    private boolean pass() {
        List<Long> due = handler.due(LOOK);
        for (long id : due) {
            if (inHand.add(id)) {
                free.acquireUninterruptibly();
                workers.execute(() -> handle(id));
            }
        }
        return due.size() == LOOK;
    }

    private void handle(long id) {
        try {
            handleOrPutOff(id);
        } finally {
            inHand.remove(id);
            free.release();
        }
    }

    /** On the caller's thread; one that fails is put off. */
    void handleOrPutOff(long id) {
        AtomicReference<@Nullable Deadline> claimed = new AtomicReference<>();
        try {
            handler.handle(id, claimed::set);
        } catch (RuntimeException failure) {
            putOff(id, claimed.get(), failure);
        }
    }

    private void putOff(long id, @Nullable Deadline failed, RuntimeException failure) {
        if (failed == null) {
            LOG.errorf(failure, "deadline %d could not be claimed and comes up again", id);
            return;
        }
        LOG.errorf(failure, "deadline %d (%s of %d) could not be handled and is put off", failed.id(), failed.kind(), failed.subjectId());
        try {
            handler.putOff(failed);
        } catch (RuntimeException alsoFailed) {
            LOG.errorf(alsoFailed, "deadline %d could not be put off either and comes up again", failed.id());
        }
    }
}
