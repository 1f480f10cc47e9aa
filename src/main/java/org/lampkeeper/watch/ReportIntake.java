package org.lampkeeper.watch;

import java.time.Clock;
import java.time.Instant;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.HashSet;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.Set;
import java.util.TreeMap;
import java.util.TreeSet;
import java.util.stream.Stream;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.persistence.EntityManager;
import jakarta.transaction.Transactional;

import io.micrometer.core.instrument.Counter;
import io.micrometer.core.instrument.MeterRegistry;
import org.jspecify.annotations.Nullable;

import org.lampkeeper.register.HeardSensors;
import org.lampkeeper.register.SensorKey;
import org.lampkeeper.supply.Finding;
import org.lampkeeper.supply.Report;
import org.lampkeeper.supply.SensorState;
import org.lampkeeper.supply.SensorState.Step;
import org.lampkeeper.supply.Tolerance;
import org.lampkeeper.telemetry.Arrival;
import org.lampkeeper.telemetry.Dated;
import org.lampkeeper.telemetry.Dating;
import org.lampkeeper.telemetry.DatingLimits;
import org.lampkeeper.telemetry.Decoded;
import org.lampkeeper.telemetry.Extremes;
import org.lampkeeper.telemetry.Intake;
import org.lampkeeper.telemetry.LinkReading;
import org.lampkeeper.telemetry.LinkWord;
import org.lampkeeper.telemetry.Pack;
import org.lampkeeper.telemetry.Quarters;
import org.lampkeeper.telemetry.Readings;
import org.lampkeeper.telemetry.Reason;
import org.lampkeeper.telemetry.Refusal;
import org.lampkeeper.telemetry.SensorTopic;
import org.lampkeeper.telemetry.SteadyReports;
import org.lampkeeper.telemetry.Topics;
import org.lampkeeper.watch.SensorStatuses.Status;

/**
 * Takes a batch of arrivals in, in one transaction. Two paths: a sensor that only says again what it said before moves its row in one
 * set-based statement; every other one has its row locked and the core asked, fact by fact, in the order of arrival.
 */
@ApplicationScoped
class ReportIntake implements Intake {

    private final EntityManager entities;
    private final SensorDirectory directory;
    private final RefusedReports refused;
    private final HeardSensors heard;
    private final FindingKeeper findings;
    private final SiteWatches sites;
    private final ReachedQuarters quarters;
    private final Tolerance tolerance;
    private final DatingLimits limits;
    private final Counter reports;
    private final Counter steady;
    private final Clock clock;

    ReportIntake(EntityManager entities, SensorDirectory directory, RefusedReports refused, HeardSensors heard, FindingKeeper findings, SiteWatches sites,
            ReachedQuarters quarters, WatchConfig config, MeterRegistry meters, Clock clock) {
        this.entities = entities;
        this.directory = directory;
        this.refused = refused;
        this.heard = heard;
        this.findings = findings;
        this.sites = sites;
        this.quarters = quarters;
        this.tolerance = config.tolerance();
        this.limits = DatingLimits.DEFAULTS;
        this.reports = meters.counter("lampkeeper.reports.in");
        this.steady = meters.counter("lampkeeper.reports.steady");
        this.clock = clock;
    }

    /** One thing that one sensor did, in the order of arrival. */
    private sealed interface Fact {
        record Heard(Dated dated, Instant receivedAt) implements Fact {
        }

        record Linked(LinkWord word) implements Fact {
        }
    }

    /** What a sensor did within this batch. */
    private static final class Doings {
        private final SensorKey key;
        private final List<Arrival> arrivals = new ArrayList<>();
        private final List<Fact> facts = new ArrayList<>();

        private Doings(SensorKey key) {
            this.key = key;
        }

        /** What can be dated, in the order of arrival. */
        private List<Dated> heard() {
            return facts.stream().filter(Fact.Heard.class::isInstance).map(fact -> ((Fact.Heard) fact).dated())
                    .filter(dated -> dated.report().isAgeKnown()).toList();
        }
    }

    /** An arrival that was read, before anybody knows whether its sensor exists. */
    private record Read(Arrival arrival, SensorTopic topic, Optional<Pack> pack, Optional<LinkWord> link) {
    }

    @Override
    @Transactional
    public void take(List<Arrival> batch) {
        List<Read> read = new ArrayList<>(batch.size());
        Set<String> devices = new HashSet<>();
        for (Arrival arrival : batch) {
            read(arrival).ifPresent(each -> {
                read.add(each);
                devices.add(each.topic().deviceId());
            });
        }
        Map<String, SensorKey> keys = directory.find(devices);
        Map<Long, Doings> doings = new LinkedHashMap<>();
        // By id, so that two batches note the same sensors in the same order.
        Map<String, Optional<String>> unknown = new TreeMap<>();
        for (Read each : read) {
            SensorKey key = keys.get(each.topic().deviceId());
            if (key == null) {
                refuseUnknown(each.arrival(), each.topic().deviceId());
                unknown.merge(each.topic().deviceId(), each.pack().map(Pack::baseName), (before, now) -> now.or(() -> before));
            } else if (each.pack().isPresent() && !each.pack().get().baseName().equals(key.baseName())) {
                refused.note(each.arrival(), new Refusal(Reason.BASE_NAME_DISAGREES,
                        "bn is '" + each.pack().get().baseName() + "', must be '" + key.baseName() + "' on this topic"));
            } else {
                add(doings.computeIfAbsent(key.sensorId(), id -> new Doings(key)), each);
            }
        }
        unknown.forEach((device, baseName) -> heard.note(device, baseName, clock.instant()));
        store(doings);
        reports.increment(batch.size());
    }

