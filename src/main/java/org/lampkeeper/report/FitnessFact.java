package org.lampkeeper.report;

import java.time.Instant;

import org.lampkeeper.report.UnfitRecord.Reason;

/** What the journal says about whether a cabinet could be relied upon. {@code at}: as observed, so a late entry tells of what was earlier. */
public sealed interface FitnessFact {

    Instant at();

    /** What somebody who was there said. */
    enum Verdict {
        FIT, NOT_FIT,
        /** Nothing of it, or that it is not settled. */
        OPEN
    }

    /** It was measured, or seen, that it is not as it must be. */
    record Found(Reason reason, Instant at) implements FitnessFact {
    }

    /** What was found is over by the rules of the alarm about it. */
    record Settled(Reason reason, Instant at) implements FitnessFact {
    }

    /** The supply was lost. {@code pastLimit}: the early end of what was forecast then, of when the content may be past its limits. */
    record Lost(Instant at, Instant pastLimit) implements FitnessFact {
    }

    /** The supply is back, or nobody says any more that it is away. */
    record NotLost(Instant at) implements FitnessFact {
    }

    /**
     * One saving of the attendance record of a visit.
     *
     * @param at      when they arrived, or when it was written where that is not said
     * @param written whoever says fit of a visit of which it was said before that it is not, says it of then
     */
    record Said(long alarmId, int visit, Verdict verdict, Instant at, Instant written) implements FitnessFact {
    }

    record LeftUse(String because, Instant at) implements FitnessFact {
    }

    record CameBack(Instant at) implements FitnessFact {
    }
}
