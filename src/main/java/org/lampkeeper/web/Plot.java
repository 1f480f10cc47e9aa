package org.lampkeeper.web;

import java.time.Duration;
import java.time.Instant;
import java.time.LocalDate;
import java.time.ZoneId;
import java.time.ZonedDateTime;
import java.time.format.DateTimeFormatter;
import java.time.temporal.ChronoUnit;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Locale;
import java.util.Optional;
import java.util.function.Function;
import java.util.function.Predicate;
import java.util.stream.DoubleStream;
import java.util.stream.Stream;

import org.jspecify.annotations.Nullable;

import org.lampkeeper.thermal.Band;

/**
 * Temperatures, limits, supply, door and looks on one axis of time, worked out into lines and areas for the page to draw. Pure: the same input gives
 * the same drawing. A hole in what was heard is a hole in the line.
 */
final class Plot {

    // In the units of the drawing: as wide as a phone, so that its letters are as large there as the text around it.
    static final int WIDTH = 360;
    static final int HEIGHT = 240;
    private static final int LEFT = 34;
    private static final int RIGHT = 14;
    // Room for the unit above the highest level, also where the letters are large.
    private static final int TOP = 24;
    private static final int BOTTOM = 30;

    private static final DateTimeFormatter HOUR = DateTimeFormatter.ofPattern("HH:mm", Locale.ENGLISH);
    private static final DateTimeFormatter DAY = DateTimeFormatter.ofPattern("d MMM", Locale.ENGLISH);
    private static final DateTimeFormatter MONTH = DateTimeFormatter.ofPattern("MMM", Locale.ENGLISH);

    private final Input input;
    private final double low;
    private final double high;

    private Plot(Input input) {
        this.input = input;
        double[] all = input.values().toArray();
        double least = Arrays.stream(all).min().orElse(0);
        double most = Arrays.stream(all).max().orElse(10);
        this.low = Math.floor(least - 1);
        this.high = Math.max(Math.ceil(most + 1), this.low + 4);
    }

    /** How much is looked at. */
    enum Span {
        DAY("day", Duration.ofDays(1), Duration.ofMinutes(46)),
        WEEK("week", Duration.ofDays(7), Duration.ofMinutes(46)),
        SEASON("season", Duration.ofDays(183), Duration.ofHours(36)),
        YEAR("year", Duration.ofDays(366), Duration.ofHours(36));

        private final String word;
        private final Duration length;
        private final Duration hole;

        Span(String word, Duration length, Duration hole) {
            this.word = word;
            this.length = length;
            this.hole = hole;
        }

        String word() {
            return word;
        }

        Duration length() {
            return length;
        }

        /** Whether it is drawn from days in place of quarters of an hour. */
        boolean isOfDays() {
            return this == SEASON || this == YEAR;
        }

        static Optional<Span> of(String word) {
            return Stream.of(values()).filter(each -> each.word.equals(word)).findFirst();
        }
    }

    /** The newest of a quarter of an hour, or the mean of a day, each with its lowest and its highest. */
    record Reading(Instant at, Figure inside, Figure outside, Figure content, boolean lost, boolean doorOpen) {

        /** Whether anything in the cabinet was. */
        boolean isMeasured() {
            return inside.value().isPresent() || content.value().isPresent();
        }

        Stream<Figure> figures() {
            return Stream.of(inside, outside, content);
        }
    }

    /** One temperature of a reading. */
    record Figure(Optional<Double> value, Optional<Range> range) {

        static final Figure NONE = new Figure(Optional.empty(), Optional.empty());

        private Stream<Double> values() {
            return Stream.of(value, range.map(Range::low), range.map(Range::high)).flatMap(Optional::stream);
        }
    }

    record Range(double low, double high) {
    }

    /** What was looked at and what was said. */
    record Look(Instant at, String answer) {
    }

