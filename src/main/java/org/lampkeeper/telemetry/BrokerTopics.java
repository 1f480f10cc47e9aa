package org.lampkeeper.telemetry;

import java.util.List;

/** Who may touch which topic; the same rule for the broker of our own and for the access list of an external one. */
final class BrokerTopics {

    static final String ROOT = "lampkeeper/v1/";
    /** The instances' own; no sensor writes here. */
    static final String INGEST = ROOT + "ingest/";

    /** Our own logins and client ids begin so, and no sensor's may. */
    static final String OUR_NAMES = "lampkeeper-";

    /** The login of whoever watches from outside: it reads the heartbeat and nothing else. */
    static final String WATCHER = OUR_NAMES + "watcher";

    private BrokerTopics() {
    }

    /** The two topics that a sensor may write; it may read none. */
    static List<String> writableBy(String deviceId) {
        return List.of(Topics.reportOf(deviceId), Topics.linkOf(deviceId));
    }

    /** What the ingest client is sent, and what waits for it. */
    static List<String> allOfSensors() {
        return List.of(Topics.ALL_REPORTS, Topics.ALL_LINKS);
    }

    /** The subscription of the ingest client at the broker of our own, which keeps a queue of its own for it. */
    static String sharedInside(String filter) {
        return "$share/lampkeeper/" + filter;
    }

    /** Whether {@code name} may be a sensor's login: no wildcard, no separator, and nothing that is ours. */
    static boolean isDeviceId(String name) {
        return Topics.isDeviceId(name) && !name.startsWith(OUR_NAMES) && !INGEST.equals(ROOT + name + "/");
    }
}
