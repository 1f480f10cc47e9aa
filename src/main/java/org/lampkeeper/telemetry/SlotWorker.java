package org.lampkeeper.telemetry;

import java.time.Clock;
import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.OptionalLong;
import java.util.concurrent.CountDownLatch;
import java.util.concurrent.ThreadLocalRandom;
import java.util.concurrent.TimeUnit;

import io.micrometer.core.instrument.MeterRegistry;
import io.micrometer.core.instrument.Timer;
import org.eclipse.paho.mqttv5.common.MqttException;
import org.jboss.logging.Logger;
import org.jspecify.annotations.Nullable;

import org.lampkeeper.telemetry.SlotConnection.Queued;

/**
 * Listens on one slot for as long as it is held: connects for ever with growing, jittered pauses, takes batches in, and acknowledges
 * each after its commit. When a batch cannot be stored it lets go of the connection, so that the broker keeps and repeats what is not.
 */
final class SlotWorker {

    private static final Logger LOG = Logger.getLogger(SlotWorker.class);
    private static final Duration POLL = Duration.ofMillis(200);
    private static final Duration FIRST_PAUSE = Duration.ofMillis(200);
    /** Ours: a batch that lost a race for a row lock is tried again at once this often before the connection is let go. */
    private static final int TRIES = 3;

    private final int slot;
    private final Broker broker;
    private final IngestConfig config;
    private final Intake intake;
    private final Clock clock;
    private final Timer batchTime;
    private final Thread thread;
    private final CountDownLatch stop = new CountDownLatch(1);
    private volatile @Nullable SlotConnection connection;
    private volatile String trouble = "not connected yet";

    SlotWorker(int slot, Broker broker, IngestConfig config, Intake intake, Clock clock, MeterRegistry meters) {
        this.slot = slot;
        this.broker = broker;
        this.config = config;
        this.intake = intake;
        this.clock = clock;
        this.batchTime = Timer.builder("lampkeeper.ingest.batch")
                .serviceLevelObjectives(Duration.ofMillis(20), Duration.ofMillis(100), Duration.ofMillis(500), Duration.ofSeconds(2))
                .register(meters);
        this.thread = new Thread(this::run, "lampkeeper-ingest-" + slot);
        this.thread.setDaemon(true);
    }

    void start() {
        thread.start();
    }

    /** Finishes the batch under way, acknowledges it and leaves; waits at most {@code atMost}. */
    void stop(Duration atMost) {
        stop.countDown();
        try {
            thread.join(atMost.toMillis());
        } catch (InterruptedException interrupted) {
            Thread.currentThread().interrupt();
        }
    }

    boolean isConnected() {
        return current().filter(SlotConnection::isUsable).isPresent();
    }

    /** Connected, and what had waited is in. */
    boolean isListening() {
        return current().filter(SlotConnection::isUsable).filter(SlotConnection::isCaughtUp).isPresent();
    }

    int queued() {
        return current().map(SlotConnection::queued).orElse(0);
    }

    OptionalLong droppedByBroker() {
        return current().map(SlotConnection::droppedByBroker).orElse(OptionalLong.empty());
    }

    /** Why it is not connected, in words; empty while it is. */
    String trouble() {
        return isConnected() ? "" : trouble;
    }

    private Optional<SlotConnection> current() {
        return Optional.ofNullable(connection);
    }

    private void run() {
        Duration pause = FIRST_PAUSE;
        while (stop.getCount() > 0) {
            boolean wasListening = listenUntilItBreaks();
            pause = wasListening ? FIRST_PAUSE : min(pause.multipliedBy(2), config.longestPause());
            // Half to whole of the pause: after a broker's restart not all come back in the same moment.
            rest(Duration.ofMillis(ThreadLocalRandom.current().nextLong(pause.toMillis() / 2, pause.toMillis() + 1)));
        }
    }

    /** One connection from its opening to its end; whether it ever caught up. */
    private boolean listenUntilItBreaks() {
        SlotConnection open = null;
        try {
            open = new SlotConnection(broker, slot, config, clock);
            open.open();
            connection = open;
            LOG.infof("slot %d: listening at %s", slot, broker.uri());
            takeInUntilItBreaks(open);
            trouble = "the connection to the broker broke";
        } catch (MqttException failure) {
            trouble = "the broker at " + broker.uri() + " cannot be reached: " + failure.getMessage();
            LOG.warnf("slot %d: %s", slot, trouble);
        } catch (InterruptedException interrupted) {
            stop.countDown();
        } catch (RuntimeException failure) {
            trouble = "reports could not be stored";
            LOG.errorf(failure, "slot %d: reports could not be stored and stay at the broker", slot);
        } finally {
            connection = null;
            if (open != null) {
                open.close();
            }
        }
        return open != null && open.isCaughtUp();
    }

    private void takeInUntilItBreaks(SlotConnection open) throws InterruptedException, MqttException {
        while (stop.getCount() > 0 && open.isUsable()) {
            open.endBacklog();
            List<Queued> batch = open.next(config.batch(), POLL);
            if (batch.isEmpty()) {
                continue;
            }
            List<Arrival> arrivals = new ArrayList<>(batch.size());
            boolean backlogIsIn = false;
            for (Queued each : batch) {
                if (each.isMarker()) {
                    backlogIsIn |= open.isOwnMarker(each);
                } else {
                    arrivals.add(each.arrival());
                }
            }
            if (!arrivals.isEmpty()) {
                batchTime.record(() -> store(arrivals));
            }
            open.acknowledge(batch);
            if (backlogIsIn) {
                open.markCaughtUp();
            }
        }
    }

    /**
     * Stores a batch. Two instances may meet at the same rows, and one of them is then asked to try again. A batch that keeps failing is
     * taken in one by one: a single message that cannot be handled must not hold up all others for ever.
     */
    private void store(List<Arrival> arrivals) {
        RuntimeException last = null;
        for (int tried = 0; tried < TRIES; tried++) {
            try {
                intake.take(arrivals);
                return;
            } catch (RuntimeException failure) {
                LOG.debugf(failure, "slot %d: batch of %d was rolled back", slot, arrivals.size());
                last = failure;
            }
        }
        if (arrivals.size() == 1) {
            intake.setAside(arrivals.get(0), last == null ? "unknown" : last.toString());
            LOG.errorf(last, "slot %d: one message on %s could not be handled and was set aside", slot, arrivals.get(0).topic());
            return;
        }
        for (Arrival arrival : arrivals) {
            store(List.of(arrival));
        }
    }

    private void rest(Duration pause) {
        try {
            if (stop.await(pause.toMillis(), TimeUnit.MILLISECONDS)) {
                LOG.debugf("slot %d: stopped", slot);
            }
        } catch (InterruptedException interrupted) {
            stop.countDown();
        }
    }

    private static Duration min(Duration one, Duration other) {
        return one.compareTo(other) <= 0 ? one : other;
    }
}
