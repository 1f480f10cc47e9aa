package org.lampkeeper.callout;

import java.time.Duration;
import java.util.List;

/**
 * Who is told, in order.
 *
 * @param turns       in the order of telling; may be empty, and then nobody can be told
 * @param repeatAfter how long after the last turn of a round the first is told again; more than zero, so that a list of people who are
 *                    all told at once cannot spin
 */
public record CallOutList(List<Turn> turns, Duration repeatAfter) {

    public CallOutList {
        turns = List.copyOf(turns);
        if (repeatAfter.isNegative() || repeatAfter.isZero()) {
            throw new IllegalArgumentException("call-out list: repeat after " + repeatAfter + ", must be more than zero");
        }
    }
}
