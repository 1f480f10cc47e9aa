package org.lampkeeper.report;

import java.time.Duration;
import java.time.Instant;
import java.time.LocalDate;
import java.time.ZoneId;
import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import java.util.Optional;
import java.util.function.Function;
import java.util.function.Predicate;
import java.util.stream.Stream;

import org.jspecify.annotations.Nullable;

import org.lampkeeper.report.Evidence.Part;
import org.lampkeeper.report.Evidence.Table;
import org.lampkeeper.report.SupplyRecord.Condition;

/**
 * Temperatures, supply, door and looks of evidence on one axis of time, as lines and areas for paper. Letters stand beside the drawing, for a paper draws
 * none in it. Pure: the same evidence gives the same drawing. A hole in what was heard is a hole in the line.
 *
 * @param words   the lowest and highest of what was measured; that nothing was where nothing was
 * @param top     the temperature at the upper edge; empty where nothing was measured
 * @param bottom  the temperature at the lower edge of the lines; empty where nothing was measured
 * @param zero    the height of 0 °C; empty where it is not within
 * @param days    where a day begins on the clocks of the site
 * @param band    from the lowest to the highest inside of each quarter of an hour, as SVG takes points
 * @param supply  what was not with supply
 * @param door    while it was read as open
 * @param looks   where somebody answered a look
 */
