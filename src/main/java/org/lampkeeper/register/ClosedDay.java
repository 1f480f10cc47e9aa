package org.lampkeeper.register;

import java.time.LocalDate;

/**
 * A day on which nobody is at a site.
 *
 * @param name what is on, as "stocktaking"
 */
public record ClosedDay(LocalDate day, String name) {
}
