package org.lampkeeper.alarm;

import java.time.Instant;
import java.util.Collections;
import java.util.EnumSet;
import java.util.Optional;
import java.util.Set;

/**
 * How Lampkeeper itself is.
 *
 * @param isBrokerThere     whether sensors can reach a broker
 * @param isListening       whether sensors are heard
 * @param lastListened      when they last were; empty for never
 * @param mailFailingSince  no mail could be handed over since then
 * @param unsentSince       when the oldest message was put that should have left by now
 * @param deadlinesOverdue  things that were due and have not been done; zero or more
 * @param isJournalIntact   what the last verification found; true where there was none
 * @param unsealed          journal entries that should have been sealed by now; zero or more
 * @param standing          alarms about Lampkeeper itself whose condition is there
 */
public record OwnHealth(boolean isBrokerThere, boolean isListening, Optional<Instant> lastListened, Optional<Instant> mailFailingSince,
        Optional<Instant> unsentSince, long deadlinesOverdue, boolean isJournalIntact, long unsealed, Set<AlarmKind> standing) {

    public OwnHealth {
        if (deadlinesOverdue < 0 || unsealed < 0) {
            throw new IllegalArgumentException("overdue " + deadlinesOverdue + ", unsealed " + unsealed + ": must be zero or more");
        }
        // In the order of the kinds, so that a sentence is always the same.
        standing = standing.isEmpty() ? Set.of() : Collections.unmodifiableSet(EnumSet.copyOf(standing));
    }
}
