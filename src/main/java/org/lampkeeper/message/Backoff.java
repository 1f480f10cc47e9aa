package org.lampkeeper.message;

import java.time.Duration;
import java.util.List;
import java.util.random.RandomGenerator;

/** How long to wait before the next try. */
final class Backoff {

    /** Ours: a restarting server is back within the first three, and nobody is served by hammering one that is down for hours. */
    private static final List<Duration> PAUSES = List.of(Duration.ofSeconds(5), Duration.ofSeconds(15), Duration.ofSeconds(45),
            Duration.ofMinutes(2), Duration.ofMinutes(5), Duration.ofMinutes(15), Duration.ofMinutes(30));

    private Backoff() {
    }

    /**
     * @param attempts failed tries so far, 1 or more
     * @param cap      longest pause before jitter
     * @return the pause, a fifth shorter to a fifth longer, so that what failed together is not tried together
     */
    static Duration after(int attempts, Duration cap, RandomGenerator random) {
        if (attempts < 1) {
            throw new IllegalArgumentException("back-off after " + attempts + " attempts, must be 1 or more");
        }
        Duration pause = PAUSES.get(Math.min(attempts, PAUSES.size()) - 1);
        Duration capped = pause.compareTo(cap) > 0 ? cap : pause;
        return Duration.ofMillis(Math.round(capped.toMillis() * random.nextDouble(0.8, 1.2)));
    }
}
