package org.lampkeeper.watch;

import java.time.Clock;
import java.time.Duration;
import java.time.Instant;
import java.util.Optional;
import java.util.concurrent.TimeUnit;

import jakarta.enterprise.context.ApplicationScoped;

import io.quarkus.narayana.jta.QuarkusTransaction;

import org.lampkeeper.journal.Entry;
import org.lampkeeper.journal.Head;
import org.lampkeeper.journal.Journal;
import org.lampkeeper.journal.JournalExtract;
import org.lampkeeper.journal.JournalExtract.Line;
import org.lampkeeper.register.CabinetName;

/** Writes down that evidence was made, so that each file of it hangs on the journal's chain. */
@ApplicationScoped
public class EvidenceDesk {

    private static final String KIND = "evidence-made";

    /** Ours: sealing takes less than a second; where it takes longer something is wrong, and whoever waits is told. */
    private static final Duration SEALED_WITHIN = Duration.ofSeconds(10);
    private static final long LOOK_AGAIN_MS = 50;

    private final Journal journal;
    private final JournalExtract extract;
    private final Clock clock;

    EvidenceDesk(Journal journal, JournalExtract extract, Clock clock) {
        this.journal = journal;
        this.extract = extract;
        this.clock = clock;
    }

    /** The entry and the head before it. */
    public record Made(Line entry, Head previous) {
    }

    /**
     * Blocks until the entry is sealed.
     *
     * @param fingerprint SHA-256 of what was made
     * @return empty when nobody sealed it within ten seconds; it is written down all the same
     */
    public Optional<Made> made(CabinetName cabinet, Instant from, Instant until, String personReference, String fingerprint) {
        QuarkusTransaction.requiringNew().run(() -> journal.append(Entry.of(clock.instant(), KIND).site(cabinet.site().id()).cabinet(cabinet.cabinetId())
                .with("person", personReference).with("from", from).with("until", until).with("contents", fingerprint)));
        long end = System.nanoTime() + SEALED_WITHIN.toNanos();
        try {
            Optional<Line> sealed = extract.sealed(KIND, cabinet.cabinetId(), fingerprint);
            while (sealed.isEmpty() && System.nanoTime() < end) {
                TimeUnit.MILLISECONDS.sleep(LOOK_AGAIN_MS);
                sealed = extract.sealed(KIND, cabinet.cabinetId(), fingerprint);
            }
            return sealed.map(line -> new Made(line, extract.at(line.head().number() - 1)));
        } catch (InterruptedException stopped) {
            Thread.currentThread().interrupt();
            return Optional.empty();
        }
    }
}
