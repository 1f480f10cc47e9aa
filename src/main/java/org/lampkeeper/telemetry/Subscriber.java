package org.lampkeeper.telemetry;

import java.time.Clock;
import java.time.Duration;
import java.time.Instant;
import java.util.Map;
import java.util.OptionalLong;
import java.util.Set;
import java.util.TreeMap;
import java.util.UUID;
import java.util.concurrent.ConcurrentHashMap;
import java.util.concurrent.CountDownLatch;
import java.util.concurrent.TimeUnit;
import java.util.stream.Collectors;

import jakarta.enterprise.context.ApplicationScoped;

import io.micrometer.core.instrument.Gauge;
import io.micrometer.core.instrument.MeterRegistry;
import org.jboss.logging.Logger;
import org.jspecify.annotations.Nullable;

/**
 * Listens to the sensors: holds slots, runs a worker on each, and writes down until when it listened. Started and stopped by whoever
 * runs the service; safe to ask from any thread.
 */
@ApplicationScoped
public class Subscriber {

    private static final Logger LOG = Logger.getLogger(Subscriber.class);
    private static final Duration STOP_WITHIN = Duration.ofSeconds(8);

    private final IngestSlots slots;
    private final Broker broker;
    private final RetainedReader retained;
    private final Intake intake;
    private final IngestConfig config;
    private final MeterRegistry meters;
    private final Clock clock;
    private final String instance = UUID.randomUUID().toString();
    private final Map<Integer, SlotWorker> workers = new ConcurrentHashMap<>();
    private final CountDownLatch stop = new CountDownLatch(1);
    private volatile @Nullable Thread ticker;
    private volatile Instant renewedAt = Instant.MIN;
    private volatile Instant unheardSince = Instant.MAX;

    Subscriber(IngestSlots slots, Broker broker, RetainedReader retained, Intake intake, IngestConfig config, MeterRegistry meters,
            Clock clock) {
        this.slots = slots;
        this.broker = broker;
        this.retained = retained;
        this.intake = intake;
        this.config = config;
        this.meters = meters;
        this.clock = clock;
    }

    /** Begins to listen; returns at once. */
    public synchronized void start() {
        if (ticker != null) {
            return;
        }
        unheardSince = clock.instant();
        Gauge.builder("lampkeeper.ingest.queue", this, Subscriber::queued).description("messages waiting in this process").register(meters);
        Gauge.builder("lampkeeper.ingest.listening", this, subscriber -> subscriber.isListening() ? 1 : 0)
                .description("1 while every slot of this instance is connected and caught up").register(meters);
        Thread thread = new Thread(this::run, "lampkeeper-ingest-slots");
        thread.setDaemon(true);
        ticker = thread;
        thread.start();
    }

    /** Finishes what is under way, acknowledges it, gives the slots back. */
    public synchronized void stop() {
        if (ticker == null || stop.getCount() == 0) {
            return;
        }
        stop.countDown();
        Set<Integer> held = Set.copyOf(workers.keySet());
        workers.values().parallelStream().forEach(worker -> worker.stop(STOP_WITHIN));
        workers.clear();
        try {
            slots.release(instance, held);
        } catch (RuntimeException failure) {
            LOG.warnf("the slots could not be given back and run out by themselves: %s", failure.getMessage());
        }
    }

    /** Whether this instance hears everything that is dealt to it, now. */
    public boolean isListening() {
        return !workers.isEmpty() && workers.values().stream().allMatch(SlotWorker::isListening);
    }

    /** Whether another instance holds the only slot and this one waits to take it over. */
    public boolean isStandingBy() {
        return workers.isEmpty() && !broker.mayHaveManySlots() && !renewedAt.equals(Instant.MIN)
                && !clock.instant().isAfter(later(renewedAt, config.lease()));
    }