    /**
     * @param readings in order of time
     * @param band     the forecast; empty where none is drawn
     * @param to       the end of the axis, not before the last reading
     */
    record Input(Span span, Instant from, Instant to, Instant now, ZoneId zone, List<Reading> readings, Optional<Double> lowest, Optional<Double> highest,
            List<Look> looks, Optional<Band> band) {

        private DoubleStream values() {
            Stream<Double> measured = readings.stream().flatMap(Reading::figures).flatMap(Figure::values);
            Stream<Double> forecast = band.stream().flatMap(it -> it.points().stream()).filter(each -> !each.at().isAfter(to))
                    .flatMap(each -> Stream.of(each.coldest(), each.warmest()));
            // A limit far from all that is measured would press the lines flat; it is named in the words then.
            Stream<Double> limits = Stream.of(lowest, highest).flatMap(Optional::stream).filter(limit -> limit > -30 && limit < 35);
            return Stream.of(measured, forecast, limits).flatMap(each -> each).mapToDouble(Double::doubleValue);
        }
    }

    static PlotView of(Input input) {
        return new Plot(input).drawn();
    }

    /** What is in it, for whoever does not see it and has no table beside it. */
    static String said(Input input) {
        return new Plot(input).words();
    }

    private PlotView drawn() {
        List<PlotView.Shape> areas = new ArrayList<>();
        runs(Reading::lost).forEach(run -> areas.add(area("plot-lost", run)));
        runs(Reading::doorOpen).forEach(run -> areas.add(strip("plot-door", run)));
        List<PlotView.Shape> lines = new ArrayList<>();
        List<PlotView.Shape> bands = new ArrayList<>();
        bands.addAll(ranges("plot-outside-range", Reading::outside));
        bands.addAll(ranges("plot-inside-range", Reading::inside));
        bands.addAll(ranges("plot-content-range", Reading::content));
        forecast().ifPresent(bands::add);
        lines.addAll(lines("plot-outside", Reading::outside));
        lines.addAll(lines("plot-inside", Reading::inside));
        lines.addAll(lines("plot-content", Reading::content));
        likely().ifPresent(lines::add);
        List<PlotView.Level> limits = new ArrayList<>();
        input.lowest().filter(this::isWithin).ifPresent(limit -> limits.add(new PlotView.Level(y(limit), "lowest " + degrees(limit))));
        input.highest().filter(this::isWithin).ifPresent(limit -> limits.add(new PlotView.Level(y(limit), "highest " + degrees(limit))));
        return new PlotView(WIDTH, HEIGHT, LEFT, WIDTH - RIGHT, TOP, HEIGHT - BOTTOM, words() + " The figures stand in the table.", levels(), ticks(), areas, bands, lines, limits, looks(),
                input.to().isAfter(input.now()) ? List.of(round(x(input.now()))) : List.of());
    }

    /** Whoever does not see the drawing hears what is in it. */
    private String words() {
        String inside = said("Inside", Reading::inside).orElse("No temperature inside. ");
        String outside = said("Outside", Reading::outside).orElse("");
        String content = said("The content", Reading::content).orElse("");
        int lost = runs(Reading::lost).size();
        String supply = lost == 0 ? "No loss of supply in it. " : "Without supply " + (lost == 1 ? "once. " : lost + " times. ");
        return (inside + content + outside + supply + (input.band().isPresent() ? "A forecast follows." : "")).strip();
    }

    private Optional<String> said(String what, Function<Reading, Figure> of) {
        List<Double> all = input.readings().stream().map(of).flatMap(Figure::values).sorted().toList();
        return all.isEmpty() ? Optional.empty() : Optional.of(what + " from " + degrees(all.get(0)) + " to " + degrees(all.get(all.size() - 1)) + ". ");
    }

    private record Run(Instant from, Instant to) {
    }

