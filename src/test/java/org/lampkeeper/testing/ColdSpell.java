package org.lampkeeper.testing;

import java.time.Duration;
import java.time.Instant;
import java.time.LocalDate;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.Random;

import org.lampkeeper.simulator.HeatedCabinet;
import org.lampkeeper.testing.SeattleDays.Day;

/**
 * A cabinet in a real cold spell, 5 to 9 December 2013: highest and lowest of each day as observed in Seattle (NOAA, in vega-datasets 3.2.1,
 * data/seattle-weather.csv: 1.1/-4.9, 1.1/-4.3, 0.0/-7.1, 2.2/-6.6, 1.1/-4.9 °C). What lies between them is made by us: half a cosine from the lowest
 * at six to the highest at fifteen o'clock and back, and over it a wandering of 0.7 K that the forecast cannot know. The cabinet is one of ours with a
 * time constant of 0.8 to 5 h that nobody is told; its sensors are off by 0.2 K each, normally, from memory.
 *
 * <p>Supply is lost for three hours in each of the two nights before, as a test of it would, and for good at -7 °C.
 */
public final class ColdSpell {

    /** The lowest of the five days, on 7 December. */
    public static final Instant LOSS = Instant.parse("2013-12-07T06:00:00Z");

    public static final Instant BEGIN = Instant.parse("2013-12-05T00:00:00Z");

    private static final List<Day> OBSERVED = SeattleDays.between(LocalDate.of(2013, 12, 5), LocalDate.of(2013, 12, 9));
    private static final Instant FIRST_DAY = Instant.parse("2013-12-04T00:00:00Z");
    private static final Duration STEP = Duration.ofMinutes(1);
    private static final Duration NIGHT_TEST = Duration.ofHours(3);
    private static final double NOISE = 0.2;
    private static final double WANDERING = 0.7;
    private static final double WANDERS_FOR_HOURS = 3;

    private final Random random;
    private final HeatedCabinet cabinet;
    private final double tauHours;
    private final double drawnFactor;
    private Instant now = BEGIN;
    private double wander;

    /** What its sensor says at a moment. */
    public record Reported(Instant at, boolean supplied, double inside, double outside) {
    }

    public ColdSpell(long seed) {
        // Neighbouring seeds begin alike otherwise.
        random = new Random(seed * 0x9E3779B97F4A7C15L);
        tauHours = 0.8 * Math.pow(5 / 0.8, random.nextDouble());
        drawnFactor = Math.pow(1.6, 2 * random.nextDouble() - 1);
        cabinet = new HeatedCabinet(7 + 2 * random.nextDouble(), outside(BEGIN), Duration.ofMillis(Math.round(tauHours * 3_600_000)));
    }

    /** J/K for each W/K as its drawings have it: off by up to three fifths, either way. */
    public double drawnJoulePerWatt() {
        return tauHours * 3600 * drawnFactor;
    }

    public double tauHours() {
        return tauHours;
    }

    /** What is reported each quarter of an hour from the beginning up to the loss, which is the last of them. */
    public List<Reported> untilTheLoss() {
        List<Reported> reported = new ArrayList<>();
        for (Instant at = BEGIN; !at.isAfter(LOSS); at = at.plus(Duration.ofMinutes(15))) {
            passTo(at);
            reported.add(new Reported(at, isSupplied(at), noisy(cabinet.inside()), noisy(cabinet.outside())));
        }
        return reported;
    }

    /** After it: when the content passes that temperature, within two days. */
    public Optional<Instant> isBelow(double celsius) {
        while (now.isBefore(LOSS.plus(Duration.ofHours(48)))) {
            if (cabinet.inside() < celsius) {
                return Optional.of(now);
            }
            passTo(now.plus(STEP));
        }
        return Optional.empty();
    }

    private void passTo(Instant at) {
        while (now.isBefore(at)) {
            double kept = Math.exp(-STEP.toSeconds() / 3600.0 / WANDERS_FOR_HOURS);
            wander = wander * kept + WANDERING * Math.sqrt(1 - kept * kept) * random.nextGaussian();
            cabinet.outside(outside(now) + wander);
            cabinet.supply(isSupplied(now));
            cabinet.pass(STEP);
            now = now.plus(STEP);
        }
        cabinet.supply(isSupplied(now));
    }

    /** Not in three hours of the two nights before, and not from the loss on. */
    public static boolean isSupplied(Instant at) {
        boolean isTested = false;
        for (int night = 1; night <= 2; night++) {
            Instant from = LOSS.minus(Duration.ofDays(night)).minus(Duration.ofHours(4));
            isTested |= !at.isBefore(from) && at.isBefore(from.plus(NIGHT_TEST));
        }
        return !isTested && at.isBefore(LOSS);
    }

    private double noisy(double celsius) {
        return celsius + NOISE * random.nextGaussian();
    }

    /** Half a cosine between one extreme and the next. */
    public static double outside(Instant at) {
        double hours = Duration.between(FIRST_DAY, at).toSeconds() / 3600.0;
        int day = (int) (hours / 24);
        double hour = hours - day * 24.0;
        if (hour < 6) {
            return between(day(day - 1).highest(), day(day).lowest(), (hour + 9) / 15);
        }
        return hour < 15 ? between(day(day).lowest(), day(day).highest(), (hour - 6) / 9) : between(day(day).highest(), day(day + 1).lowest(), (hour - 15) / 15);
    }

    /** So many days after the fourth; the day before the spell is like its first and the day after like its last. */
    private static Day day(int after) {
        return OBSERVED.get(Math.min(Math.max(after - 1, 0), OBSERVED.size() - 1));
    }

    private static double between(double from, double to, double share) {
        return from + (to - from) * (1 - Math.cos(Math.PI * share)) / 2;
    }
}
