package org.lampkeeper.thermal;

import java.time.Duration;
import java.time.Instant;
import java.util.List;
import java.util.function.Predicate;
import java.util.stream.DoubleStream;

import org.apache.commons.math3.distribution.FDistribution;

import org.lampkeeper.quantity.Celsius;
import org.lampkeeper.thermal.HeaterVerdict.DoesNotHeat;
import org.lampkeeper.thermal.HeaterVerdict.DoorOpen;
import org.lampkeeper.thermal.HeaterVerdict.Heats;
import org.lampkeeper.thermal.HeaterVerdict.LooksEmptied;
import org.lampkeeper.thermal.HeaterVerdict.NeverStops;
import org.lampkeeper.thermal.HeaterVerdict.NotJudged;
import org.lampkeeper.thermal.HeaterVerdict.Reason;

/**
 * Judges a heater by what the cabinet does: below its set point it heats all the time, so the inside makes for outside plus a constant lift, as
 * fast as its time constant lets it. What the heater itself reports is not believed: one with a broken element also says that it is on.
 */
public final class HeaterLook {

    /** Ours, K: a thermostat's own play and what the sensor is off by. */
    static final double BELOW = 2;

    /** Ours, K: more than a thermostat overshoots. */
    static final double ABOVE = 3;

    /** Ours, K: less lift than this is no heater; the sun, or a sensor that is off, makes as much. */
    static final double LEAST_LIFT = 2;

    static final int LEAST_READINGS = 8;

    /** Ours: long enough for a slow heater to be seen, and never less than half a time constant. */
    static final Duration LEAST_LENGTH = Duration.ofHours(1);

    /** Ours: after a door was closed the content warms the air again, faster than anything else here. */
    static final Duration SETTLING = Duration.ofMinutes(30);

    /** Ours: that a heater which reports that it is on may take to warm a cabinet that it has just been switched on in. */
    static final Duration ON_FOR = Duration.ofHours(2);

    /** A night and a day, so that the sun is not taken for a heater where none reports. */
    static final Duration WARM_FOR = Duration.ofHours(24);

    /** Ours: so many times faster is not the same content. */
    private static final double FASTER = 1.5;

    /** Ours: two-sided, on top of the doubt in the time constant. */
    private static final double ERRORS = 2;

    private HeaterLook() {
    }

    /**
     * @param readings in order of time, all while the supply was healthy, without a break
     * @param tau      learnt where possible; a nominal one leaves more undecided
     */
    public static HeaterVerdict at(List<HeaterReading> readings, Celsius setPoint, TimeConstant tau) {
        if (readings.isEmpty()) {
            return new NotJudged(Reason.NO_READINGS);
        }
        List<HeaterReading> open = tail(readings, HeaterReading::isDoorOpen);
        if (!open.isEmpty()) {
            return new DoorOpen(open.get(0).at());
        }
        List<HeaterReading> closed = settled(tail(readings, each -> !each.isDoorOpen()), readings.size());
        if (isTooWarm(closed, setPoint)) {
            return new NeverStops(tail(closed, each -> isAbove(each, setPoint)).get(0).at());
        }
        List<HeaterReading> cold = tail(closed, each -> each.inside().value() < setPoint.value() - BELOW);
        if (cold.isEmpty()) {
            return new NotJudged(closed.isEmpty() ? Reason.TOO_SHORT : Reason.NOT_NEEDED);
        }
        if (cold.size() < LEAST_READINGS || length(cold).compareTo(LEAST_LENGTH) < 0 || length(cold).compareTo(tau.likely().dividedBy(2)) < 0) {
            return new NotJudged(Reason.TOO_SHORT);
        }
        return judged(cold, closed.size() < readings.size(), setPoint, tau);
    }

    private static HeaterVerdict judged(List<HeaterReading> cold, boolean wasDoorOpened, Celsius setPoint, TimeConstant tau) {
        List<LiftFit> known = DoubleStream.of(seconds(tau.early()), seconds(tau.likely()), seconds(tau.late())).mapToObj(each -> LiftFit.of(cold, each)).toList();
        LiftFit freely = LiftFit.free(cold, seconds(tau.early()), seconds(tau.late()));
        if (isFaster(freely, known, tau, cold.size())) {
            return wasDoorOpened ? new LooksEmptied(cold.get(0).at(), Duration.ofMillis(Math.round(freely.tau() * 1000)))
                    : new NotJudged(Reason.UNLIKE_THE_CABINET);
        }
        double least = known.stream().mapToDouble(each -> each.lift() - ERRORS * each.standardError()).min().orElseThrow();
        double most = known.stream().mapToDouble(each -> each.lift() + ERRORS * each.standardError()).max().orElseThrow();
        if (most < LEAST_LIFT) {
            return new DoesNotHeat(cold.get(0).at(), Math.max(0, most));
        }
        if (least < LEAST_LIFT || most > HeaterReach.MOST_LIFT) {
            return new NotJudged(Reason.UNCERTAIN);
        }
        return new Heats(new HeaterReach(setPoint, least, known.get(1).lift(), most));
    }

    /** Whether one time constant below all that is reckoned with explains the readings better than chance does once in a hundred times. */
    private static boolean isFaster(LiftFit freely, List<LiftFit> known, TimeConstant tau, int readings) {
        int freedom = readings - 3;
        double allowed = 1 + new FDistribution(null, 1, freedom).inverseCumulativeProbability(0.99) / freedom;
        double best = known.stream().mapToDouble(LiftFit::squares).min().orElseThrow();
        return freely.tau() * FASTER < seconds(tau.early()) && best > allowed * freely.squares();
    }

    /** Without the beginning, where it begins with the closing of a door. */
    private static List<HeaterReading> settled(List<HeaterReading> closed, int all) {
        if (closed.size() == all) {
            return closed;
        }
        Instant from = closed.get(0).at().plus(SETTLING);
        return closed.stream().filter(each -> !each.at().isBefore(from)).toList();
    }

    /** Where the heater reports, it must say that it is on; where it does not, the outside must be below the set point for a day and a night. */
    private static boolean isTooWarm(List<HeaterReading> closed, Celsius setPoint) {
        List<HeaterReading> on = tail(closed, each -> isAbove(each, setPoint) && each.heaterOn().orElse(false));
        List<HeaterReading> warm = tail(closed, each -> isAbove(each, setPoint) && each.heaterOn().orElse(true)
                && each.outside().value() < setPoint.value());
        return length(on).compareTo(ON_FOR) >= 0 || length(warm).compareTo(WARM_FOR) >= 0;
    }

    private static boolean isAbove(HeaterReading reading, Celsius setPoint) {
        return reading.inside().value() > setPoint.value() + ABOVE;
    }

    /** The longest end of the list of which all the claim is true. */
    private static List<HeaterReading> tail(List<HeaterReading> readings, Predicate<HeaterReading> claim) {
        int from = readings.size();
        while (from > 0 && claim.test(readings.get(from - 1))) {
            from--;
        }
        return readings.subList(from, readings.size());
    }

    private static Duration length(List<HeaterReading> readings) {
        if (readings.isEmpty()) {
            return Duration.ZERO;
        }
        Instant first = readings.get(0).at();
        return Duration.between(first, readings.get(readings.size() - 1).at());
    }

    private static double seconds(Duration duration) {
        return duration.toMillis() / 1000.0;
    }
}
