package org.lampkeeper.simulator;

import java.time.Instant;

/**
 * Something that a reader of the play may want to know.
 *
 * @param steady whether it is only another report like the ones before
 */
public record FleetEvent(Instant at, String deviceId, String text, boolean steady) {
}
