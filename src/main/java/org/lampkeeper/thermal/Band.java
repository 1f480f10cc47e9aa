package org.lampkeeper.thermal;

import java.time.Duration;
import java.time.Instant;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;

import org.lampkeeper.thermal.Outside.Knot;

/**
 * How the content goes without heating, moment by moment: what a forecast's early and late ends come from, to be drawn.
 *
 * @param points in order of time, the first when it was measured
 */
public record Band(List<At> points) {

    /** °C; {@code coldest} and {@code warmest} hold all that is reckoned with at that moment. */
    public record At(Instant at, double coldest, double likely, double warmest) {
    }

    public Band {
        points = List.copyOf(points);
    }

    /** Empty where there is nothing to reckon from. {@code step}: more than zero; {@code horizon}: from {@code now}. */
    public static Optional<Band> of(Situation situation, Duration step, Duration horizon, Instant now) {
        if (step.isZero() || step.isNegative()) {
            throw new IllegalArgumentException("step " + step + ", must be more than 0");
        }
        if (situation.inside().isEmpty() || situation.outside().isEmpty() || situation.nodes().isEmpty()
                || situation.inside().get().at().plus(Forecast.OLDEST).isBefore(now)) {
            return Optional.empty();
        }
        Measured measured = situation.inside().get();
        List<Knot> outside = situation.outside().get().knots(measured.at(), now.plus(horizon));
        if (outside.isEmpty() || situation.nodes().get().from(measured).isEmpty()) {
            return Optional.empty();
        }
        List<double[]> ways = new ArrayList<>();
        for (int way : new int[] {-1, 0, 1}) {
            List<Knot> shifted = outside.stream().map(each -> new Knot(each.seconds(), each.celsius() + way * situation.leeway().outside())).toList();
            situation.nodes().get().from(measured.shifted(way * situation.leeway().inside())).forEach(lags -> ways.add(along(lags, shifted, step)));
        }
        List<Instant> moments = moments(measured.at(), outside, step);
        // Three ways of three time constants each; in the middle the likely one of both.
        double[] likely = ways.get(4);
        List<At> points = new ArrayList<>();
        for (int i = 0; i < moments.size(); i++) {
            int at = i;
            points.add(new At(moments.get(i), ways.stream().mapToDouble(way -> way[at]).min().orElseThrow(), likely[i],
                    ways.stream().mapToDouble(way -> way[at]).max().orElseThrow()));
        }
        return Optional.of(new Band(points));
    }

    private static List<Instant> moments(Instant from, List<Knot> outside, Duration step) {
        List<Instant> moments = new ArrayList<>(List.of(from));
        for (int i = 1; i < outside.size(); i++) {
            int pieces = pieces(outside.get(i - 1), outside.get(i), step);
            double length = outside.get(i).seconds() - outside.get(i - 1).seconds();
            for (int piece = 1; piece <= pieces; piece++) {
                moments.add(from.plusMillis(Math.round((outside.get(i - 1).seconds() + length * piece / pieces) * 1000)));
            }
        }
        return moments;
    }

    private static double[] along(Lags start, List<Knot> outside, Duration step) {
        List<Double> values = new ArrayList<>(List.of(start.now()));
        Lags at = start;
        for (int i = 1; i < outside.size(); i++) {
            Knot from = outside.get(i - 1);
            double length = outside.get(i).seconds() - from.seconds();
            int pieces = pieces(from, outside.get(i), step);
            for (int piece = 0; piece < pieces; piece++) {
                double slope = (outside.get(i).celsius() - from.celsius()) / length;
                at = at.stepped(length / pieces, from.celsius() + slope * length * piece / pieces, slope);
                values.add(at.now());
            }
        }
        return values.stream().mapToDouble(Double::doubleValue).toArray();
    }

    private static int pieces(Knot from, Knot to, Duration step) {
        double length = to.seconds() - from.seconds();
        return length <= 0 ? 0 : (int) Math.max(1, Math.ceil(length / step.toSeconds()));
    }
}
