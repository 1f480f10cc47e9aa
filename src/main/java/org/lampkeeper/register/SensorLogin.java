package org.lampkeeper.register;

/** A login of the broker: who, and the salted hash in the form of the external broker's password file ({@code $6$salt$hash}). */
public record SensorLogin(String deviceId, String secretHash) {
}
