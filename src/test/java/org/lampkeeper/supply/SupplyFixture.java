package org.lampkeeper.supply;

import java.time.Duration;
import java.time.Instant;
import java.util.List;
import java.util.OptionalLong;
import java.util.Set;

import org.lampkeeper.supply.SensorState.Step;

/** Supplies in a known situation. Times are seconds after {@link #NOON}; a report is heard the moment it was observed. */
final class SupplyFixture {

    static final Instant NOON = Instant.parse("2026-11-25T12:00:00Z");
    static final Duration PROMISE = Duration.ofSeconds(900);
    static final Duration GRACE = Duration.ofSeconds(120);
    static final Duration CONFIRM = Duration.ofSeconds(20);
    static final Duration LINK_GRACE = Duration.ofSeconds(60);
    static final Duration DIPS_WINDOW = Duration.ofHours(1);
    static final Tolerance TOLERANCE = new Tolerance(CONFIRM, GRACE, LINK_GRACE, 3, DIPS_WINDOW);
    static final Tolerance AT_ONCE = new Tolerance(Duration.ZERO, GRACE, LINK_GRACE, 3, DIPS_WINDOW);

    private SupplyFixture() {
    }

    static Instant at(long seconds) {
        return NOON.plusSeconds(seconds);
    }

    static Report healthy(long seconds, Doubt... doubts) {
        return report(true, seconds, OptionalLong.empty(), doubts);
    }

    static Report lost(long seconds, Doubt... doubts) {
        return report(false, seconds, OptionalLong.empty(), doubts);
    }

    static Report counted(Report report, long seq) {
        return new Report(report.supplied(), report.observedAt(), OptionalLong.of(seq), report.nextWithin(), report.doubts());
    }

    static SensorState heard(Report... reports) {
        return then(SensorState.UNHEARD, reports);
    }

    static SensorState then(SensorState state, Report... reports) {
        SensorState current = state;
        for (Report report : reports) {
            current = step(current, report).next();
        }
        return current;
    }

    static Step step(SensorState state, Report report) {
        return state.heard(report, TOLERANCE, report.observedAt());
    }

    static List<Finding> found(SensorState state, Report report) {
        return step(state, report).findings();
    }

    /** Healthy at NOON, lost at this second, confirmed. */
    static SensorState lostSince(long seconds) {
        return heard(healthy(0), lost(seconds)).confirmationDue(at(seconds).plus(CONFIRM)).next();
    }

    /** Healthy at NOON, and its silence judged. */
    static SensorState silent() {
        return heard(healthy(0)).silenceDue(at(1021)).next();
    }

    private static Report report(boolean supplied, long seconds, OptionalLong seq, Doubt... doubts) {
        return new Report(supplied, at(seconds), seq, PROMISE, Set.of(doubts));
    }
}
