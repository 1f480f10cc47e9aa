package org.lampkeeper.thermal;

import java.time.Instant;
import java.util.Optional;

import org.lampkeeper.quantity.Celsius;

/**
 * What was measured at one moment while the supply was healthy.
 *
 * @param heaterOn empty where no sensor says so
 * @param doorOpen empty where no sensor says so
 */
public record HeaterReading(Instant at, Celsius inside, Celsius outside, Optional<Boolean> heaterOn, Optional<Boolean> doorOpen) {

    boolean isDoorOpen() {
        return doorOpen.orElse(false);
    }
}
