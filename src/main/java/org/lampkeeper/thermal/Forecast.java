package org.lampkeeper.thermal;

import java.time.Duration;
import java.time.Instant;
import java.util.List;
import java.util.Optional;
import java.util.OptionalDouble;
import java.util.stream.IntStream;

import org.lampkeeper.quantity.Celsius;
import org.lampkeeper.thermal.Outcome.Reason;
import org.lampkeeper.thermal.Outside.Knot;

/**
 * When content without heating will be too cold, or without cooling too hot, by Newton's law of cooling (Incropera, Fundamentals of Heat and
 * Mass Transfer, ch. 5). An estimate: wind, sun and an opened door are not in it. One node is pessimistic or optimistic: see {@link Nodes}.
 */
public record Forecast(Outcome tooCold, Outcome tooHot) {

    /** Ours: four reports of a sensor that promises one in 15 minutes; what the cabinet has done since is not known. */
    public static final Duration OLDEST = Duration.ofHours(1);

    /** Which way the leeway counts at the early, the likely and the late end: less room, none, more. */
    private static final int[] ENDS = {-1, 0, 1};

    /** @param horizon how far from {@code now} it is looked, more than zero */
    public static Forecast of(Situation situation, Duration horizon, Instant now) {
        if (horizon.isZero() || horizon.isNegative()) {
            throw new IllegalArgumentException("horizon " + horizon + ", must be more than 0");
        }
        return new Forecast(outcome(situation, situation.limits().lowest().map(Bound::below), horizon, now),
                outcome(situation, situation.limits().highest().map(Bound::above), horizon, now));
    }

    private static Outcome outcome(Situation situation, Optional<Bound> bound, Duration horizon, Instant now) {
        if (bound.isEmpty()) {
            return new Outcome.NoForecast(Reason.NO_LIMIT);
        }
        if (situation.inside().isEmpty()) {
            return new Outcome.NoForecast(Reason.NO_TEMPERATURE);
        }
        Measured measured = situation.inside().get();
        if (measured.at().plus(OLDEST).isBefore(now)) {
            return new Outcome.NoForecast(Reason.OLD_TEMPERATURE);
        }
        Celsius content = measured.device().orElse(measured.inside());
        if (bound.get().room(content.value()) < 0) {
            return new Outcome.AlreadyPast(bound.get(), content, measured.at());
        }
        if (situation.outside().isEmpty()) {
            return new Outcome.NoForecast(Reason.NO_OUTSIDE);
        }
        if (situation.nodes().isEmpty()) {
            return new Outcome.NoForecast(Reason.NO_TIME_CONSTANT);
        }
        List<Knot> outside = situation.outside().get().knots(measured.at(), now.plus(horizon));
        if (outside.isEmpty()) {
            return new Outcome.NoForecast(Reason.NO_OUTSIDE);
        }
        Nodes nodes = situation.nodes().get();
        return nodes.from(measured).isEmpty() ? new Outcome.NoForecast(Reason.NO_TEMPERATURE)
                : reckoned(nodes, measured, outside, bound.get(), situation.leeway());
    }

    /** In order by sorting: with two nodes and a changing outside the slower of two cabinets is not always the later one. */
    private static Outcome reckoned(Nodes nodes, Measured measured, List<Knot> outside, Bound bound, Leeway leeway) {
        List<Instant> crossings = IntStream.range(0, ENDS.length)
                .mapToObj(i -> Crossing.first(nodes.from(measured.shifted(ENDS[i] * bound.sign() * leeway.inside())).get(i),
                        shifted(outside, ENDS[i] * bound.sign() * leeway.outside()), bound))
                .filter(OptionalDouble::isPresent).map(seconds -> after(measured.at(), seconds.getAsDouble())).sorted().toList();
        Instant until = after(measured.at(), outside.get(outside.size() - 1).seconds());
        return crossings.isEmpty() ? new Outcome.NotExpected(bound, until)
                : new Outcome.Expected(bound, crossings.get(0), crossings.stream().skip(1).findFirst(), crossings.stream().skip(2).findFirst(), until,
                        nodes.basis());
    }

    private static List<Knot> shifted(List<Knot> outside, double kelvin) {
        return outside.stream().map(each -> new Knot(each.seconds(), each.celsius() + kelvin)).toList();
    }

    private static Instant after(Instant from, double seconds) {
        return from.plusMillis((long) (seconds * 1000));
    }
}
