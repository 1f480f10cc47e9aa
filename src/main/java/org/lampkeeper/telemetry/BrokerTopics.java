package org.lampkeeper.telemetry;

import java.util.List;
import java.util.regex.Pattern;

/** Who may touch which topic; the same rule for the broker of our own and for the access list of an external one. */
final class BrokerTopics {

    static final String ROOT = "lampkeeper/v1/";
    /** The instances' own; no sensor writes here. */
    static final String INGEST = ROOT + "ingest/";

    private static final String REPORT = "/report";
    private static final String LINK = "/link";
    // Ours: what is safe as a topic level, in a password file and in an access list alike.
    private static final Pattern DEVICE_ID = Pattern.compile("[A-Za-z0-9_-]{1,64}");

    private BrokerTopics() {
    }

    /** The two topics that a sensor may write; it may read none. */
    static List<String> writableBy(String deviceId) {
        return List.of(ROOT + deviceId + REPORT, ROOT + deviceId + LINK);
    }

    /** What the ingest client is sent, and what waits for it. */
    static List<String> allOfSensors() {
        return writableBy("+");
    }

    /** Whether {@code name} may be a sensor's login: no wildcard, no separator, and not the level that belongs to the instances. */
    static boolean isDeviceId(String name) {
        return DEVICE_ID.matcher(name).matches() && !INGEST.equals(ROOT + name + "/");
    }
}
