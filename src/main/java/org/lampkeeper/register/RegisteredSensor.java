package org.lampkeeper.register;

/**
 * A sensor and its secret in plain, which is known only here and only now: the register keeps a hash.
 */
public record RegisteredSensor(SensorKey key, String secret) {

    /** Without the secret, so that it gets into no log. */
    @Override
    public String toString() {
        return "RegisteredSensor[" + key.deviceId() + "]";
    }
}
