package org.lampkeeper.telemetry;

/** A topic of one sensor. */
record SensorTopic(String deviceId, Kind kind) {

    enum Kind {
        REPORT, LINK
    }
}
