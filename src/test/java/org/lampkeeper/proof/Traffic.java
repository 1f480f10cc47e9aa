package org.lampkeeper.proof;

import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.concurrent.Executors;
import java.util.concurrent.ScheduledExecutorService;
import java.util.concurrent.TimeUnit;
import java.util.concurrent.atomic.AtomicLong;

import org.awaitility.Awaitility;

/** Several sensors that report all the time, whatever becomes of their broker: each sends a report until it is acknowledged. */
final class Traffic implements AutoCloseable {

    private static final int THREADS = 8;

    private final List<Source> sources;
    private final ScheduledExecutorService clockwork = Executors.newScheduledThreadPool(THREADS);
    private final AtomicLong accepted = new AtomicLong();
    private volatile boolean supplied = true;
    private volatile boolean ending;

    /** One sensor and its report that has not been acknowledged yet. */
    private static final class Source {
        private final SensorClient sensor;
        private Optional<String> pending = Optional.empty();
        private long lastAccepted;
        private boolean lastSaidLost;

        private Source(SensorClient sensor) {
            this.sensor = sensor;
        }
    }

    Traffic(List<SensorClient> sensors, int reportsPerSecond) {
        sources = sensors.stream().map(Source::new).toList();
        long periodMicros = 1_000_000L * sensors.size() / reportsPerSecond;
        for (int number = 0; number < sources.size(); number++) {
            Source source = sources.get(number);
            clockwork.scheduleAtFixedRate(() -> tick(source), number * periodMicros / sources.size(), periodMicros, TimeUnit.MICROSECONDS);
        }
    }

    private void tick(Source source) {
        synchronized (source) {
            if (source.pending.isEmpty()) {
                if (ending) {
                    return;
                }
                boolean reading = supplied;
                source.pending = Optional.of(source.sensor.report(reading));
                source.lastSaidLost = !reading;
            }
            if (source.sensor.tryToPublish(source.pending.get())) {
                source.pending = Optional.empty();
                source.lastAccepted = source.sensor.seq();
                accepted.incrementAndGet();
            }
        }
    }

    /** From now on every report says that the supply is lost. */
    void loseSupply() {
        supplied = false;
    }

    /** How many reports were acknowledged so far. */
    long accepted() {
        return accepted.get();
    }

    /** Whether every sensor's newest acknowledged report said that the supply is lost. */
    boolean allSaidLost() {
        return sources.stream().allMatch(source -> {
            synchronized (source) {
                return source.lastSaidLost && source.pending.isEmpty();
            }
        });
    }

    /** Makes no new report, waits until all that were made are acknowledged, and returns the last counter of each device. */
    Map<String, Long> end() {
        ending = true;
        Awaitility.await("last reports acknowledged").atMost(Surroundings.patience()).until(() -> sources.stream().noneMatch(source -> {
            synchronized (source) {
                return source.pending.isPresent();
            }
        }));
        Map<String, Long> last = new LinkedHashMap<>();
        sources.forEach(source -> last.put(source.sensor.login().deviceId(), source.lastAccepted));
        return last;
    }

    @Override
    public void close() {
        clockwork.shutdownNow();
        sources.forEach(source -> {
            synchronized (source) {
                source.sensor.close();
            }
        });
    }
}
