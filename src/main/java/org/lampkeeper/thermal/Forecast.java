package org.lampkeeper.thermal;

import java.time.Duration;
import java.time.Instant;
import java.util.List;
import java.util.Optional;
import java.util.OptionalDouble;

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
        List<Lags> starts = situation.nodes().get().from(measured);
        if (outside.isEmpty()) {
            return new Outcome.NoForecast(Reason.NO_OUTSIDE);
        }
        return starts.isEmpty() ? new Outcome.NoForecast(Reason.NO_TEMPERATURE) : reckoned(starts, outside, bound.get(), measured.at(), situation.nodes().get().basis());
    }

    /** In order by sorting: with two nodes and a changing outside the slower of two cabinets is not always the later one. */
    private static Outcome reckoned(List<Lags> starts, List<Knot> outside, Bound bound, Instant from,
            TimeConstant.Basis basis) {
        List<Instant> crossings = starts.stream().map(start -> Crossing.first(start, outside, bound)).filter(OptionalDouble::isPresent)
                .map(seconds -> after(from, seconds.getAsDouble())).sorted().toList();
        Instant until = after(from, outside.get(outside.size() - 1).seconds());
        return crossings.isEmpty() ? new Outcome.NotExpected(bound, until)
                : new Outcome.Expected(bound, crossings.get(0), crossings.stream().skip(1).findFirst(), crossings.stream().skip(2).findFirst(), until,
                        basis);
    }

    private static Instant after(Instant from, double seconds) {
        return from.plusMillis((long) (seconds * 1000));
    }
}
