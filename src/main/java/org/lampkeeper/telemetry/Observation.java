package org.lampkeeper.telemetry;

import java.time.Duration;
import java.util.Optional;
import java.util.OptionalLong;

/**
 * What a sensor said about one moment.
 *
 * @param nextWithin its promise of the next report ({@code ut} of the supply record), more than zero; empty where it made none
 * @param seq        its counter, zero or more
 */
public record Observation(SenmlTime time, boolean supplied, Optional<Duration> nextWithin, OptionalLong seq, Readings readings) {
}
