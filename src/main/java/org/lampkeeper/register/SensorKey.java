package org.lampkeeper.register;

/** A sensor in use and what it watches. {@code deviceId} is its topic level and login, {@code baseName} ends with a colon. */
public record SensorKey(long sensorId, long siteId, long cabinetId, String deviceId, String baseName) {
}
