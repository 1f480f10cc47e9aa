package org.lampkeeper.simulator;

import java.time.Instant;
import java.util.Optional;

/**
 * What a sensor saw at one moment. {@code at} is the true time; what its clock said is found out when it writes a report. {@code content}: empty for a
 * sensor without a probe on the content.
 */
record Observation(Instant at, long seq, boolean supply, double inside, double outside, Optional<Double> content, double battery, boolean heater, boolean door) {
}
