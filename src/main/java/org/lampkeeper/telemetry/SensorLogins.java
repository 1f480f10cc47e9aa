package org.lampkeeper.telemetry;

/** Whether a sensor may log in at the broker of our own. */
public interface SensorLogins {

    /**
     * Whether {@code secret} is that of the sensor in use called {@code deviceId}. Called from many threads; may be slow (its answer is
     * kept for a while). A register that cannot be asked is an exception, never {@code false}.
     */
    boolean accepts(String deviceId, String secret);
}
