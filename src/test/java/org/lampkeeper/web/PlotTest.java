package org.lampkeeper.web;

import java.time.Duration;
import java.time.Instant;
import java.time.ZoneId;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;

import org.junit.jupiter.api.Test;

import org.lampkeeper.quantity.Celsius;
import org.lampkeeper.register.NewWarmth;
import org.lampkeeper.thermal.Band;
import org.lampkeeper.web.Plot.Figure;
import org.lampkeeper.web.Plot.Input;
import org.lampkeeper.web.Plot.Look;
import org.lampkeeper.web.Plot.Range;
import org.lampkeeper.web.Plot.Reading;
import org.lampkeeper.web.Plot.Span;

import static org.assertj.core.api.Assertions.assertThat;

class PlotTest {

    private static final Instant NOON = Instant.parse("2026-12-01T12:00:00Z");
    private static final ZoneId LONDON = ZoneId.of("Europe/London");

    @Test
    void lineGoesFromLeftToRightAndWarmerIsHigher() {
        PlotView view = Plot.of(day(List.of(reading(24, 4, false), reading(23.75, 6, false), reading(23.5, 5, false)), Optional.empty()));

        double[][] points = points(view.lines().stream().filter(each -> each.look().equals("plot-inside")).findFirst().orElseThrow());
        assertThat(points[0][0]).isEqualTo(view.left()).isLessThan(points[1][0]);
        assertThat(points[1][1]).isLessThan(points[2][1]);
        assertThat(points[2][1]).isLessThan(points[0][1]);
    }

    @Test
    void holeInWhatWasHeardIsAHoleInTheLine() {
        PlotView view = Plot.of(day(List.of(reading(20, 4, false), reading(19.75, 4, false), reading(12, 5, false), reading(11.75, 5, false)), Optional.empty()));

        assertThat(view.lines()).filteredOn(each -> each.look().equals("plot-inside")).hasSize(2);
    }

    @Test
    void timeWithoutSupplyIsAnAreaFromItsFirstReportToTheNextWithSupply() {
        PlotView view = Plot.of(day(List.of(reading(1, 4, false), reading(0.75, 4, true), reading(0.5, 3, true), reading(0.25, 3, false)), Optional.empty()));

        assertThat(view.areas()).singleElement().satisfies(area -> {
            double[][] points = points(area);
            assertThat(points[1][0] - points[0][0]).isCloseTo(0.5 / 24 * (view.right() - view.left()), org.assertj.core.api.Assertions.within(0.2));
        });
        assertThat(view.spoken()).contains("Without supply once.", "Inside from 3.0 °C to 4.0 °C.");
    }

    @Test
    void forecastIsDrawnBeyondNowAndEverythingStaysWithinTheFrame() {
        Band band = new Band(List.of(new Band.At(NOON, 7, 8, 9), new Band.At(NOON.plus(Duration.ofHours(6)), -9, -2, 3)));
        PlotView view = Plot.of(new Input(Span.DAY, NOON.minus(Duration.ofDays(1)), NOON.plus(Duration.ofHours(12)), NOON, LONDON,
                List.of(reading(1, 8, false), reading(0.75, 8, false)), Optional.of(0.0), Optional.of(50.0),
                List.of(new Look(NOON.minusSeconds(60), "seen lit"), new Look(NOON.minus(Duration.ofDays(2)), "seen out")), Optional.of(band)));

        assertThat(view.bands()).extracting(PlotView.Shape::look).containsExactly("plot-forecast");
        assertThat(view.isForecastDrawn()).isTrue();
        assertThat(view.isRangeDrawn()).isFalse();
        assertThat(view.now()).hasSize(1);
        assertThat(view.limits()).extracting(PlotView.Level::label).as("a limit that is far off is not drawn").containsExactly("lowest 0.0 °C");
        assertThat(view.looks()).extracting(PlotView.Tick::label).containsExactly("seen lit");
        List<PlotView.Shape> all = new ArrayList<>(view.lines());
        all.addAll(view.bands());
        all.forEach(shape -> {
            for (double[] point : points(shape)) {
                assertThat(point[0]).isBetween((double) view.left(), (double) view.right());
                assertThat(point[1]).isBetween((double) view.top(), (double) view.bottom());
            }
        });
    }

    /** The clocks of London go back on 25 October 2026: the day has 25 hours, and its ticks are still times that somebody would say. */
    @Test
    void ticksAreTimesOnTheClocksOfTheSite() {
        Instant now = Instant.parse("2026-10-25T20:00:00Z");
        PlotView view = Plot.of(new Input(Span.DAY, now.minus(Duration.ofDays(1)), now, now, LONDON, List.of(), Optional.empty(), Optional.empty(), List.of(),
                Optional.empty()));

        assertThat(view.ticks()).extracting(PlotView.Tick::label).isSubsetOf("00:00", "05:00", "06:00", "11:00", "12:00", "17:00", "18:00", "23:00");
        assertThat(view.spoken()).startsWith("No temperature inside.");
    }