    /** From the first of them to the next reading that is none. */
    private List<Run> runs(Predicate<Reading> claim) {
        List<Run> runs = new ArrayList<>();
        @Nullable Instant from = null;
        for (int i = 0; i < input.readings().size(); i++) {
            Reading each = input.readings().get(i);
            boolean isHole = i > 0 && isHole(input.readings().get(i - 1), each);
            if (from != null && (!claim.test(each) || isHole)) {
                runs.add(new Run(from, isHole ? input.readings().get(i - 1).at() : each.at()));
                from = null;
            }
            if (from == null && claim.test(each)) {
                from = each.at();
            }
        }
        if (from != null) {
            Instant last = input.readings().get(input.readings().size() - 1).at();
            runs.add(new Run(from, last));
        }
        return runs;
    }

    private boolean isHole(Reading before, Reading after) {
        return before.at().plus(input.span().hole).isBefore(after.at());
    }

    private PlotView.Shape area(String look, Run run) {
        double begin = x(run.from());
        double end = Math.max(x(run.to()), begin + 2);
        return new PlotView.Shape(look, points(begin, TOP, end, TOP, end, HEIGHT - BOTTOM, begin, HEIGHT - BOTTOM));
    }

    private PlotView.Shape strip(String look, Run run) {
        double begin = x(run.from());
        double end = Math.max(x(run.to()), begin + 2);
        return new PlotView.Shape(look, points(begin, HEIGHT - BOTTOM - 7, end, HEIGHT - BOTTOM - 7, end, HEIGHT - BOTTOM, begin, HEIGHT - BOTTOM));
    }

    private List<PlotView.Shape> lines(String look, Function<Reading, Figure> of) {
        List<PlotView.Shape> lines = new ArrayList<>();
        StringBuilder line = new StringBuilder();
        @Nullable Reading before = null;
        for (Reading each : input.readings()) {
            if (of.apply(each).value().isEmpty()) {
                continue;
            }
            if (before != null && isHole(before, each)) {
                close(lines, look, line);
            }
            line.append(line.isEmpty() ? "" : " ").append(round(x(each.at()))).append(',').append(round(y(of.apply(each).value().get())));
            before = each;
        }
        close(lines, look, line);
        return lines;
    }

    private static void close(List<PlotView.Shape> lines, String look, StringBuilder line) {
        if (!line.isEmpty()) {
            lines.add(new PlotView.Shape(look, line.toString()));
            line.setLength(0);
        }
    }

    private static boolean isWide(Optional<Range> range) {
        return range.filter(it -> it.low() < it.high()).isPresent();
    }

    /** None where each reading is alone in its quarter: it would be the line once more. */
    private List<PlotView.Shape> ranges(String look, Function<Reading, Figure> of) {
        List<PlotView.Shape> shapes = new ArrayList<>();
        if (input.readings().stream().noneMatch(each -> isWide(of.apply(each).range()))) {
            return shapes;
        }
        List<Reading> run = new ArrayList<>();
        for (Reading each : input.readings()) {
            if (of.apply(each).range().isEmpty() || (!run.isEmpty() && isHole(run.get(run.size() - 1), each))) {
                closeRange(shapes, look, run, of);
            }
            if (of.apply(each).range().isPresent()) {
                run.add(each);
            }
        }
        closeRange(shapes, look, run, of);
        return shapes;
    }

    private void closeRange(List<PlotView.Shape> shapes, String look, List<Reading> run, Function<Reading, Figure> of) {
        if (run.size() > 1) {
            StringBuilder edge = new StringBuilder();
            run.forEach(each -> point(edge, each.at(), of.apply(each).range().orElseThrow().high()));
            for (int i = run.size() - 1; i >= 0; i--) {
                point(edge, run.get(i).at(), of.apply(run.get(i)).range().orElseThrow().low());
            }
            shapes.add(new PlotView.Shape(look, edge.toString()));
        }
        run.clear();
    }

