package org.lampkeeper.callout;

import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import java.util.function.Predicate;

/**
 * Who is told, in order, how often, and what happens when nobody of them takes it.
 *
 * @param turns       in the order of telling; may be empty, and then nobody is told in turn
 * @param repeatAfter how long after the last turn of a round the next round begins, or the last resort is told, and told again; more
 *                    than zero, so that a list of people who are all told at once cannot spin
 * @param rounds      how often the list is gone through before the last resort; 1 or more. Without a last resort it goes on for ever
 * @param lastResort  whether everybody of the site is told once the rounds are over
 */
public record CallOutList(List<Turn> turns, Duration repeatAfter, int rounds, boolean lastResort) {

    /** Ours: told three times in vain, somebody is asleep or away. */
    public static final int USUAL_ROUNDS = 3;

    public CallOutList {
        turns = List.copyOf(turns);
        if (repeatAfter.isNegative() || repeatAfter.isZero()) {
            throw new IllegalArgumentException("call-out list: repeat after " + repeatAfter + ", must be more than zero");
        }
        if (rounds < 1) {
            throw new IllegalArgumentException("call-out list: " + rounds + " rounds, must be 1 or more");
        }
    }

    /** Gone through {@link #USUAL_ROUNDS} times, then the last resort. */
    public CallOutList(List<Turn> turns, Duration repeatAfter) {
        this(turns, repeatAfter, USUAL_ROUNDS, true);
    }

    /** How long somebody usually has before the next is told. */
    Duration turnLength() {
        return turns.stream().map(Turn::after).filter(after -> !after.isZero()).findFirst().orElse(repeatAfter);
    }

    /**
     * The same list without waiting for anybody of whom it is not known that a message reaches them: the turn after one that is not sure
     * comes together with it.
     */
    public CallOutList hastened(Predicate<Whom> isSure) {
        List<Turn> hastened = new ArrayList<>();
        boolean isWaitedFor = true;
        for (Turn turn : turns) {
            Duration after = isWaitedFor ? turn.after() : Duration.ZERO;
            // Of several who are told together, one who is sure is worth the wait.
            isWaitedFor = isSure.test(turn.whom()) || after.isZero() && isWaitedFor && !hastened.isEmpty();
            hastened.add(new Turn(turn.whom(), after));
        }
        return new CallOutList(hastened, repeatAfter, rounds, lastResort);
    }
}