    @Test
    void tableSaysWhatIsMarkedInThePlot() {
        Input input = new Input(Span.DAY, NOON.minus(Duration.ofDays(1)), NOON, NOON, LONDON,
                List.of(new Reading(NOON.minusSeconds(1800), figure(8, 7.5, 8), figure(1, 1, 1), figure(7.25, 7, 7.25), false, true),
                        reading(0.25, 7, true)), Optional.empty(), Optional.empty(), List.of(new Look(NOON.minusSeconds(1200), "seen lit")), Optional.empty());

        List<TemperaturesResource.Figure> figures = TemperaturesResource.figures(input, LONDON, NOON);

        assertThat(figures).extracting(TemperaturesResource.Figure::inside).containsExactly("7.0 °C", "", "7.5 to 8.0 °C");
        assertThat(figures).extracting(TemperaturesResource.Figure::outside).last().isEqualTo("1.0 °C");
        assertThat(figures).extracting(TemperaturesResource.Figure::content).containsExactly("no temperature", "", "7.0 to 7.3 °C");
        assertThat(figures).extracting(TemperaturesResource.Figure::supply).containsExactly("no supply", "", "");
        assertThat(figures).extracting(TemperaturesResource.Figure::door).containsExactly("", "", "open");
        assertThat(figures).extracting(TemperaturesResource.Figure::look).containsExactly("", "seen lit", "");
    }

    @Test
    void hourOfAWeekHoldsAllThatWasInItAndALookOfASeasonStandsWithItsDay() {
        Reading first = new Reading(NOON.minusSeconds(3600), figure(8, 8, 8.5), Figure.NONE, Figure.NONE, false, false);
        Reading second = new Reading(NOON.minusSeconds(2700), figure(6, 3, 6), Figure.NONE, Figure.NONE, true, false);
        Input week = new Input(Span.WEEK, NOON.minus(Duration.ofDays(7)), NOON, NOON, LONDON, List.of(first, second), Optional.empty(), Optional.empty(), List.of(),
                Optional.empty());
        Input season = new Input(Span.SEASON, NOON.minus(Duration.ofDays(183)), NOON, NOON, LONDON, List.of(reading(24, 5, false)), Optional.empty(), Optional.empty(),
                List.of(new Look(NOON.minus(Duration.ofHours(23)), "seen lit"), new Look(NOON.minus(Duration.ofHours(22)), "seen lit"),
                        new Look(NOON.minusSeconds(60), "seen out")), Optional.empty());

        assertThat(TemperaturesResource.figures(week, LONDON, NOON)).singleElement().satisfies(hour -> {
            assertThat(hour.inside()).isEqualTo("3.0 to 8.5 °C");
            assertThat(hour.supply()).isEqualTo("no supply");
        });
        assertThat(Plot.of(week).bands()).extracting(PlotView.Shape::look).containsExactly("plot-inside-range");
        assertThat(TemperaturesResource.figures(season, LONDON, NOON)).extracting(TemperaturesResource.Figure::look).containsExactly("seen lit");
    }

    @Test
    void contentThatIsMeasuredHasALineOfItsOwnAndIsNamed() {
        List<Reading> readings = List.of(new Reading(NOON.minusSeconds(1800), figure(3, 3, 3), figure(-5, -5, -5), figure(6, 6, 7), false, false),
                new Reading(NOON.minusSeconds(900), figure(2, 2, 2), figure(-5, -5, -5), figure(5, 5, 6), false, false));

        PlotView with = Plot.of(day(readings, Optional.empty()));
        PlotView without = Plot.of(day(List.of(reading(1, 4, false), reading(0.75, 4, false)), Optional.empty()));

        assertThat(with.isContentDrawn()).isTrue();
        assertThat(with.spoken()).contains("The content from 5.0 °C to 7.0 °C.");
        double[][] content = points(with.lines().stream().filter(each -> each.look().equals("plot-content")).findFirst().orElseThrow());
        double[][] inside = points(with.lines().stream().filter(each -> each.look().equals("plot-inside")).findFirst().orElseThrow());
        assertThat(content[0][1]).as("warmer is higher").isLessThan(inside[0][1]);
        assertThat(with.bands()).extracting(PlotView.Shape::look).containsExactly("plot-content-range");
        assertThat(with.isRangeDrawn()).isTrue();
        assertThat(with.isForecastDrawn()).isFalse();
        assertThat(without.isContentDrawn()).isFalse();
        assertThat(without.isRangeDrawn()).isFalse();
        assertThat(without.spoken()).doesNotContain("content");
    }

