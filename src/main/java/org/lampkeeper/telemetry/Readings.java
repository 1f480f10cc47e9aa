package org.lampkeeper.telemetry;

import java.util.Optional;
import java.util.OptionalDouble;

/**
 * What a sensor said beside the supply; empty is "not said", never a default.
 *
 * @param insideC        degrees Celsius inside the cabinet
 * @param outsideC       degrees Celsius outside
 * @param contentC       degrees Celsius of the content itself
 * @param batteryPercent what is left of the sensor's own battery, 0 to 100
 */
public record Readings(OptionalDouble insideC, OptionalDouble outsideC, OptionalDouble contentC, OptionalDouble batteryPercent,
        Optional<Boolean> heaterOn, Optional<Boolean> doorOpen) {

    /** Nothing was said. */
    public static final Readings NONE = new Readings(OptionalDouble.empty(), OptionalDouble.empty(), OptionalDouble.empty(), OptionalDouble.empty(),
            Optional.empty(), Optional.empty());
}
