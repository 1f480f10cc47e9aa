package org.lampkeeper.thermal;

import java.time.Duration;
import java.time.Instant;
import java.util.ArrayList;
import java.util.List;

import org.lampkeeper.quantity.Celsius;

/**
 * The coming hours outside, taken to go like the same hours of the day before and to begin at what it is now. A trend from one day to the next is
 * not carried on: a front is not in it. Where less than a day is on
 * record, or what comes of it is no weather, it is taken to stay as it is.
 */
public final class DayBefore {

    private static final Duration DAY = Duration.ofDays(1);
    private static final Duration HOUR = Duration.ofHours(1);

    /** Ours: over a longer hole a day's lowest may have been. */
    private static final Duration LONGEST_HOLE = Duration.ofHours(2);

    private DayBefore() {
    }

    // World Meteorological Organization, archive of extremes: -89.2 °C at Vostok in 1983, 56.7 °C at Furnace Creek in 1913. Beyond it is a
    // thermometer that has failed, or a day that does not come again so.
    private static final double COLDEST = -89.2;
    private static final double HOTTEST = 56.7;

    /** What was measured outside. */
    public record Seen(Instant at, Celsius celsius) {
    }

    /**
     * @param past    each later than the one before it; may hold more than a day
     * @param last    the newest, later than all of {@code past}
     * @param horizon how far from {@code last} it is looked
     */
    public static Outside ahead(List<Seen> past, Seen last, Duration horizon) {
        Instant from = last.at().minus(DAY);
        List<Seen> all = new ArrayList<>(past);
        all.add(last);
        if (!covers(all, from)) {
            return new Outside.Constant(last.celsius());
        }
        double trend = last.celsius().value() - at(all, from);
        List<Celsius> hourly = new ArrayList<>();
        // The last hour is one beyond, so that the list reaches the horizon.
        for (long hour = 0; hour <= horizon.plus(HOUR).toHours(); hour++) {
            long within = hour % DAY.toHours();
            double untilted = at(all, from.plus(HOUR.multipliedBy(within))) - trend * within / DAY.toHours();
            if (untilted + trend < COLDEST || untilted + trend > HOTTEST) {
                return new Outside.Constant(last.celsius());
            }
            hourly.add(new Celsius(untilted + trend));
        }
        return new Outside.Hourly(last.at(), hourly);
    }

    private static boolean covers(List<Seen> all, Instant from) {
        if (all.get(0).at().isAfter(from)) {
            return false;
        }
        for (int i = 1; i < all.size(); i++) {
            boolean isOfTheDay = all.get(i).at().isAfter(from);
            if (isOfTheDay && Duration.between(all.get(i - 1).at(), all.get(i).at()).compareTo(LONGEST_HOLE) > 0) {
                return false;
            }
        }
        return true;
    }

    /** Straight between two; {@code moment} lies within. */
    private static double at(List<Seen> all, Instant moment) {
        int next = 1;
        while (next < all.size() - 1 && all.get(next).at().isBefore(moment)) {
            next++;
        }
        Seen one = all.get(next - 1);
        Seen other = all.get(next);
        double share = (double) Duration.between(one.at(), moment).toMillis() / Duration.between(one.at(), other.at()).toMillis();
        return one.celsius().value() * (1 - share) + other.celsius().value() * share;
    }
}
