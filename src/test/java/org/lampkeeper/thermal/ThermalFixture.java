package org.lampkeeper.thermal;

import java.time.Duration;
import java.time.Instant;
import java.util.Arrays;
import java.util.List;
import java.util.Optional;

import org.lampkeeper.quantity.Celsius;
import org.lampkeeper.thermal.Nodes.OneNode;
import org.lampkeeper.thermal.Outside.Constant;
import org.lampkeeper.thermal.TimeConstant.Basis;

/** A cabinet as measured at {@link #START}, its content to be kept between 0 and 50 °C. */
final class ThermalFixture {

    static final Instant START = Instant.parse("2026-01-12T22:00:00Z");
    static final Duration HORIZON = Duration.ofHours(72);
    static final StorageLimits FROST_TO_50 = new StorageLimits(Optional.of(new Celsius(0)), Optional.of(new Celsius(50)));

    private ThermalFixture() {
    }

    static Duration hours(double hours) {
        return Duration.ofMillis(Math.round(hours * 3_600_000));
    }

    /** Known exactly. */
    static TimeConstant exactly(double hours) {
        return between(hours, hours, hours);
    }

    static TimeConstant between(double early, double likely, double late) {
        return new TimeConstant(hours(early), hours(likely), hours(late), Basis.LEARNED);
    }

    static Measured inside(double celsius) {
        return new Measured(START, new Celsius(celsius), Optional.empty());
    }

    static Situation situation(double inside, Outside outside, Nodes nodes) {
        return new Situation(Optional.of(inside(inside)), Optional.of(outside), Optional.of(nodes), FROST_TO_50, Leeway.NONE);
    }

    static Situation situation(double inside, double outside, TimeConstant tau) {
        return situation(inside, new Constant(new Celsius(outside)), new OneNode(tau));
    }

    static Forecast forecast(Situation situation) {
        return Forecast.of(situation, HORIZON, START);
    }

    static Outside hourly(double... values) {
        return new Outside.Hourly(START, celsius(values));
    }

    static Outside hourly(List<Double> values) {
        return new Outside.Hourly(START, values.stream().map(Celsius::new).toList());
    }

    static List<Celsius> celsius(double... values) {
        return Arrays.stream(values).mapToObj(Celsius::new).toList();
    }

    /** The hours to the early end; fails where none is expected. */
    static double hoursTo(Outcome outcome) {
        return hoursTo(((Outcome.Expected) outcome).early());
    }

    static double hoursTo(Instant at) {
        return Duration.between(START, at).toMillis() / 3_600_000.0;
    }
}
