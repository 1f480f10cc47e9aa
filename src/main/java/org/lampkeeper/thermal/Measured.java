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

    Measured shifted(double kelvin) {
        return new Measured(at, shifted(inside, kelvin), device.map(each -> shifted(each, kelvin)));
    }

    private static Celsius shifted(Celsius celsius, double kelvin) {
        return new Celsius(celsius.value() + kelvin);
    }
}
