package org.lampkeeper.watch;

import java.time.Duration;
import java.util.List;
import java.util.concurrent.atomic.AtomicReference;

import jakarta.annotation.Priority;
import jakarta.enterprise.context.ApplicationScoped;
import jakarta.enterprise.event.Observes;

import io.micrometer.core.instrument.Counter;
import io.micrometer.core.instrument.MeterRegistry;
import io.quarkus.runtime.ShutdownEvent;
import io.quarkus.runtime.StartupEvent;
import org.jboss.logging.Logger;

import org.lampkeeper.watch.Deadlines.Deadline;

/**
 * Drains the deadlines of looks, which come by the thousand at the same minute: many in one transaction, on one thread beside those of
 * {@link DeadlineLoop}, so that of no loss anybody hears later for them. What fails together is handled one by one.
 */
@ApplicationScoped
class LookLoop {

    private static final Logger LOG = Logger.getLogger(LookLoop.class);
    private static final Duration TICK = Duration.ofMillis(250);
    /** Ours: a transaction of some tens of milliseconds, for which a loss at the same site may have to wait. */
    static final int TOGETHER = 100;
    private static final Duration LONGEST_STOP = Duration.ofSeconds(10);

    private final DeadlineHandler handler;
    private final DeadlineLoop oneByOne;
    private final ServiceConfig service;
    private final Counter handled;
    private final WorkLoop loop;

    LookLoop(DeadlineHandler handler, DeadlineLoop oneByOne, ServiceConfig service, MeterRegistry meters) {
        this.handler = handler;
        this.oneByOne = oneByOne;
        this.service = service;
        this.handled = meters.counter("lampkeeper.looks.handled");
        this.loop = new WorkLoop("looks", TICK, this::pass);
    }

    void start(@Observes @Priority(2_000) StartupEvent event) {
        if (service.loops()) {
            loop.start();
        }
    }

    void added(@Observes Deadlines.Added added) {
        loop.wake();
    }

    /** As {@link DeadlineLoop#stop}. */
    void stop(@Observes @Priority(300) ShutdownEvent event) {
        loop.stop(LONGEST_STOP);
    }

    boolean isRunning() {
        return loop.isRunning();
    }

    private boolean pass() {
        AtomicReference<List<Deadline>> claimed = new AtomicReference<>(List.of());
        try {
            int count = handler.handleLooks(TOGETHER, claimed::set);
            handled.increment(count);
            return count == TOGETHER;
        } catch (RuntimeException failure) {
            List<Deadline> together = claimed.get();
            if (together.isEmpty()) {
                throw failure;
            }
            LOG.warnf(failure, "%d looks could not be handled together and are handled one by one", together.size());
            together.forEach(each -> oneByOne.handleOrPutOff(each.id()));
            handled.increment(together.size());
            return true;
        }
    }
}
