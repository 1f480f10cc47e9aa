package org.lampkeeper.register;

/** A sensor is taken out of use; fired inside the transaction, when its status row is gone and locked out for others. */
public record SensorRetired(SensorKey key, By by) {
}
