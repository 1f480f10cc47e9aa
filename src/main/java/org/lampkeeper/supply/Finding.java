package org.lampkeeper.supply;

import java.time.Instant;

/** What a fact turned out to mean for a supply. Times are as observed unless said otherwise. */
public sealed interface Finding {

    /** The first report ever heard of this sensor. */
    record FirstHeard(Instant at) implements Finding {
    }

    /** A loss was reported and is being confirmed until {@code confirmAt}. */
    record LossSuspected(Instant since, Instant confirmAt) implements Finding {
    }

    /** The loss lasted: a person must act. */
    record LossConfirmed(Instant since) implements Finding {
    }

    /** The supply was away and came back before the loss was confirmed. */
    record DipEnded(Instant from, Instant to) implements Finding {
    }

    /** {@code dips} short losses since {@code since}: something makes and breaks. */
    record Unsteady(int dips, Instant since) implements Finding {
    }

    /** A fresh, clean report says that a confirmed loss is over. */
    record SupplyReturned(Instant lostSince, Instant at) implements Finding {
    }

    /** Nothing was heard within the promise and the grace; last heard at {@code lastObservedAt}. */
    record WentSilent(Instant lastObservedAt, Instant since) implements Finding {
    }

    /** A report came after silence or a link that was down. */
    record HeardAgain(Instant quietSince, Instant at) implements Finding {
    }

    /** The sensor's link to the broker went down at {@code at} (receive time). */
    record LinkWentDown(Instant at) implements Finding {
    }

    /** The sensor's link is up again; its supply stays unknown until it reports. */
    record LinkCameUp(Instant at) implements Finding {
    }

    /** An older report arrived late: kept for the record, the present does not change. */
    record LateReport(Instant at, boolean supplied) implements Finding {
    }

    /** A report whose time is in doubt said healthy during a loss, or cannot be dated at all: it cleared nothing. */
    record DoubtfulReport(Instant at, boolean supplied) implements Finding {
    }

    /** The sensor's clock was right and is odd now, or the other way round. */
    record ClockJudged(boolean odd) implements Finding {
    }
}
