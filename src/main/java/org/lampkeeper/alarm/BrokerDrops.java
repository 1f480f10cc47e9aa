package org.lampkeeper.alarm;

import java.time.Duration;
import java.time.Instant;
import java.util.Optional;

/**
 * The broker's own count of messages that it accepted and dropped. It counts from its start, so a lower count tells of a new start.
 *
 * @param told    the count as it was told last; zero or more
 * @param grownAt when it was last seen to grow; empty once that is over
 */
public record BrokerDrops(long told, Optional<Instant> grownAt) {

    /** Ours: what was dropped is gone; an hour later nobody will find the cause in what the broker is doing. */
    public static final Duration OVER_AFTER = Duration.ofHours(1);

    /** Ours: a broker tells its count every ten seconds; two instances have heard the same one by then. */
    static final Duration HEARD_BY_ALL = Duration.ofMinutes(1);

    /** The first count ever heard: what was dropped before belongs to somebody else. */
    public static BrokerDrops first(long told) {
        return new BrokerDrops(told, Optional.empty());
    }

    /** The same count, or a lower one that an instance has not let go of yet, changes nothing but the time. */
    public BrokerDrops heard(long count, Instant now) {
        boolean isLate = count < told && grownAt.filter(at -> at.plus(HEARD_BY_ALL).isAfter(now)).isPresent();
        if (isLate || count == told) {
            return passed(now);
        }
        // After a new start all of the count is new.
        return count > 0 ? new BrokerDrops(count, Optional.of(now)) : new BrokerDrops(count, grownAt).passed(now);
    }

    /** No count was heard. */
    public BrokerDrops passed(Instant now) {
        return new BrokerDrops(told, grownAt.filter(at -> at.plus(OVER_AFTER).isAfter(now)));
    }
}
