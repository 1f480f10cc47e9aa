package org.lampkeeper.register;

/** A cabinet is about to be taken out of use; fired inside the transaction that does it, while its sheet can still be read. */
public record CabinetLeavesUse(long siteId, long cabinetId, By by) {
}
