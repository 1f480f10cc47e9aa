package org.lampkeeper.callout;

import java.time.Duration;
import java.util.List;
import java.util.Optional;

import org.lampkeeper.callout.Due.NobodyToTell;
import org.lampkeeper.callout.Due.Tell;

/**
 * The climb along a call-out list. All that a call-out has to remember is how many turns it gave: the list is read again at each step,
 * so that a person added during the night is told too.
 */
public final class CallOuts {

    private CallOuts() {
    }

    /** How long after the start the first turn is; none for an empty list. Later rounds begin after {@code repeatAfter} instead. */
    public static Optional<Duration> firstAfter(CallOutList list) {
        return list.turns().stream().findFirst().map(Turn::after);
    }

    /**
     * The step after {@code told} turns: the next turn, and those of the same round that follow it without delay.
     *
     * @param told turns given so far, over all rounds; zero or more
     */
    public static Due due(CallOutList list, int told) {
        List<Turn> turns = list.turns();
        if (turns.isEmpty()) {
            requireNotNegative(told);
            return new NobodyToTell();
        }
        int first = indexOf(turns, told);
        int end = first + 1;
        while (end < turns.size() && turns.get(end).after().isZero()) {
            end++;
        }
        List<Long> people = turns.subList(first, end).stream().map(Turn::personId).distinct().toList();
        Duration next = end == turns.size() ? list.repeatAfter() : turns.get(end).after();
        return new Tell(people, told + end - first, next);
    }

    /** Who is told first at the next step. */
    public static Optional<Long> upcoming(CallOutList list, int told) {
        requireNotNegative(told);
        return list.turns().isEmpty() ? Optional.empty() : Optional.of(list.turns().get(indexOf(list.turns(), told)).personId());
    }

    private static int indexOf(List<Turn> turns, int told) {
        requireNotNegative(told);
        return told % turns.size();
    }

    private static void requireNotNegative(int told) {
        if (told < 0) {
            throw new IllegalArgumentException("turns told: " + told + ", must be zero or more");
        }
    }
}
