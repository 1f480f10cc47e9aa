package org.lampkeeper.watch;

import java.time.Duration;
import java.util.List;
import java.util.Optional;
import java.util.concurrent.atomic.AtomicReference;

import jakarta.annotation.Priority;
import jakarta.enterprise.context.ApplicationScoped;
import jakarta.enterprise.event.Observes;

import io.micrometer.core.instrument.Counter;
import io.micrometer.core.instrument.MeterRegistry;
import io.quarkus.runtime.ShutdownEvent;
import io.quarkus.runtime.StartupEvent;
import org.jboss.logging.Logger;

import org.lampkeeper.message.LookLetters;
import org.lampkeeper.watch.DeadlineHandler.Opened;
import org.lampkeeper.watch.Deadlines.Deadline;

/**
 * Drains the deadlines of looks, which come by the thousand at the same minute: many in one transaction, on one thread beside those of
 * {@link DeadlineLoop}, so that of no loss anybody hears later for them. What fails together is handled one by one. Where many come together,
 * first all of them open, and then people are asked.
 */
@ApplicationScoped
class LookLoop {

    private static final Logger LOG = Logger.getLogger(LookLoop.class);
    private static final Duration TICK = Duration.ofMillis(250);
    /** Ours: a transaction of some tens of milliseconds, for which a loss at the same site may have to wait. */
    static final int TOGETHER = 100;
    /** Ours: so many full transactions, one after the other, are a morning at which everything opens. */
    private static final int MANY = 3;
    /** Then: some hundred milliseconds. Each statement costs the same for more looks. */
    private static final int TOGETHER_OF_MANY = 300;
    /** To open, then, without asking for them: four statements, some tens of milliseconds. */
    private static final int OPENED_TOGETHER = 1_000;
    private static final Duration LONGEST_STOP = Duration.ofSeconds(10);

    private final DeadlineHandler handler;
    private final DeadlineLoop oneByOne;
    private final LookLetters letters;
    private final ServiceConfig service;
    private final Counter handled;
    private final Counter openedTogether;
    private final WorkLoop loop;
    /** Full transactions since there was last nothing left. */
    private int full;
    /** Whether all that came due with many others have opened. */
    private boolean allOpen;
    /** The last that was looked at for it. */
    private Optional<Deadline> openedTo = Optional.empty();

    LookLoop(DeadlineHandler handler, DeadlineLoop oneByOne, LookLetters letters, ServiceConfig service, MeterRegistry meters) {
        this.handler = handler;
        this.oneByOne = oneByOne;
        this.letters = letters;
        this.service = service;
        this.handled = meters.counter("lampkeeper.looks.handled");
        this.openedTogether = meters.counter("lampkeeper.looks.opened.together");
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
        if (full >= MANY && !allOpen) {
            letters.letWait(true);
            openedTo = openSome();
            allOpen = openedTo.isEmpty();
            return true;
        }
        int most = full < MANY ? TOGETHER : TOGETHER_OF_MANY;
        boolean isFull = false;
        try {
            isFull = handle(most) == most;
            return isFull;
        } finally {
            full = isFull ? full + 1 : 0;
            if (!isFull) {
                allOpen = false;
                openedTo = Optional.empty();
            }
            letters.letWait(full >= MANY);
        }
    }

    /** How far it came; empty at the end. What cannot be opened with the others opens when it is asked for. */
    private Optional<Deadline> openSome() {
        try {
            Opened opened = handler.openLooks(openedTo, OPENED_TOGETHER);
            openedTogether.increment(opened.count());
            return opened.last();
        } catch (RuntimeException failure) {
            LOG.warn("looks could not be opened together and open as they are asked for", failure);
            return Optional.empty();
        }
    }

    /** Returns how many it was, of {@code most}. */
    private int handle(int most) {
        AtomicReference<List<Deadline>> claimed = new AtomicReference<>(List.of());
        int count;
        try {
            count = handler.handleLooks(most, claimed::set);
        } catch (RuntimeException failure) {
            List<Deadline> together = claimed.get();
            if (together.isEmpty()) {
                throw failure;
            }
            LOG.warnf(failure, "%d looks could not be handled together and are handled one by one", together.size());
            together.forEach(each -> oneByOne.handleOrPutOff(each.id()));
            count = most;
        }
        handled.increment(count);
        return count;
    }
}
