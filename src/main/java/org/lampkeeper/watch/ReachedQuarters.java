package org.lampkeeper.watch;

import java.util.Collection;
import java.util.HashSet;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalDouble;
import java.util.Set;
import java.util.TreeMap;
import java.util.stream.Collectors;

import jakarta.enterprise.context.ApplicationScoped;

import com.github.benmanes.caffeine.cache.Cache;
import com.github.benmanes.caffeine.cache.Caffeine;

import org.lampkeeper.supply.SensorState;
import org.lampkeeper.telemetry.Dated;
import org.lampkeeper.telemetry.Extremes;
import org.lampkeeper.telemetry.Quarters;
import org.lampkeeper.telemetry.Readings;
import org.lampkeeper.telemetry.SteadyReports;

/**
 * Into which quarter of an hour this instance has moved each sensor, so that a steady report within it needs no look at the history.
 * Forgetting costs one look; it never says of a row that it stands further on than it does. Can be used by many threads.
 */
@ApplicationScoped
class ReachedQuarters {

    /** Ours: some 20 MB when full; beyond it, sensors share the room. */
    private static final int SENSORS = 200_000;

    private final Cache<Long, Long> reached = Caffeine.newBuilder().maximumSize(SENSORS).build();
    private final AfterCommit afterCommit;

    ReachedQuarters(AfterCommit afterCommit) {
        this.afterCommit = afterCommit;
    }

    /** Those that may be the first of their quarter. */
    List<SteadyReports.Row> mayCross(List<SteadyReports.Row> rows) {
        return rows.stream().filter(row -> {
            Long known = reached.getIfPresent(row.sensorId());
            return known == null || known != Quarters.of(row.observedAt());
        }).toList();
    }

    /** Remembers, once this transaction has committed, where the rows stand now; nothing of those that did not move. */
    void crossed(List<SteadyReports.Row> mayCross, Collection<SteadyReports.Row> notMoved) {
        if (mayCross.isEmpty()) {
            return;
        }
        Set<Long> left = new HashSet<>();
        notMoved.forEach(row -> left.add(row.sensorId()));
        afterCommit.run(() -> mayCross.stream().filter(row -> !left.contains(row.sensorId()))
                .forEach(row -> reached.put(row.sensorId(), Quarters.of(row.observedAt()))));
    }

    /** Whether a sensor's newest report came into another quarter than the one before it. */
    static boolean crosses(SensorState before, SensorState after) {
        return before.observedAt().isPresent() && after.observedAt().isPresent()
                && Quarters.of(before.observedAt().get()) < Quarters.of(after.observedAt().get());
    }

    /** What was heard of one sensor, one a quarter: the newest, with the newest of each reading, and between what they lay. */
    static List<Quarters.Heard> newestOfEach(List<Dated> heard, long sensorId) {
        Map<Long, Dated> newest = new TreeMap<>();
        heard.forEach(dated -> newest.merge(Quarters.of(dated.report().observedAt()), dated, ReachedQuarters::merged));
        Map<Long, Extremes> extremes = heard.stream().collect(Collectors.toMap(dated -> Quarters.of(dated.report().observedAt()),
                dated -> Extremes.of(dated.readings()), Extremes::and));
        return newest.entrySet().stream().map(each -> new Quarters.Heard(sensorId, each.getValue().report().observedAt(), each.getValue().report().supplied(),
                each.getValue().readings(), extremes.get(each.getKey()))).toList();
    }

    private static Dated merged(Dated one, Dated other) {
        boolean isLater = one.report().observedAt().isAfter(other.report().observedAt());
        Dated newer = isLater ? one : other;
        Readings first = newer.readings();
        Readings second = (isLater ? other : one).readings();
        return new Dated(newer.report(), new Readings(either(first.insideC(), second.insideC()), either(first.outsideC(), second.outsideC()), either(first.contentC(), second.contentC()),
                either(first.batteryPercent(), second.batteryPercent()), either(first.heaterOn(), second.heaterOn()),
                either(first.doorOpen(), second.doorOpen())));
    }

    private static OptionalDouble either(OptionalDouble first, OptionalDouble second) {
        return first.isPresent() ? first : second;
    }

    private static Optional<Boolean> either(Optional<Boolean> first, Optional<Boolean> second) {
        return first.or(() -> second);
    }
}
