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
 * @param coldAt         the early end of the forecast of when the content is too cold, or too hot; none where it is not expected, or where there is no forecast
 * @param mayTakeTime    whether the owner of all that it is about has chosen that people are told more slowly while there is time, and a forecast says that there is
 */
public record ClimbRules(CallOutList list, Duration turnLength, Duration callAgainAfter, Duration offerFor, Optional<Instant> coldAt,
        boolean mayTakeTime) {

    /** Ours: somebody must still get there and do something before the early end. */
    static final Duration LEAD = Duration.ofMinutes(30);

    /** Ours: the other half of the time left is for whoever goes. */
    private static final int SHARE_FOR_TELLING = 2;

    // Ours: in less nobody has read a message, or a round of messages.
    private static final Duration SHORTEST_WAIT = Duration.ofMinutes(1);
    private static final Duration SHORTEST_REPEAT = Duration.ofMinutes(5);

    /** Ours: so many times slower where the owner has chosen so; never beyond an eighth of the time left. */
    private static final int SLOWER = 3;
    private static final int SHARE_OF_A_SLOW_WAIT = 8;

    /** Ours: how long until an empty list is looked at again; somebody may have filled it. */
    static final Duration NOBODY_RETRY = Duration.ofMinutes(5);

    public ClimbRules {
        requireMoreThanZero("turn length", turnLength);
        requireMoreThanZero("call again after", callAgainAfter);
        requireMoreThanZero("hand on for", offerFor);
    }

    /** With nobody on the list who is not waited for. */
    public ClimbRules(CallOutList list, Duration callAgainAfter, Duration offerFor, Optional<Instant> coldAt) {
        this(list, list.turnLength(), callAgainAfter, offerFor, coldAt, false);
    }

    /** The same where people may be told more slowly. */
    public ClimbRules takingTime() {
        return new ClimbRules(list, turnLength, callAgainAfter, offerFor, coldAt, true);
    }

    /** Of whom on the list it is known that a message reaches them, only those are waited for. */
    public ClimbRules waitingOnlyFor(Predicate<Whom> isSure) {
        return new ClimbRules(list.hastened(isSure), turnLength, callAgainAfter, offerFor, coldAt, mayTakeTime);
    }

    /** When somebody who takes it now is called again, unless it is back to normal by then: before the early end, and never later than usual. */
    Instant callAgainAt(Instant now) {
        Instant usual = now.plus(callAgainAfter);
        return coldAt.filter(now::isBefore).map(cold -> before(cold, now)).filter(usual::isAfter).orElse(usual);
    }

    /**
     * The same for somebody who took it before, now that the forecast is another. Nearer where that is in time now, further off only where the early
     * end has moved away: with the same early end it stays, or it would move away at each look and never come.
     */
    Instant callAgainAt(Instant takenAt, Instant before, Instant now) {
        if (coldAt.filter(now::isBefore).isEmpty()) {
            return before;
        }
        Instant usual = takenAt.plus(callAgainAfter);
        Instant inTime = coldAt.get().minus(LEAD);
        Instant nearer = before(coldAt.get(), now);
        Instant again = nearer.isBefore(before) ? nearer : inTime.isAfter(before) ? inTime : before;
        return again.isAfter(usual) ? usual : again;
    }

    /** Whether the early end is so near, or past, that it is the reason to call again. */
    boolean isColdSoon(Instant now) {
        return coldAt.filter(cold -> !cold.minus(LEAD).isAfter(now)).isPresent();
    }

    private static Instant before(Instant cold, Instant now) {
        Duration left = Duration.between(now, cold);
        return LEAD.compareTo(left.dividedBy(2)) < 0 ? cold.minus(LEAD) : now.plus(left.dividedBy(2));
    }

    /**
     * How long is waited before the next is told. Shorter where the rest of the round would take more than half of the time left, longer only
     * where the owner has chosen so; a forecast never makes a list slower than it is without that choice.
     *
     * @param wait     as the list says it
     * @param rest     what is left of the round with this wait, as the list says it
     * @param isRepeat whether a whole round follows
     * @param round    0 for the first. Later, once it is too late, hurry is only noise
     */
    Duration paced(Duration wait, Duration rest, boolean isRepeat, int round, Instant now) {
        if (wait.isZero() || coldAt.isEmpty() || (round > 0 && !coldAt.get().isAfter(now))) {
            return mayTakeTime && coldAt.isEmpty() ? wait.multipliedBy(SLOWER) : wait;
        }
        Duration left = coldAt.get().isAfter(now) ? Duration.between(now, coldAt.get()) : Duration.ZERO;
        Duration forTelling = left.dividedBy(SHARE_FOR_TELLING);
        if (rest.compareTo(forTelling) <= 0) {
            return mayTakeTime ? longest(wait, shortest(wait.multipliedBy(SLOWER), left.dividedBy(SHARE_OF_A_SLOW_WAIT))) : wait;
        }
        double share = (double) forTelling.toMillis() / rest.toMillis();
        Duration hurried = Duration.ofMillis((long) (wait.toMillis() * share));
        return shortest(wait, longest(hurried, isRepeat ? SHORTEST_REPEAT : SHORTEST_WAIT));
    }

    private static Duration shortest(Duration one, Duration other) {
        return one.compareTo(other) <= 0 ? one : other;
    }

    private static Duration longest(Duration one, Duration other) {
        return one.compareTo(other) >= 0 ? one : other;
    }

    private static void requireMoreThanZero(String name, Duration value) {
        if (value.isNegative() || value.isZero()) {
            throw new IllegalArgumentException("rules of a climb: " + name + " " + value + ", must be more than zero");
        }
    }
}
