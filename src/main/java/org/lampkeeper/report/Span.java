package org.lampkeeper.report;

import java.time.Duration;
import java.time.Instant;
import java.util.Optional;

/** A stretch of time, its end excluded. */
public record Span(Instant from, Instant until) {

    /** @throws IllegalArgumentException when it ends before it begins */
    public Span {
        if (until.isBefore(from)) {
            throw new IllegalArgumentException("stretch of time from " + from + " until " + until + ", must not end before it begins");
        }
    }

    public Duration length() {
        return Duration.between(from, until);
    }

    public boolean holds(Instant at) {
        return !at.isBefore(from) && at.isBefore(until);
    }

    /** What both have; empty where that is nothing. */
    Optional<Span> within(Span other) {
        Instant begin = from.isAfter(other.from) ? from : other.from;
        Instant end = until.isBefore(other.until) ? until : other.until;
        return begin.isBefore(end) ? Optional.of(new Span(begin, end)) : Optional.empty();
    }
}
