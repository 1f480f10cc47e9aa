package org.lampkeeper.simulator;

import java.time.Instant;

/** What a sensor saw at one moment. {@code at} is the true time; what its clock said is found out when it writes a report. */
record Observation(Instant at, long seq, boolean supply, double inside, double outside, double battery, boolean heater, boolean door) {
}