public record EvidencePlot(String words, String top, String bottom, Optional<String> zero, List<String> days, List<String> band, List<String> inside, List<String> outside,
        List<String> content, List<Bar> supply, List<Bar> door, List<String> looks) {

    /** In the drawing: all of the time is so wide. */
    public static final int WIDTH = 600;
    /** Lines, and below them the strips of supply and door and the marks of looks. */
    public static final int HEIGHT = 164;

    private static final int LINES = 120;
    // Twice a quarter of an hour and a little, as on the page of temperatures: one missing reading is a hole.
    private static final Duration HOLE = Duration.ofMinutes(46);
    // Ours: what would be narrower could not be seen, and a loss must be.
    private static final double THINNEST = 1.5;

    public EvidencePlot {
        days = List.copyOf(days);
        band = List.copyOf(band);
        inside = List.copyOf(inside);
        outside = List.copyOf(outside);
        content = List.copyOf(content);
        supply = List.copyOf(supply);
        door = List.copyOf(door);
        looks = List.copyOf(looks);
    }

    /** @param look "lost", "unknown", "excluded" or "open" */
    public record Bar(String look, String x, String width) {
    }

    private record Reading(Instant at, Optional<Double> inside, Optional<Double> least, Optional<Double> most, Optional<Double> outside, Optional<Double> content, boolean isOpen) {

        private Stream<Double> insides() {
            return Stream.of(inside, least, most).flatMap(Optional::stream);
        }

        private Stream<Double> all() {
            return Stream.concat(insides(), Stream.of(outside, content).flatMap(Optional::stream));
        }
    }

    private interface Of {
        Optional<Double> value(Reading reading);
    }

    public static EvidencePlot of(Evidence evidence, SupplyRecord supply) {
        List<Reading> readings = readings(evidence.tables().get(Part.TEMPERATURES)).stream().filter(each -> evidence.span().holds(each.at())).toList();
        double[] all = readings.stream().flatMap(Reading::all).mapToDouble(Double::doubleValue).sorted().toArray();
        boolean isMeasured = all.length > 0;
        double low = isMeasured ? Math.floor(all[0]) : 0;
        double high = isMeasured ? Math.max(Math.ceil(all[all.length - 1]), low + 1) : 1;
        Drawing drawing = new Drawing(evidence.span(), low, high);
        return new EvidencePlot(isMeasured ? said("Inside", readings, Reading::insides) + said("The content", readings, each -> each.content().stream()) + said("Outside", readings, each -> each.outside().stream())
                : "No temperature was measured.", isMeasured ? whole(high) : "", isMeasured ? whole(low) : "",
                isMeasured && low < 0 && high > 0 ? Optional.of(decimal(drawing.y(0))) : Optional.empty(), drawing.days(evidence.cabinet().zone()),
                drawing.bands(readings), drawing.lines(readings, Reading::inside), drawing.lines(readings, Reading::outside), drawing.lines(readings, Reading::content),
                supply.stretches().stream().filter(each -> each.condition() != Condition.SUPPLIED).map(each -> drawing.bar(look(each.condition()), each.span())).toList(),
                drawing.runs(readings, Reading::isOpen), looks(evidence.tables().get(Part.LOOKS), evidence.span(), drawing));
    }

    private static List<String> looks(Table table, Span span, Drawing drawing) {
        int looked = table.columns().indexOf("looked");
        return table.rows().stream().map(row -> row.get(looked)).filter(at -> !at.isEmpty()).map(Instant::parse).filter(span::holds).distinct().sorted().map(at -> decimal(drawing.x(at)))
                .toList();
    }

    private static List<Reading> readings(Table table) {
        List<String> columns = table.columns();
        return table.rows().stream().map(row -> new Reading(Instant.parse(row.get(columns.indexOf("observed"))), number(row.get(columns.indexOf("inside C"))),
                number(row.get(columns.indexOf("inside lowest C"))), number(row.get(columns.indexOf("inside highest C"))), number(row.get(columns.indexOf("outside C"))),
                number(row.get(columns.indexOf("content C"))), row.get(columns.indexOf("door open")).equals("true"))).toList();
    }

    private static Optional<Double> number(String cell) {
        return cell.isEmpty() ? Optional.empty() : Optional.of(Double.valueOf(cell));
    }

    private static String said(String what, List<Reading> readings, Function<Reading, Stream<Double>> of) {
        double[] all = readings.stream().flatMap(of).mapToDouble(Double::doubleValue).sorted().toArray();
        return all.length == 0 ? "" : String.format(Locale.ROOT, "%s from %.1f to %.1f °C. ", what, all[0], all[all.length - 1]);
    }

    private static String look(Condition condition) {
        return switch (condition) {
            case LOST -> "lost";
            case UNKNOWN -> "unknown";
            case EXCLUDED -> "excluded";
            case SUPPLIED -> throw new IllegalArgumentException("what had supply has no bar");
        };
    }

    private static String whole(double celsius) {
        return Math.round(celsius) + " °C";
    }

    private static String decimal(double value) {
        return String.format(Locale.ROOT, "%.2f", value);
    }

    /** Where something is drawn. */
    private record Drawing(Span span, double low, double high) {

        private double x(Instant at) {
            return WIDTH * (double) Duration.between(span.from(), at).toMillis() / span.length().toMillis();
        }

        private double y(double celsius) {
            return LINES * (high - celsius) / (high - low);
        }

        private String point(Instant at, double celsius) {
            return decimal(x(at)) + "," + decimal(y(celsius));
        }

        private Bar bar(String look, Span of) {
            return new Bar(look, decimal(Math.min(x(of.from()), WIDTH - THINNEST)), decimal(Math.max(x(of.until()) - x(of.from()), THINNEST)));
        }

        private List<String> days(ZoneId zone) {
            List<String> days = new ArrayList<>();
            for (LocalDate day = LocalDate.ofInstant(span.from(), zone).plusDays(1); day.atStartOfDay(zone).toInstant().isBefore(span.until()); day = day.plusDays(1)) {
                days.add(decimal(x(day.atStartOfDay(zone).toInstant())));
            }
            return days;
        }

        private static List<List<Reading>> unbroken(List<Reading> readings, Of of) {
            List<List<Reading>> runs = new ArrayList<>();
            @Nullable Instant before = null;
            for (Reading each : readings.stream().filter(reading -> of.value(reading).isPresent()).toList()) {
                if (before == null || before.plus(HOLE).isBefore(each.at())) {
                    runs.add(new ArrayList<>());
                }
                runs.get(runs.size() - 1).add(each);
                before = each.at();
            }
            return runs;
        }

        private List<String> lines(List<Reading> readings, Of of) {
            return unbroken(readings, of).stream().map(run -> String.join(" ", run.stream().map(each -> point(each.at(), of.value(each).orElseThrow())).toList())).toList();
        }

        private List<String> bands(List<Reading> readings) {
            return unbroken(readings, each -> each.least().flatMap(least -> each.most())).stream().filter(run -> run.size() > 1).map(run -> {
                List<String> edge = new ArrayList<>();
                run.forEach(each -> edge.add(point(each.at(), each.most().orElseThrow())));
                for (int i = run.size() - 1; i >= 0; i--) {
                    edge.add(point(run.get(i).at(), run.get(i).least().orElseThrow()));
                }
                return String.join(" ", edge);
            }).toList();
        }

        /** From the first reading that claims it to the next that does not, or to the last before a hole. */
        private List<Bar> runs(List<Reading> readings, Predicate<Reading> claim) {
            List<Bar> bars = new ArrayList<>();
            @Nullable Instant from = null;
            @Nullable Instant before = null;
            for (Reading each : readings) {
                boolean isHole = before != null && before.plus(HOLE).isBefore(each.at());
                if (from != null && (isHole || !claim.test(each))) {
                    bars.add(bar("open", new Span(from, isHole ? before : each.at())));
                    from = null;
                }
                if (from == null && claim.test(each)) {
                    from = each.at();
                }
                before = each.at();
            }
            if (from != null) {
                bars.add(bar("open", new Span(from, before)));
            }
            return bars;
        }
    }
}