    /**
     * Whether reports from before may still be coming in, so that a suspected loss should wait for what follows it. Ends by itself after
     * the configured longest time; false while there is no connection, since then nothing follows.
     */
    public boolean isCatchingUp() {
        if (ticker == null || isListening()) {
            return false;
        }
        boolean connected = workers.values().stream().anyMatch(SlotWorker::isConnected);
        boolean justStarted = clock.instant().isBefore(later(unheardSince, config.lease()));
        return (connected && clock.instant().isBefore(later(unheardSince, config.longestCatchUp()))) || justStarted;
    }

    /** How many messages wait in this process for their transaction. */
    public int queued() {
        return workers.values().stream().mapToInt(SlotWorker::queued).sum();
    }

    /** The highest count of dropped messages that the broker has told; empty where it tells none. */
    public OptionalLong droppedByBroker() {
        return workers.values().stream().flatMapToLong(worker -> worker.droppedByBroker().stream()).max();
    }

    /** One line a slot: what is wrong with its connection. Empty when all are connected. */
    public Map<Integer, String> troubles() {
        return new TreeMap<>(workers.entrySet().stream().filter(each -> !each.getValue().trouble().isEmpty())
                .collect(Collectors.toMap(Map.Entry::getKey, each -> each.getValue().trouble())));
    }

    /** Whether the thread that holds the slots is there. */
    public boolean isRunning() {
        Thread thread = ticker;
        return thread != null && thread.isAlive();
    }

    /** This process, for as long as it lives. */
    public String instance() {
        return instance;
    }

    private void run() {
        boolean retainedRead = false;
        while (stop.getCount() > 0) {
            try {
                hold(slots.renew(instance, config.lease(), broker.mayHaveManySlots(), clock.instant()));
                renewedAt = clock.instant();
                if (isListening()) {
                    unheardSince = Instant.MAX;
                    if (!retainedRead) {
                        retained.read(instance, intake);
                        retainedRead = true;
                    }
                    slots.listened(instance, workers.keySet(), clock.instant());
                } else {
                    retainedRead = retainedRead && !unheardSince.equals(Instant.MAX);
                    unheardSince = unheardSince.equals(Instant.MAX) ? clock.instant() : unheardSince;
                }
            } catch (RuntimeException | Error failure) {
                // Keeps the ticker alive: the database or the broker may be back at the next tick.
                LOG.warnf(failure, "slots could not be renewed");
                letGoOfWhatIsNoLongerOurs();
            }
            rest();
        }
    }

    private void hold(Set<Integer> held) {
        for (Map.Entry<Integer, SlotWorker> each : Map.copyOf(workers).entrySet()) {
            if (!held.contains(each.getKey())) {
                LOG.infof("slot %d: given to another instance", each.getKey());
                workers.remove(each.getKey());
                each.getValue().stop(STOP_WITHIN);
            }
        }
        for (int slot : held) {
            workers.computeIfAbsent(slot, number -> {
                SlotWorker worker = new SlotWorker(number, broker, config, intake, clock, meters);
                worker.start();
                return worker;
            });
        }
    }

    /** A lease that could not be renewed in time belongs to whoever takes it next; two holders would throw each other out. */
    private void letGoOfWhatIsNoLongerOurs() {
        if (clock.instant().isAfter(later(renewedAt, config.lease()))) {
            workers.values().forEach(worker -> worker.stop(STOP_WITHIN));
            workers.clear();
        }
    }

    private void rest() {
        // Looks more often while it is not listening yet, so that a start does not wait for a whole tick.
        Duration pause = isListening() || isStandingBy() ? config.tick() : config.tick().dividedBy(10);
        try {
            if (stop.await(pause.toMillis(), TimeUnit.MILLISECONDS)) {
                LOG.debug("no longer holding slots");
            }
        } catch (InterruptedException interrupted) {
            stop.countDown();
        }
    }

    private static Instant later(Instant time, Duration by) {
        return time.equals(Instant.MAX) || time.equals(Instant.MIN) ? time : time.plus(by);
    }
}