    private Optional<PlotView.Shape> forecast() {
        return input.band().map(band -> {
            List<Band.At> shown = band.points().stream().filter(each -> !each.at().isAfter(input.to())).toList();
            StringBuilder edge = new StringBuilder();
            shown.forEach(each -> point(edge, each.at(), each.warmest()));
            for (int i = shown.size() - 1; i >= 0; i--) {
                point(edge, shown.get(i).at(), shown.get(i).coldest());
            }
            return new PlotView.Shape("plot-forecast", edge.toString());
        });
    }

    private Optional<PlotView.Shape> likely() {
        return input.band().map(band -> {
            StringBuilder line = new StringBuilder();
            band.points().stream().filter(each -> !each.at().isAfter(input.to())).forEach(each -> point(line, each.at(), each.likely()));
            return new PlotView.Shape("plot-likely", line.toString());
        });
    }

    private void point(StringBuilder to, Instant at, double celsius) {
        to.append(to.isEmpty() ? "" : " ").append(round(x(at))).append(',').append(round(y(celsius)));
    }

    private List<PlotView.Level> levels() {
        double step = Stream.of(1.0, 2.0, 5.0, 10.0, 20.0, 50.0).filter(each -> (high - low) / each <= 6).findFirst().orElse(100.0);
        List<PlotView.Level> levels = new ArrayList<>();
        for (double level = Math.ceil(low / step) * step; level <= high; level += step) {
            levels.add(new PlotView.Level(y(level), Long.toString(Math.round(level))));
        }
        return List.copyOf(levels);
    }

    /** On the clocks of the site: each is a time that somebody would say. */
    private List<PlotView.Tick> ticks() {
        List<PlotView.Tick> ticks = new ArrayList<>();
        ZonedDateTime at = input.from().atZone(input.zone()).truncatedTo(ChronoUnit.DAYS);
        if (input.span().isOfDays()) {
            at = at.withDayOfMonth(1);
        }
        while (!at.toInstant().isAfter(input.to())) {
            if (!at.toInstant().isBefore(input.from())) {
                ticks.add(new PlotView.Tick(x(at.toInstant()), label(at)));
            }
            at = switch (input.span()) {
                case DAY -> at.plusHours(6);
                case WEEK -> LocalDate.from(at).plusDays(2).atStartOfDay(input.zone());
                case SEASON -> at.plusMonths(1);
                case YEAR -> at.plusMonths(2);
            };
        }
        return ticks;
    }

    private String label(ZonedDateTime at) {
        return switch (input.span()) {
            case DAY -> HOUR.format(at);
            case WEEK -> DAY.format(at);
            case SEASON, YEAR -> MONTH.format(at);
        };
    }

    private List<PlotView.Tick> looks() {
        return input.looks().stream().filter(look -> !look.at().isBefore(input.from()) && !look.at().isAfter(input.to()))
                .map(look -> new PlotView.Tick(x(look.at()), look.answer())).toList();
    }

    private boolean isWithin(double celsius) {
        return celsius > low && celsius < high;
    }

    private double x(Instant at) {
        double share = (double) Duration.between(input.from(), at).toMillis() / Duration.between(input.from(), input.to()).toMillis();
        return LEFT + Math.min(1, Math.max(0, share)) * (WIDTH - LEFT - RIGHT);
    }

    private double y(double celsius) {
        return TOP + (high - celsius) / (high - low) * (HEIGHT - TOP - BOTTOM);
    }

    private static String points(double... xy) {
        StringBuilder points = new StringBuilder();
        for (int i = 0; i < xy.length; i += 2) {
            points.append(i == 0 ? "" : " ").append(round(xy[i])).append(',').append(round(xy[i + 1]));
        }
        return points.toString();
    }

    static String round(double value) {
        return String.format(Locale.ROOT, "%.1f", value);
    }

    private static String degrees(double celsius) {
        return SupplyPage.temperature(Optional.of(celsius));
    }
}
