package org.lampkeeper.register;

import org.lampkeeper.callout.Shift;

/** A shift that is stored for a site. */
public record ShiftSheet(long siteId, Shift shift, int version) {
}