    @Override
    @Transactional
    public void setAside(Arrival arrival, String why) {
        refused.keep(arrival, new Refusal(Reason.NOT_HANDLED, why));
    }

    private Optional<Read> read(Arrival arrival) {
        Optional<SensorTopic> topic = Topics.parse(arrival.topic());
        if (topic.isEmpty()) {
            refused.note(arrival, new Refusal(Reason.FOREIGN_TOPIC,
                    "topic must be lampkeeper/v1/{device id}/report or …/link"));
            return Optional.empty();
        }
        if (topic.get().kind() == SensorTopic.Kind.LINK) {
            LinkReading reading = LinkWord.read(arrival.payload());
            if (reading instanceof Refusal refusal) {
                refused.note(arrival, refusal);
                return Optional.empty();
            }
            return Optional.of(new Read(arrival, topic.get(), Optional.empty(), Optional.of((LinkWord) reading)));
        }
        Decoded decoded = arrival.report();
        if (decoded instanceof Refusal refusal) {
            refused.note(arrival, refusal);
            return Optional.empty();
        }
        return Optional.of(new Read(arrival, topic.get(), Optional.of((Pack) decoded), Optional.empty()));
    }

    private void refuseUnknown(Arrival arrival, String deviceId) {
        refused.note(arrival, new Refusal(Reason.UNKNOWN_SENSOR, "no sensor in use has the device id '" + deviceId + "'; register it first"));
    }

    private void add(Doings doings, Read read) {
        doings.arrivals.add(read.arrival());
        read.link().ifPresent(word -> doings.facts.add(new Fact.Linked(word)));
        read.pack().ifPresent(pack -> {
            Instant receivedAt = read.arrival().receivedAt();
            for (Dated dated : Dating.date(pack, receivedAt, read.arrival().mayHaveWaited(), limits)) {
                doings.facts.add(new Fact.Heard(dated, receivedAt));
            }
        });
    }

    private void store(Map<Long, Doings> doings) {
        Map<Long, Doings> unsteady = new TreeMap<>();
        List<SteadyReports.Row> rows = new ArrayList<>();
        doings.values().stream().sorted(Comparator.comparing((Doings each) -> each.key.sensorId())).forEach(each -> {
            Optional<SteadyReports.Row> row = asRun(each);
            row.ifPresent(rows::add);
            if (row.isEmpty()) {
                unsteady.put(each.key.sensorId(), each);
            }
        });
        entities.flush();
        List<SteadyReports.Row> mayCross = quarters.mayCross(rows);
        List<SteadyReports.Row> notSteady = SqlWork.on(entities, connection -> SteadyReports.move(connection, rows, mayCross));
        for (SteadyReports.Row rest : notSteady) {
            unsteady.put(rest.sensorId(), doings.get(rest.sensorId()));
        }
        quarters.crossed(mayCross, notSteady);
        steady.increment(rows.size());
        if (!unsteady.isEmpty()) {
            decide(unsteady);
        }
        List<Quarters.Heard> past = doings.values().stream().flatMap(each -> past(each, unsteady.containsKey(each.key.sensorId()))).toList();
        if (!past.isEmpty()) {
            SqlWork.on(entities, connection -> {
                Quarters.fill(connection, past);
                return null;
            });
        }
    }

    /** What may belong into the history at once. The newest quarter of a steady run is where its row stands now, so it is not over. */
    private static Stream<Quarters.Heard> past(Doings doings, boolean isUnsteady) {
        if (doings.facts.size() == 1 && !isUnsteady) {
            return Stream.empty();
        }
        List<Quarters.Heard> heard = ReachedQuarters.newestOfEach(doings.heard(), doings.key.sensorId());
        return heard.stream().limit(isUnsteady ? heard.size() : heard.size() - 1L);
    }

    /** A run of equal, clean reports, each newer than the one before, comes to one row; anything else does not. */
    private Optional<SteadyReports.Row> asRun(Doings doings) {
        SteadyReports.@Nullable Row run = null;
        for (Fact fact : doings.facts) {
            if (!(fact instanceof Fact.Heard heard) || !heard.dated().report().isClean()) {
                return Optional.empty();
            }
            Report report = heard.dated().report();
            if (run != null && (run.supplied() != report.supplied() || !run.observedAt().isBefore(report.observedAt()))) {
                return Optional.empty();
            }
            run = row(doings.key.sensorId(), heard, run);
        }
        return Optional.ofNullable(run);
    }

