package org.lampkeeper.watch;

import java.time.Duration;
import java.util.concurrent.atomic.AtomicReference;

import jakarta.annotation.Priority;
import jakarta.enterprise.context.ApplicationScoped;
import jakarta.enterprise.event.Observes;

import io.quarkus.runtime.ShutdownEvent;
import io.quarkus.runtime.StartupEvent;
import org.jboss.logging.Logger;
import org.jspecify.annotations.Nullable;

import org.lampkeeper.watch.Deadlines.Deadline;

/** Drains the deadlines of this instance: woken after a commit that adds one, and by the clock. */
@ApplicationScoped
class DeadlineLoop {

    private static final Logger LOG = Logger.getLogger(DeadlineLoop.class);
    /** Ours: what a deadline may be late at most when no other instance handles it first. */
    private static final Duration TICK = Duration.ofMillis(250);

    private final DeadlineHandler handler;
    private final ServiceConfig service;
    private final WorkLoop loop;

    DeadlineLoop(DeadlineHandler handler, ServiceConfig service) {
        this.handler = handler;
        this.service = service;
        this.loop = new WorkLoop("deadlines", TICK, this::pass);
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
    void stop(@Observes @Priority(300) ShutdownEvent event) {
        loop.stop(Duration.ofSeconds(10));
    }

    boolean isRunning() {
        return loop.isRunning();
    }

    private boolean pass() {
        AtomicReference<@Nullable Deadline> claimed = new AtomicReference<>();
        try {
            return handler.handleNext(claimed::set);
        } catch (RuntimeException failure) {
            Deadline failed = claimed.get();
            if (failed == null) {
                throw failure;
            }
            LOG.errorf(failure, "deadline %d (%s of %d) could not be handled and is put off", failed.id(), failed.kind(),
                    failed.subjectId());
            handler.putOff(failed);
            return true;
        }
    }
}
