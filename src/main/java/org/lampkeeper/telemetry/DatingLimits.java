package org.lampkeeper.telemetry;

import java.time.Duration;

/**
 * What is believed of a sensor's clock and promises.
 *
 * @param ancientAfter   a live report older than this was dated by a clock that is not set; at least a day
 * @param defaultPromise of the next report, for a sensor that states none; 1 s to {@code maxPromise}
 * @param maxPromise     the longest promise that is accepted: a longer one counts as this; at least a second
 */
public record DatingLimits(Duration ancientAfter, Duration defaultPromise, Duration maxPromise) {

    /** Ours: the shortest promise that is accepted; a shorter one counts as this, since the grace would hide the difference anyway. */
    static final Duration LEAST_PROMISE = Duration.ofSeconds(1);

    /** Ours: a month of backlog is plausible; a quarter of an hour suits heated content; a day and a bit suits a daily report. */
    public static final DatingLimits DEFAULTS = new DatingLimits(Duration.ofDays(30), Duration.ofSeconds(900), Duration.ofHours(26));

    public DatingLimits {
        if (ancientAfter.compareTo(Duration.ofDays(1)) < 0) {
            throw new IllegalArgumentException("ancient after: " + ancientAfter + ", must be at least a day");
        }
        if (maxPromise.compareTo(LEAST_PROMISE) < 0) {
            throw new IllegalArgumentException("longest promise: " + maxPromise + ", must be at least " + LEAST_PROMISE);
        }
        if (defaultPromise.compareTo(LEAST_PROMISE) < 0 || defaultPromise.compareTo(maxPromise) > 0) {
            throw new IllegalArgumentException("default promise: " + defaultPromise + ", must be " + LEAST_PROMISE + " to " + maxPromise);
        }
    }

    /** A sensor's promise as it is held against it. */
    Duration accepted(Duration promise) {
        if (promise.compareTo(LEAST_PROMISE) < 0) {
            return LEAST_PROMISE;
        }
        return promise.compareTo(maxPromise) > 0 ? maxPromise : promise;
    }
}
