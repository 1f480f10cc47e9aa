package org.lampkeeper.alarm;

import java.time.Duration;
import java.util.Optional;

/**
 * A condition that counts once it has lasted, and is over once it has been away for as long. Its time is that of a counter which only runs
 * forward, so that a clock that is set neither raises nor keeps it.
 *
 * @param there whether it counts
 * @param since what was seen last that is not what counts, since when; empty while what is seen is what counts
 */
public record OwnCondition(boolean there, Optional<Duration> since) {

    /** Nothing wrong was seen yet. */
    public static final OwnCondition WELL = new OwnCondition(false, Optional.empty());

    /**
     * @param wrong  what is seen now
     * @param confirm how long it must be so before it counts; zero or more
     * @param end     how long it must not be so before it is over; zero or more
     * @param at      of the counter; not before that of the look before
     */
    public OwnCondition seen(boolean wrong, Duration confirm, Duration end, Duration at) {
        if (wrong == there) {
            return new OwnCondition(there, Optional.empty());
        }
        Duration from = since.orElse(at);
        boolean lasted = at.minus(from).compareTo(wrong ? confirm : end) >= 0;
        return lasted ? new OwnCondition(wrong, Optional.empty()) : new OwnCondition(there, Optional.of(from));
    }

    /**
     * How far a clock jumped between two looks: what it gained, below zero where it lost. Empty where that is not more than {@code limit}.
     *
     * @param byClock   what passed by the clock
     * @param byCounter what passed by a counter that only runs forward
     */
    public static Optional<Duration> jump(Duration byClock, Duration byCounter, Duration limit) {
        Duration gained = byClock.minus(byCounter);
        return gained.abs().compareTo(limit) > 0 ? Optional.of(gained) : Optional.empty();
    }
}
