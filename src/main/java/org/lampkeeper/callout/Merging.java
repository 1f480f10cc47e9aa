package org.lampkeeper.callout;

import java.time.Duration;
import java.time.Instant;
import java.util.Optional;

/**
 * When those who were told of a call-out hear of what has joined it since: soon, all of it in one message, and the more such messages
 * there were, the further apart. Nothing is dropped: what joins waits for the next one.
 *
 * @param merges how many such messages there were
 * @param lastAt when people were told first, or of more the last time; none while nobody was told
 * @param dueAt  when they hear of more; none while nothing waits
 */
public record Merging(int merges, Optional<Instant> lastAt, Optional<Instant> dueAt) {

    /** Nobody was told yet. */
    public static final Merging NEW = new Merging(0, Optional.empty(), Optional.empty());

    // Ours: a first message at once, then after 20 s, then 40 s later, and so on: at most three in the first minute.
    private static final Duration FIRST_GAP = Duration.ofSeconds(20);
    private static final Duration LONGEST_GAP = Duration.ofMinutes(10);
    // Ours: what is lost together is reported within some seconds.
    private static final Duration COLLECT = Duration.ofSeconds(5);
    private static final int MOST_DOUBLINGS = 6;

    /** Somebody was told of all that there is. */
    public Merging told(Instant now) {
        return lastAt.isPresent() ? this : new Merging(merges, Optional.of(now), dueAt);
    }

    /** One more has joined. Before anybody was told it waits for the first message, which tells of all. */
    public Merging joined(Instant now) {
        if (dueAt.isPresent() || lastAt.isEmpty()) {
            return this;
        }
        Instant earliest = lastAt.get().plus(gap());
        Instant collected = now.plus(COLLECT);
        return new Merging(merges, lastAt, Optional.of(earliest.isAfter(collected) ? earliest : collected));
    }

    /** Whether it is time; a deadline of another count of messages is stale. */
    public boolean isDue(long ofMerges, Instant now) {
        return ofMerges == merges && dueAt.filter(at -> !at.isAfter(now)).isPresent();
    }

    /** They are told of what has joined. */
    public Merging done(Instant now) {
        return new Merging(merges + 1, Optional.of(now), Optional.empty());
    }

    private Duration gap() {
        Duration gap = FIRST_GAP.multipliedBy(1L << Math.min(merges, MOST_DOUBLINGS));
        return gap.compareTo(LONGEST_GAP) > 0 ? LONGEST_GAP : gap;
    }
}
