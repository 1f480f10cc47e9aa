package org.lampkeeper.callout;

import java.time.Duration;
import java.time.Instant;
import java.util.Optional;
import java.util.function.Predicate;

/**
 * What a climb goes by; read anew at each step, so that a list that is changed during the night counts.
 *
 * @param list           as it is told now: see {@link CallOutList#hastened}
 * @param turnLength     how long whoever had it has to take what has joined; more than zero
 * @param callAgainAfter how long somebody who took it has to get it back to normal before everybody is called again; more than zero
 * @param offerFor       how long a person to whom it was handed on has to take it; more than zero
 * @param coldAt         the early end of the forecast of when the content is too cold; none where there is no forecast
 */
public record ClimbRules(CallOutList list, Duration turnLength, Duration callAgainAfter, Duration offerFor, Optional<Instant> coldAt) {

    /** Ours: how long until an empty list is looked at again; somebody may have filled it. */
    static final Duration NOBODY_RETRY = Duration.ofMinutes(5);

    public ClimbRules {
        requireMoreThanZero("turn length", turnLength);
        requireMoreThanZero("call again after", callAgainAfter);
        requireMoreThanZero("hand on for", offerFor);
    }

    /** With nobody on the list who is not waited for. */
    public ClimbRules(CallOutList list, Duration callAgainAfter, Duration offerFor, Optional<Instant> coldAt) {
        this(list, list.turnLength(), callAgainAfter, offerFor, coldAt);
    }

    /** Of whom on the list it is known that a message reaches them, only those are waited for. */
    public ClimbRules waitingOnlyFor(Predicate<Whom> isSure) {
        return new ClimbRules(list.hastened(isSure), turnLength, callAgainAfter, offerFor, coldAt);
    }

    /** When somebody who takes it now is called again, unless it is back to normal by then. */
    Instant callAgainAt(Instant now) {
        return coldAt.filter(now::isBefore).orElseGet(() -> now.plus(callAgainAfter));
    }

    private static void requireMoreThanZero(String name, Duration value) {
        if (value.isNegative() || value.isZero()) {
            throw new IllegalArgumentException("rules of a climb: " + name + " " + value + ", must be more than zero");
        }
    }
}
