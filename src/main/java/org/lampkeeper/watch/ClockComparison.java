package org.lampkeeper.watch;

import java.time.Clock;
import java.time.Instant;
import java.util.List;
import java.util.Optional;

import jakarta.enterprise.context.ApplicationScoped;

import io.micrometer.core.instrument.Gauge;
import io.micrometer.core.instrument.MeterRegistry;
import io.quarkus.narayana.jta.QuarkusTransaction;
import org.jboss.logging.Logger;

import org.lampkeeper.journal.Entry;
import org.lampkeeper.journal.Journal;
import org.lampkeeper.telemetry.Subscriber;
import org.lampkeeper.watch.TimeServer.Compared;
import org.lampkeeper.watch.TimeServer.NotCompared;

/** Compares the clock of this machine with another and writes down by how much they differ. Called by one thread. */
@ApplicationScoped
class ClockComparison {

    /** The kinds of entries that it writes. */
    static final List<String> KINDS = List.of("clock-compared", "clock-not-compared");

    private static final Logger LOG = Logger.getLogger(ClockComparison.class);

    private final Optional<TimeServer> server;
    private final ClockConfig config;
    private final Journal journal;
    private final String instance;
    private final Clock clock;
    private volatile double offsetSeconds = Double.NaN;
    private boolean isFailing;

    ClockComparison(ClockConfig config, Journal journal, Subscriber subscriber, MeterRegistry meters, Clock clock) {
        this.server = config.server().map(name -> new TimeServer(name, config.port(), config.timeout()));
        this.config = config;
        this.journal = journal;
        this.instance = subscriber.instance();
        this.clock = clock;
        Gauge.builder("lampkeeper.clock.offset.seconds", this, comparison -> comparison.offsetSeconds).register(meters);
    }

    boolean isConfigured() {
        return server.isPresent();
    }

    /** Asks once, outside of any transaction. What was found is written down each time; that nothing could be found, when that begins. */
    void compare() {
        if (server.isEmpty()) {
            return;
        }
        try {
            Compared found = server.get().ask();
            offsetSeconds = found.offset().toMillis() / 1000.0;
            isFailing = false;
            boolean isOff = found.offset().abs().compareTo(config.limit()) > 0;
            if (isOff) {
                LOG.warnf("the clock of this machine is %s by %s s, more than lampkeeper.clock.limit", found.offset().isNegative() ? "ahead" : "behind",
                        found.offset().abs().toMillis() / 1000.0);
            }
            write(entry("clock-compared").with("offset-ms", found.offset().toMillis()).with("delay-ms", found.delay().toMillis()).with("off", isOff));
        } catch (NotCompared none) {
            offsetSeconds = Double.NaN;
            if (!isFailing) {
                LOG.warnf("the clock of this machine could not be compared with %s: %s", config.server().orElseThrow(), none.getMessage());
                write(entry("clock-not-compared").with("reason", none.getMessage()));
            }
            isFailing = true;
        }
    }

    private Entry entry(String kind) {
        Instant now = clock.instant();
        return Entry.of(now, kind).site(SiteWatches.INSTALLATION).with("server", config.server().orElseThrow()).with("instance", instance);
    }

    private void write(Entry entry) {
        QuarkusTransaction.requiringNew().run(() -> journal.append(entry));
    }
}
