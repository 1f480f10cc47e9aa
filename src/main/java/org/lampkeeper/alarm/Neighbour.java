package org.lampkeeper.alarm;

import org.lampkeeper.supply.Reading;

/**
 * Another cabinet at the same site.
 *
 * @param reading what is known of its supply now: {@code HEALTHY} only by a report that may still be believed; {@code LOST} also for a
 *                loss that is live while its sensor has fallen silent; {@code UNKNOWN} counts neither as healthy nor as lost
 */
public record Neighbour(String name, Reading reading) {
}
