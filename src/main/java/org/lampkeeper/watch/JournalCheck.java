package org.lampkeeper.watch;

import java.time.Clock;
import java.time.Instant;
import java.util.List;
import java.util.Optional;
import java.util.concurrent.atomic.AtomicReference;

import jakarta.enterprise.context.ApplicationScoped;

import io.quarkus.narayana.jta.QuarkusTransaction;
import org.eclipse.microprofile.context.ManagedExecutor;
import org.jboss.logging.Logger;

import org.lampkeeper.journal.Entry;
import org.lampkeeper.journal.Head;
import org.lampkeeper.journal.Journal;
import org.lampkeeper.journal.JournalVerifier;
import org.lampkeeper.journal.Verdict;

/**
 * Has the journal verified behind the page that asked for it, and writes down what came of it. One at a time in each instance; can be used
 * by many threads.
 */
@ApplicationScoped
public class JournalCheck {

    /** The kind of the entry that a verification leaves. */
    public static final String KIND = "journal-verified";

    private static final Logger LOG = Logger.getLogger(JournalCheck.class);

    private final AtomicReference<State> state = new AtomicReference<>(new State.Idle());
    private final JournalVerifier verifier;
    private final Journal journal;
    private final ManagedExecutor executor;
    private final Clock clock;

    JournalCheck(JournalVerifier verifier, Journal journal, ManagedExecutor executor, Clock clock) {
        this.verifier = verifier;
        this.journal = journal;
        this.executor = executor;
        this.clock = clock;
    }

    /** How far this instance has come. */
    public sealed interface State {
        /** Nothing was asked since the start. */
        record Idle() implements State {
        }

        /** At work; {@code reached} of {@code all} entries were found intact so far. */
        record Running(Instant since, long reached, long all) implements State {
        }

        /** Over; the journal itself has an entry that says the same. */
        record Done(Instant at, Verdict verdict) implements State {
        }

        /** It could not be read to its end, which says nothing about the journal. */
        record Failed(Instant at) implements State {
        }
    }

    public State state() {
        return state.get();
    }

    /**
     * Begins, unless one is at work already; returns at once.
     *
     * @param kept            a head that somebody kept, to compare with
     * @param personReference who asked
     */
    public void begin(Optional<Head> kept, String personReference) {
        State before = state.get();
        State.Running running = new State.Running(clock.instant(), 0, journal.head().number());
        if (before instanceof State.Running || !state.compareAndSet(before, running)) {
            return;
        }
        executor.execute(() -> run(kept.map(List::of).orElse(List.of()), personReference, running));
    }

    private void run(List<Head> kept, String personReference, State.Running begun) {
        try {
            Verdict verdict = verifier.verify(kept,
                    reached -> state.set(new State.Running(begun.since(), reached, Math.max(reached, begun.all()))));
            Instant now = clock.instant();
            QuarkusTransaction.requiringNew().run(() -> journal.append(entry(verdict, kept, personReference, now)));
            state.set(new State.Done(now, verdict));
        } catch (RuntimeException failed) {
            LOG.error("the journal could not be verified to its end", failed);
            state.set(new State.Failed(clock.instant()));
        }
    }

    private static Entry entry(Verdict verdict, List<Head> kept, String personReference, Instant now) {
        Entry entry = Entry.of(now, KIND).site(SiteWatches.INSTALLATION).with("person", personReference)
                .with("intact", verdict instanceof Verdict.Intact).with("compared-with", kept.stream().map(Head::number).findFirst());
        if (verdict instanceof Verdict.Intact intact) {
            return entry.with("number", intact.head().number()).with("hash", intact.head().hash());
        }
        Verdict.Broken broken = (Verdict.Broken) verdict;
        return entry.with("number", broken.number()).with("fault", broken.fault()).with("explanation", broken.explanation());
    }
}
