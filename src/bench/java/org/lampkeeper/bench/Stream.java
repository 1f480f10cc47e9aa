package org.lampkeeper.bench;

import java.io.IOException;

/** Steady reports of a fleet to one consumer: each sensor in turn, its time and its counter always moving forward. */
final class Stream {

    private final Gateway gateway;
    private final String topics;
    private final int sensors;
    private final boolean sparesFirstOfSite;
    private long sent;

    /** @param sparesFirstOfSite whether the first sensor of each site says nothing here, because something else is asked of it */
    Stream(Gateway gateway, String topics, int sensors, boolean sparesFirstOfSite) {
        this.gateway = gateway;
        this.topics = topics;
        this.sensors = sensors;
        this.sparesFirstOfSite = sparesFirstOfSite;
    }

    /** Publishes the next {@code messages} reports as fast as the broker takes them, and waits until it has them. */
    void send(int messages) throws IOException, InterruptedException {
        for (int i = 0; i < messages; i++) {
            next();
        }
        gateway.awaitAcknowledged();
    }

    void next() throws IOException, InterruptedException {
        int sensor = (int) (sent % sensors) + 1;
        while (sparesFirstOfSite && sensor % Fleet.PER_SITE == 1) {
            sent++;
            sensor = (int) (sent % sensors) + 1;
        }
        gateway.publish(topics + Fleet.deviceId(sensor) + "/report",
                Fleet.report(sensor, true, sent / sensors + 1, System.currentTimeMillis()));
        sent++;
    }

    void flush() throws IOException {
        gateway.flush();
    }

    /** The counter in the newest report of the last sensor. */
    long lastSeq() {
        return sent / sensors;
    }
}
