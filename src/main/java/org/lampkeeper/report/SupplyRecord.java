package org.lampkeeper.report;

import java.time.Duration;
import java.time.Instant;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.List;
import java.util.Optional;
import java.util.TreeSet;

import org.lampkeeper.report.SupplyFact.Dip;
import org.lampkeeper.report.SupplyFact.Heard;
import org.lampkeeper.report.SupplyFact.Lost;
import org.lampkeeper.report.SupplyFact.NotListening;
import org.lampkeeper.report.SupplyFact.Quiet;
import org.lampkeeper.report.SupplyFact.Returned;
import org.lampkeeper.report.SupplyFact.SensorGone;

/**
 * How the supply of one cabinet was over a span of time, from what was written down. What is not known counts as neither with nor without
 * supply, and what was announced is left out by rule; nothing is left out by hand.
 *
 * @param span     what was asked for
 * @param stretches gapless, in order, each of another condition than the one before
 */
public record SupplyRecord(Span span, List<Stretch> stretches) {

    public SupplyRecord {
        stretches = List.copyOf(stretches);
    }

    public enum Condition {
        SUPPLIED, LOST, UNKNOWN,
        /** Announced work, commissioning, a test press, or out of service: neither counts. */
        EXCLUDED
    }

    public record Stretch(Span span, Condition condition) {
    }

    /**
     * @param facts    of one cabinet, from its very beginning, in the order in which they were written down
     * @param excluded stretches that were announced; they may overlap
     */
    public static SupplyRecord of(List<SupplyFact> facts, List<Span> excluded, Span span) {
        List<Span> lost = new ArrayList<>();
        List<Span> unknown = new ArrayList<>();
        Optional<Instant> lostSince = Optional.empty();
        Optional<Instant> unknownSince = Optional.of(Instant.MIN);
        for (SupplyFact fact : facts) {
            if (fact instanceof Lost loss) {
                lostSince = lostSince.or(() -> Optional.of(loss.since()));
            } else if (fact instanceof Returned returned) {
                lostSince.ifPresent(since -> add(lost, since, returned.at()));
                lostSince = Optional.empty();
            } else if (fact instanceof Dip dip) {
                add(lost, dip.from(), dip.until());
            } else if (fact instanceof Heard heard) {
                unknownSince.ifPresent(since -> add(unknown, since, heard.at()));
                unknownSince = Optional.empty();
            } else if (fact instanceof Quiet quiet) {
                unknownSince = Optional.of(unknownSince.filter(since -> since.isBefore(quiet.since())).orElse(quiet.since()));
            } else if (fact instanceof NotListening deaf) {
                unknown.add(deaf.span());
            } else if (fact instanceof SensorGone gone) {
                lostSince.ifPresent(since -> add(lost, since, gone.at()));
                lostSince = Optional.empty();
                unknownSince = unknownSince.or(() -> Optional.of(gone.at()));
            } else {
                throw new IllegalStateException("fact without a rule: " + fact.getClass().getName());
            }
        }
        lostSince.ifPresent(since -> add(lost, since, Instant.MAX));
        unknownSince.ifPresent(since -> add(unknown, since, Instant.MAX));
        return new SupplyRecord(span, joined(cut(span, lost, unknown, excluded), lost, unknown, excluded));
    }

    /** How long it was so, within the span. */
    public Duration of(Condition condition) {
        return stretches.stream().filter(each -> each.condition() == condition).map(each -> each.span().length()).reduce(Duration.ZERO, Duration::plus);
    }

    /** With supply, as a share of the time in which it is known; empty where nothing is known. */
    public Optional<Double> availability() {
        return SupplyTotal.of(this).availability();
    }

    /** Each stretch without supply, in order. */
    public List<Span> losses() {
        return stretches.stream().filter(each -> each.condition() == Condition.LOST).map(Stretch::span).toList();
    }

    public Optional<Duration> longestLoss() {
        return losses().stream().map(Span::length).max(Comparator.naturalOrder());
    }

    /** Empty where there was no loss: the mean of nothing is not zero. */
    public Optional<Duration> meanLoss() {
        return SupplyTotal.of(this).meanLoss();
    }

    private static void add(List<Span> spans, Instant from, Instant until) {
        if (from.isBefore(until)) {
            spans.add(new Span(from, until));
        }
    }

    /** Where anything begins or ends within the span, and its own ends. */
    private static List<Instant> cut(Span span, List<Span> lost, List<Span> unknown, List<Span> excluded) {
        TreeSet<Instant> cuts = new TreeSet<>(List.of(span.from(), span.until()));
        for (List<Span> each : List.of(lost, unknown, excluded)) {
            each.forEach(one -> one.within(span).ifPresent(part -> {
                cuts.add(part.from());
                cuts.add(part.until());
            }));
        }
        return List.copyOf(cuts);
    }

    private static List<Stretch> joined(List<Instant> cuts, List<Span> lost, List<Span> unknown, List<Span> excluded) {
        List<Stretch> stretches = new ArrayList<>();
        for (int i = 0; i + 1 < cuts.size(); i++) {
            Instant at = cuts.get(i);
            Condition condition = condition(at, lost, unknown, excluded);
            int last = stretches.size() - 1;
            if (last >= 0 && stretches.get(last).condition() == condition) {
                stretches.set(last, new Stretch(new Span(stretches.get(last).span().from(), cuts.get(i + 1)), condition));
            } else {
                stretches.add(new Stretch(new Span(at, cuts.get(i + 1)), condition));
            }
        }
        return stretches;
    }

    /** Silence after a loss ends nothing: what was lost is lost until it was heard to be back. */
    private static Condition condition(Instant at, List<Span> lost, List<Span> unknown, List<Span> excluded) {
        if (isIn(excluded, at)) {
            return Condition.EXCLUDED;
        }
        if (isIn(lost, at)) {
            return Condition.LOST;
        }
        return isIn(unknown, at) ? Condition.UNKNOWN : Condition.SUPPLIED;
    }

    private static boolean isIn(List<Span> spans, Instant at) {
        return spans.stream().anyMatch(span -> span.holds(at));
    }
}
