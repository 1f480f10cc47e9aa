package org.lampkeeper.register;

import java.time.LocalDate;

/**
 * A part of the content that has a date on it: pads, a battery, a sterile bottle.
 *
 * @param goodUntil the last day on which it may be used
 */
public record DatedPart(String name, LocalDate goodUntil) {
}
