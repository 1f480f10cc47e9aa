package org.lampkeeper.thermal;

import java.time.Instant;
import java.util.Optional;

import org.lampkeeper.quantity.Celsius;

/**
 * The last temperatures in the cabinet.
 *
 * @param inside of the air
 * @param device of the content itself, where it is measured
 */
public record Measured(Instant at, Celsius inside, Optional<Celsius> device) {
}
