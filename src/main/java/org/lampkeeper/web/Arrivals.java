package org.lampkeeper.web;

import java.time.Duration;
import java.time.Instant;
import java.util.Optional;

import org.lampkeeper.watch.AlarmDesk;

/** "Take it, there at …": the minutes that a button of an alarm page sends. */
final class Arrivals {

    private Arrivals() {
    }

    /** Whether that is what a button may send: nothing at all, or 1 minute up to the farthest arrival. */
    static boolean areSent(String minutes) {
        return minutes.isEmpty() || (minutes.matches("\\d{1,3}") && Integer.parseInt(minutes) > 0
                && Integer.parseInt(minutes) <= AlarmDesk.FARTHEST_ARRIVAL.toMinutes());
    }

    /** Empty where nothing was sent. */
    static Optional<Instant> at(String minutes, Instant now) {
        return minutes.isEmpty() ? Optional.empty() : Optional.of(now.plus(Duration.ofMinutes(Integer.parseInt(minutes))));
    }
}
