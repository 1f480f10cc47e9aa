package org.lampkeeper.callout;

import java.time.Instant;

/** Somebody is on for nothing, at no site, from {@code from} (included) to {@code until} (excluded). */
public record Absence(long id, long personId, Instant from, Instant until) {

    public Absence {
        if (!from.isBefore(until)) {
            throw new IllegalArgumentException("absence " + id + ": until " + until + ", must be after " + from);
        }
    }
}
