package org.lampkeeper.telemetry;

/** A topic of one sensor. */
public record SensorTopic(String deviceId, Kind kind) {

    public enum Kind {
        REPORT, LINK
    }
}
