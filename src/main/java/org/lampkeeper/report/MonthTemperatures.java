package org.lampkeeper.report;

import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import java.util.Optional;
import java.util.function.Function;
import java.util.stream.Collectors;
import java.util.stream.Stream;

/**
 * The temperatures of a cabinet over a month, day by day, in words and as lines on the width of its strip. Letters stand beside the drawing, for a paper
 * draws none.
 *
 * @param words   the lowest and highest of it, and of how many days they are
 * @param top     the temperature at the upper edge
 * @param bottom  the temperature at the lower edge
 * @param zero    the height of 0 °C; empty where it is not within
 * @param bands   from the lowest to the highest inside, as SVG takes points; a hole in the days is a hole in the drawing
 * @param inside  lines of the mean inside
 * @param content lines of the mean of the content, where it was measured apart from its air
 * @param outside lines of the mean outside
 */
public record MonthTemperatures(String words, String top, String bottom, Optional<String> zero, List<String> bands, List<String> inside, List<String> content,
        List<String> outside) {

    /** In the drawing. */
    public static final int HEIGHT = 60;

    private static final long DAY = Duration.ofDays(1).toSeconds();

    public MonthTemperatures {
        bands = List.copyOf(bands);
        inside = List.copyOf(inside);
        content = List.copyOf(content);
        outside = List.copyOf(outside);
    }

    /** Of one day, in °C. */
    public record Range(double lowest, double mean, double highest) {
    }

    /** @param onDay days since 1970 in UTC */
    public record Day(long onDay, Optional<Range> inside, Optional<Range> content, Optional<Range> outside) {

        private boolean isMeasured() {
            return inside.isPresent() || content.isPresent();
        }
    }

    /** Where something is drawn. */
    private record Axes(Span whole, double low, double high) {

        /** A day is drawn at its middle; one that begins before the month does, at the edge. */
        private double x(long onDay) {
            double length = Duration.between(whole.from(), whole.until()).toSeconds();
            double at = (onDay + 0.5) * DAY - whole.from().getEpochSecond();
            return SiteMonth.WIDTH * Math.min(1, Math.max(0, at / length));
        }

        private double y(double celsius) {
            return HEIGHT * (high - celsius) / (high - low);
        }

        private String point(long onDay, double celsius) {
            return decimal(x(onDay)) + "," + decimal(y(celsius));
        }
    }

    /** Empty where nothing in the cabinet was measured. {@code days}: in order of time. */
    public static Optional<MonthTemperatures> of(List<Day> days, Span whole) {
        long measured = days.stream().filter(Day::isMeasured).count();
        if (measured == 0) {
            return Optional.empty();
        }
        List<Range> all = days.stream().flatMap(day -> Stream.of(day.inside(), day.content(), day.outside())).flatMap(Optional::stream).toList();
        double low = Math.floor(lowest(all));
        double high = Math.max(Math.ceil(highest(all)), low + 1);
        Axes axes = new Axes(whole, low, high);
        String said = Stream.of(said("inside ", days, Day::inside), said("content ", days, Day::content), said("outside ", days, Day::outside))
                .flatMap(Optional::stream).collect(Collectors.joining(", "));
        String words = said.substring(0, 1).toUpperCase(Locale.ROOT) + said.substring(1) + ", on " + measured + (measured == 1 ? " day" : " days") + " on record.";
        return Optional.of(new MonthTemperatures(words, whole(high), whole(low), low < 0 && high > 0 ? Optional.of(decimal(axes.y(0))) : Optional.empty(),
                runs(days, Day::inside).stream().map(run -> band(run, axes)).toList(), lines(days, Day::inside, axes), lines(days, Day::content, axes),
                lines(days, Day::outside, axes)));
    }

    private static List<List<Day>> runs(List<Day> days, Function<Day, Optional<Range>> of) {
        List<List<Day>> runs = new ArrayList<>();
        for (Day day : days) {
            if (of.apply(day).isEmpty()) {
                continue;
            }
            List<Day> last = runs.isEmpty() ? List.of() : runs.get(runs.size() - 1);
            if (last.isEmpty() || last.get(last.size() - 1).onDay() + 1 < day.onDay()) {
                runs.add(new ArrayList<>(List.of(day)));
            } else {
                last.add(day);
            }
        }
        return runs;
    }

    private static String band(List<Day> run, Axes axes) {
        List<String> points = new ArrayList<>();
        run.forEach(day -> points.add(axes.point(day.onDay(), day.inside().orElseThrow().highest())));
        for (int i = run.size() - 1; i >= 0; i--) {
            points.add(axes.point(run.get(i).onDay(), run.get(i).inside().orElseThrow().lowest()));
        }
        return String.join(" ", points);
    }

    private static List<String> lines(List<Day> days, Function<Day, Optional<Range>> of, Axes axes) {
        return runs(days, of).stream().map(run -> String.join(" ", run.stream().map(day -> axes.point(day.onDay(), of.apply(day).orElseThrow().mean())).toList())).toList();
    }

    private static Optional<String> said(String what, List<Day> days, Function<Day, Optional<Range>> of) {
        List<Range> ranges = days.stream().flatMap(day -> of.apply(day).stream()).toList();
        return ranges.isEmpty() ? Optional.empty() : Optional.of(String.format(Locale.ROOT, "%s%.1f to %.1f °C", what, lowest(ranges), highest(ranges)));
    }

    private static double lowest(List<Range> ranges) {
        return ranges.stream().mapToDouble(Range::lowest).min().orElseThrow();
    }

    private static double highest(List<Range> ranges) {
        return ranges.stream().mapToDouble(Range::highest).max().orElseThrow();
    }

    private static String whole(double celsius) {
        return Math.round(celsius) + " °C";
    }

    private static String decimal(double value) {
        return String.format(Locale.ROOT, "%.2f", value);
    }
}
