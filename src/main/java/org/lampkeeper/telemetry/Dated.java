package org.lampkeeper.telemetry;

import org.lampkeeper.supply.Report;

/** One observation with the time at which it counts, and the readings of the same moment. */
public record Dated(Report report, Readings readings) {
}
