package org.lampkeeper.bench;

import java.io.IOException;

/**
 * One pass through the service: it is held still while the broker takes the messages, so that its own speed is measured and not the
 * publisher's, then let go.
 */
final class Drain {

    private static final String REPORTS_IN = "lampkeeper_reports_in_total";
    private static final long LONGEST_PASS_NANOS = 300_000_000_000L;

    private Drain() {
    }

    /** Reports a second from the first commit seen to the last. */
    static double through(Service service, Stream stream, int messages) throws IOException, InterruptedException {
        long before = service.figure(REPORTS_IN);
        service.hold();
        try {
            stream.send(messages);
        } finally {
            service.release();
        }
        long began = System.nanoTime();
        long first = 0;
        long firstAt = 0;
        while (true) {
            long done = service.figure(REPORTS_IN) - before;
            long at = System.nanoTime();
            if (done > 0 && first == 0) {
                first = done;
                firstAt = at;
            } else if (done >= messages) {
                return (done - first) * 1e9 / (at - firstAt);
            }
            if (at - began > LONGEST_PASS_NANOS) {
                throw new IllegalStateException(done + " of " + messages + " reports were taken in");
            }
            // Asking costs the service something too: often only where it decides about the figure.
            Thread.sleep(first == 0 || done > messages * 0.9 ? 20 : 100);
        }
    }

    static double through(Bare bare, Stream stream, int messages) throws IOException, InterruptedException {
        bare.hold();
        try {
            bare.expect(messages);
            stream.send(messages);
        } finally {
            bare.release();
        }
        return bare.rate();
    }
}