    private SteadyReports.Row row(long sensorId, Fact.Heard heard, SteadyReports.@Nullable Row before) {
        Report report = heard.dated().report();
        Readings readings = heard.dated().readings();
        return new SteadyReports.Row(sensorId, report.supplied(), report.observedAt(),
                report.seq().isPresent() ? report.seq().getAsLong() : null, heard.receivedAt(),
                report.observedAt().plus(report.nextWithin()).plus(tolerance.grace()),
                readings.insideC().isPresent() ? Double.valueOf(readings.insideC().getAsDouble()) : before == null ? null : before.insideC(),
                readings.outsideC().isPresent() ? Double.valueOf(readings.outsideC().getAsDouble())
                        : before == null ? null : before.outsideC(),
                readings.contentC().isPresent() ? Double.valueOf(readings.contentC().getAsDouble())
                        : before == null ? null : before.contentC(),
                readings.batteryPercent().isPresent() ? Double.valueOf(readings.batteryPercent().getAsDouble())
                        : before == null ? null : before.batteryPercent(),
                readings.heaterOn().orElse(before == null ? null : before.heaterOn()),
                readings.doorOpen().orElse(before == null ? null : before.doorOpen()),
                before == null || Quarters.of(before.observedAt()) != Quarters.of(report.observedAt()) ? Extremes.of(readings)
                        : before.extremes().and(Extremes.of(readings)));
    }

    /** Locks the rows in id order, then their sites in id order, and lets the core judge each fact. */
    private void decide(Map<Long, Doings> unsteady) {
        Instant now = clock.instant();
        List<Status> locked = SqlWork.on(entities, connection -> SensorStatuses.lock(connection, unsteady.keySet()));
        refuseRetired(unsteady, locked);
        TreeSet<Long> siteIds = new TreeSet<>();
        Map<Status, List<Finding>> found = new LinkedHashMap<>();
        Map<Long, SensorState> next = new LinkedHashMap<>();
        for (Status status : locked) {
            List<Finding> all = new ArrayList<>();
            SensorState state = status.state();
            for (Fact fact : unsteady.get(status.sensorId()).facts) {
                Step step = judge(state, fact, now);
                state = step.next();
                all.addAll(step.findings());
            }
            if (!all.isEmpty()) {
                siteIds.add(status.siteId());
                found.put(status, all);
            }
            next.put(status.sensorId(), state);
        }
        sites.lock(siteIds);
        SqlWork.on(entities, connection -> {
            Quarters.closeAndBegin(connection, locked.stream().filter(status -> ReachedQuarters.crosses(status.state(), next.get(status.sensorId())))
                    .map(status -> new Quarters.Step(status.sensorId(), next.get(status.sensorId()).observedAt().orElseThrow())).toList());
            for (Status status : locked) {
                if (!next.get(status.sensorId()).equals(status.state())) {
                    SensorStatuses.store(connection, status.sensorId(), next.get(status.sensorId()));
                }
                for (Fact fact : unsteady.get(status.sensorId()).facts) {
                    if (fact instanceof Fact.Heard heard && !isOlderThanKnown(status, heard)) {
                        SensorStatuses.storeReadings(connection, status.sensorId(), heard.dated().readings(), heard.dated().report().observedAt(),
                                heard.receivedAt());
                    }
                }
            }
            return null;
        });
        found.forEach((status, all) -> findings.keep(status, all, now));
    }

    /** Retired since the directory found it: its row is gone, and it is as unknown as any other that is not in use. */
    private void refuseRetired(Map<Long, Doings> unsteady, List<Status> locked) {
        if (locked.size() == unsteady.size()) {
            return;
        }
        Map<Long, Doings> retired = new TreeMap<>(unsteady);
        locked.forEach(status -> retired.remove(status.sensorId()));
        for (Doings each : retired.values()) {
            directory.forget(each.key.deviceId());
            each.arrivals.forEach(arrival -> refuseUnknown(arrival, each.key.deviceId()));
        }
    }

    private Step judge(SensorState state, Fact fact, Instant now) {
        if (fact instanceof Fact.Heard heard) {
            return state.heard(heard.dated().report(), tolerance, now);
        }
        if (fact instanceof Fact.Linked linked) {
            return linked.word() == LinkWord.UP ? state.linkUp(now) : state.linkDown(tolerance, now);
        }
        throw new IllegalStateException("fact without a rule: " + fact.getClass().getName());
    }

    /** Temperatures of a late report are history; the present ones stay. */
    private static boolean isOlderThanKnown(Status status, Fact.Heard heard) {
        Report report = heard.dated().report();
        return !report.isAgeKnown() || status.state().observedAt().filter(known -> report.observedAt().isBefore(known)).isPresent();
    }
}
