package org.lampkeeper.watch;

import java.time.Clock;
import java.time.Duration;

import jakarta.enterprise.inject.Produces;
import jakarta.inject.Singleton;

import io.quarkus.arc.DefaultBean;

/** The one clock of the application. A test may put another in its place. */
class Clocks {

    // What both databases keep of a time. A finer one would come back from storage as another moment than the one decided upon.
    private static final Duration STORED_PRECISION = Duration.ofNanos(1000);

    @Produces
    @Singleton
    @DefaultBean
    Clock clock() {
        return Clock.tick(Clock.systemUTC(), STORED_PRECISION);
    }
}
