package org.lampkeeper.watch;

import java.io.IOException;
import java.io.UncheckedIOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Duration;
import java.time.Instant;
import java.util.EnumMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.concurrent.atomic.AtomicLong;
import java.util.function.LongSupplier;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.inject.Inject;

import io.micrometer.core.instrument.Gauge;
import io.micrometer.core.instrument.MeterRegistry;
import io.micrometer.core.instrument.Tag;
import org.jspecify.annotations.Nullable;

import org.lampkeeper.alarm.AlarmKind;
import org.lampkeeper.alarm.OwnCondition;
import org.lampkeeper.telemetry.Subscriber;

/** What this machine does to Lampkeeper: a slow database, a clock that jumps, a disk that fills. Called by one thread. */
@ApplicationScoped
class OwnMachine {

    private static final List<AlarmKind> KINDS = List.of(AlarmKind.DATABASE_SLOW, AlarmKind.CLOCK_STEPPED, AlarmKind.DISK_NEARLY_FULL);

    private final CommitProbe probe;
    private final OwnConditions conditions;
    private final WatchConfig config;
    private final String instance;
    private final LongSupplier counter;
    private final Map<AlarmKind, OwnCondition> seen = new EnumMap<>(AlarmKind.class);
    private final Map<AlarmKind, AtomicLong> there = new EnumMap<>(AlarmKind.class);
    private final Map<AlarmKind, Instant> since = new EnumMap<>(AlarmKind.class);
    private volatile double commitSeconds = Double.NaN;
    private volatile double stepSeconds = Double.NaN;
    private volatile double freeBytes = Double.NaN;
    private @Nullable Look before;

    private record Look(Instant clock, long counter) {
    }

    @Inject
    OwnMachine(CommitProbe probe, OwnConditions conditions, WatchConfig config, Subscriber subscriber, MeterRegistry meters) {
        this(probe, conditions, config, subscriber.instance(), meters, System::nanoTime);
    }

    /** {@code counter}: nanoseconds that only run forward. */
    OwnMachine(CommitProbe probe, OwnConditions conditions, WatchConfig config, String instance, MeterRegistry meters, LongSupplier counter) {
        this.probe = probe;
        this.conditions = conditions;
        this.config = config;
        this.instance = instance;
        this.counter = counter;
        Gauge.builder("lampkeeper.database.commit.seconds", this, machine -> machine.commitSeconds).register(meters);
        Gauge.builder("lampkeeper.clock.stepped.seconds", this, machine -> machine.stepSeconds).register(meters);
        Gauge.builder("lampkeeper.disk.free.bytes", this, machine -> machine.freeBytes).register(meters);
        for (AlarmKind kind : KINDS) {
            there.put(kind, meters.gauge("lampkeeper.own.fault", List.of(Tag.of("kind", kind.name())), new AtomicLong()));
        }
    }

    /** Measures, and raises or ends the alarms; each though another could not be measured. */
    void look(Instant now) {
        new EachThough().run(() -> clock(now)).run(() -> disk(now)).run(() -> database(now)).end();
    }

    private void database(Instant now) {
        long begun = counter.getAsLong();
        probe.write(instance, now);
        Duration took = Duration.ofNanos(counter.getAsLong() - begun);
        commitSeconds = took.toNanos() / 1e9;
        judge(AlarmKind.DATABASE_SLOW, took.compareTo(config.databaseSlowAbove()) > 0, config.ownConfirm(), now);
    }

    private void clock(Instant now) {
        Look look = new Look(now, counter.getAsLong());
        Optional<Duration> jump = before == null ? Optional.empty()
                : OwnCondition.jump(Duration.between(before.clock(), now), Duration.ofNanos(look.counter() - before.counter()), config.clockStepAbove());
        before = look;
        if (jump.isPresent()) {
            stepSeconds = jump.get().toMillis() / 1000.0;
        } else if (Double.isNaN(stepSeconds)) {
            stepSeconds = 0;
        }
        judge(AlarmKind.CLOCK_STEPPED, jump.isPresent(), Duration.ZERO, now);
    }

    private void disk(Instant now) {
        Path directory = config.dataDirectory().toAbsolutePath();
        while (!Files.exists(directory) && directory.getParent() != null) {
            directory = directory.getParent();
        }
        try {
            long free = Files.getFileStore(directory).getUsableSpace();
            freeBytes = free;
            judge(AlarmKind.DISK_NEARLY_FULL, free < config.diskFreeBelow().asLongValue(), config.ownConfirm(), now);
        } catch (IOException e) {
            throw new UncheckedIOException("the room on the disk of " + directory + " cannot be read (lampkeeper.watch.data-directory)", e);
        }
    }

    private void judge(AlarmKind kind, boolean wrong, Duration confirm, Instant now) {
        OwnCondition last = seen.getOrDefault(kind, OwnCondition.WELL);
        if (wrong && !last.there()) {
            since.putIfAbsent(kind, now);
        }
        OwnCondition next = last.seen(wrong, confirm, config.ownConfirm(), Duration.ofNanos(counter.getAsLong()));
        seen.put(kind, next);
        if (!wrong && !next.there()) {
            since.remove(kind);
        }
        there.get(kind).set(next.there() ? 1 : 0);
        conditions.found(kind, instance, next.there() ? Optional.ofNullable(since.get(kind)) : Optional.empty(), now);
    }
}
