package org.lampkeeper.simulator;

import java.time.Duration;
import java.time.Instant;
import java.util.OptionalLong;

/** What a sensor believes the time to be, in whole seconds: sensors rarely know better. */
enum DeviceClock {
    RIGHT,
    AHEAD,
    ANCIENT,
    FROM_1970,
    NONE;

    private static final Duration AHEAD_BY = Duration.ofHours(2);
    private static final Instant START_OF_2000 = Instant.parse("2000-01-01T00:00:00Z");

    /** The seconds of its calendar at {@code moment}, counted from when it was {@code started}; empty when it has no calendar. */
    OptionalLong read(Instant moment, Instant started) {
        return switch (this) {
            case RIGHT -> OptionalLong.of(moment.getEpochSecond());
            case AHEAD -> OptionalLong.of(moment.plus(AHEAD_BY).getEpochSecond());
            case ANCIENT -> OptionalLong.of(START_OF_2000.plus(Duration.between(started, moment)).getEpochSecond());
            case FROM_1970 -> OptionalLong.of(Duration.between(started, moment).getSeconds());
            case NONE -> OptionalLong.empty();
        };
    }
}
