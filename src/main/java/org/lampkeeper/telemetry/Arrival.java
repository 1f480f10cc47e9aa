package org.lampkeeper.telemetry;

import java.time.Instant;

/**
 * One message as it came from the broker.
 *
 * @param topic         as published
 * @param payload       as published; not copied, so not to be changed
 * @param receivedAt    when it reached this process
 * @param mayHaveWaited retained, delivered again, or from before the backlog was in: its relative times mean nothing
 */
public record Arrival(String topic, byte[] payload, Instant receivedAt, boolean mayHaveWaited) {
}
