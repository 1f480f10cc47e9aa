package org.lampkeeper.testing;

import java.time.Clock;
import java.time.Duration;
import java.time.Instant;
import java.time.ZoneId;
import java.time.ZoneOffset;
import java.time.temporal.ChronoUnit;
import java.util.Optional;

import jakarta.inject.Singleton;

import io.quarkus.test.Mock;

/**
 * The clock of every Quarkus test: real time, until a test moves or stops it; {@link MovedClockRelease} lets it run again after each
 * test. Loops that wait in real time (a poll every 100 ms) still do so, but see the moved time when they look. May be shared by threads.
 */
@Mock
@Singleton
public class MovedClock extends Clock {

    private Duration ahead = Duration.ZERO;
    private Optional<Instant> stoppedAt = Optional.empty();

    /** A stopped clock for a test without Quarkus. */
    public static MovedClock stopped(Instant at) {
        MovedClock clock = new MovedClock();
        clock.stopAt(at);
        return clock;
    }

    /** Stands still at {@code instant} until moved again. */
    public synchronized void stopAt(Instant instant) {
        stoppedAt = Optional.of(instant);
    }

    /** Moves a running clock as well as a stopped one; a negative amount moves it back, as a corrected clock would. */
    public synchronized void advance(Duration amount) {
        if (stoppedAt.isPresent()) {
            stoppedAt = stoppedAt.map(instant -> instant.plus(amount));
        } else {
            ahead = ahead.plus(amount);
        }
    }

    /** Real time again. */
    public synchronized void release() {
        ahead = Duration.ZERO;
        stoppedAt = Optional.empty();
    }

    @Override
    public synchronized Instant instant() {
        // Microseconds, as the application's own clock: what both databases keep.
        return stoppedAt.orElseGet(() -> Instant.now().plus(ahead)).truncatedTo(ChronoUnit.MICROS);
    }

    @Override
    public ZoneId getZone() {
        return ZoneOffset.UTC;
    }

    /** @throws UnsupportedOperationException always: a zone is an argument, never the clock's */
    @Override
    public Clock withZone(ZoneId zone) {
        throw new UnsupportedOperationException("this clock stays in UTC; hand the zone on as an argument");
    }
}