    @Test
    void fileKeepsWhatWasMeasuredApartFromWhatIsForecast() {
        Band band = new Band(List.of(new Band.At(NOON, 7, 8, 9), new Band.At(NOON.plus(Duration.ofHours(13)), -9, -2, 3)));
        List<List<String>> cells = TemperaturesResource.cells(new Input(Span.DAY, NOON.minus(Duration.ofDays(1)), NOON.plus(Duration.ofHours(12)), NOON, LONDON,
                List.of(new Reading(NOON.minusSeconds(3600), new Figure(Optional.of(8.0), Optional.empty()), new Figure(Optional.of(-1.0), Optional.empty()),
                        figure(6.5, 6, 7), false, false)), Optional.empty(), Optional.empty(), List.of(new Look(NOON.minusSeconds(60), "seen lit")), Optional.of(band)));

        assertThat(cells).containsExactly(List.of("2026-12-01T11:00:00Z", "8.00", "", "", "-1.00", "", "", "healthy", "", "", "", "", "", "6.50", "6.00", "7.00"),
                List.of("2026-12-01T11:59:00Z", "", "", "", "", "", "", "", "", "seen lit", "", "", "", "", "", ""),
                List.of("2026-12-01T12:00:00Z", "", "", "", "", "", "", "", "", "", "7.00", "8.00", "9.00", "", "", ""));
    }

    @Test
    void daysAreDrawnWithTheirLowestAndTheirHighest() {
        List<Reading> days = new ArrayList<>();
        for (int day = 180; day > 0; day--) {
            days.add(new Reading(NOON.minus(Duration.ofDays(day)), figure(8, 7, 9), figure(2, -2, 5), Figure.NONE, false, false));
        }
        PlotView view = Plot.of(new Input(Span.SEASON, NOON.minus(Span.SEASON.length()), NOON, NOON, LONDON, days, Optional.empty(), Optional.empty(), List.of(),
                Optional.empty()));

        assertThat(view.bands()).extracting(PlotView.Shape::look).containsExactly("plot-outside-range", "plot-inside-range");
        assertThat(view.ticks()).extracting(PlotView.Tick::label).contains("Jul", "Aug", "Sep", "Oct", "Nov", "Dec");
    }

    /** By hand: 180 days at exactly 0 °C are 180 · 24 · 8 = 34,560 K·h, times 0.737 W/K 25.5 kWh; 5.9 W would be needed and 5 give 21.6. */
    @Test
    void energyOfASeasonIsDegreeHoursTimesTheLossOfTheWalls() {
        List<Reading> days = new ArrayList<>();
        for (int day = 180; day > 0; day--) {
            days.add(new Reading(NOON.minus(Duration.ofDays(day)), Figure.NONE, figure(0, 0, 0), Figure.NONE, false, false));
        }
        Input season = new Input(Span.SEASON, NOON.minus(Span.SEASON.length()), NOON, NOON, LONDON, days, Optional.empty(), Optional.empty(), List.of(),
                Optional.empty());

        assertThat(TemperaturesResource.energy(season, said(30))).containsExactly(
                "Heating took about 25 kWh on the 180 days on record, by 34560 degree hours and its drawings.");
        assertThat(TemperaturesResource.energy(season, said(5))).singleElement().asString().startsWith("Heating took about 22 kWh").contains("4320 hours");
        assertThat(TemperaturesResource.energy(season, NewWarmth.NOTHING)).isEmpty();
    }

    private static NewWarmth said(double watt) {
        return new NewWarmth(Optional.of(new Celsius(8)), Optional.of(watt), Optional.of(0.737), Optional.of(7490.0), Optional.empty(), false, false);
    }

    private static Input day(List<Reading> readings, Optional<Band> band) {
        return new Input(Span.DAY, NOON.minus(Duration.ofDays(1)), NOON, NOON, LONDON, readings, Optional.empty(), Optional.empty(), List.of(), band);
    }

    private static Reading reading(double hoursAgo, double inside, boolean lost) {
        return new Reading(NOON.minusSeconds(Math.round(hoursAgo * 3600)), new Figure(Optional.of(inside), Optional.empty()), new Figure(Optional.of(-1.0), Optional.empty()), Figure.NONE, lost, false);
    }

    private static Figure figure(double value, double low, double high) {
        return new Figure(Optional.of(value), Optional.of(new Range(low, high)));
    }

    private static double[][] points(PlotView.Shape shape) {
        String[] pairs = shape.points().split(" ");
        double[][] points = new double[pairs.length][];
        for (int i = 0; i < pairs.length; i++) {
            points[i] = new double[] {Double.parseDouble(pairs[i].split(",")[0]), Double.parseDouble(pairs[i].split(",")[1])};
        }
        return points;
    }
}
