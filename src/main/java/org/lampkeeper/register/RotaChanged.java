package org.lampkeeper.register;

import java.time.Instant;

/** Other people are on duty at a site, now or later; fired inside the transaction that does it. */
public record RotaChanged(long siteId, Instant at) {
}
