package org.lampkeeper.telemetry;

/** A heartbeat did not get to where it should, and why. */
public class HeartbeatFailed extends RuntimeException {

    private static final long serialVersionUID = 1;

    public HeartbeatFailed(String message, Throwable cause) {
        super(message, cause);
    }

    public HeartbeatFailed(String message) {
        super(message);
    }
}
