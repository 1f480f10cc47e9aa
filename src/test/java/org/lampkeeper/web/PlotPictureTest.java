package org.lampkeeper.web;

import java.awt.image.BufferedImage;
import java.io.ByteArrayInputStream;
import java.io.IOException;
import java.time.Duration;
import java.time.Instant;
import java.time.ZoneId;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.Set;
import java.util.TreeSet;
import java.util.stream.IntStream;

import javax.imageio.ImageIO;

import org.junit.jupiter.api.Test;

import org.lampkeeper.report.Lettering;
import org.lampkeeper.thermal.Band;
import org.lampkeeper.web.Plot.Figure;
import org.lampkeeper.web.Plot.Input;
import org.lampkeeper.web.Plot.Look;
import org.lampkeeper.web.Plot.Range;
import org.lampkeeper.web.Plot.Reading;
import org.lampkeeper.web.Plot.Span;

import static org.assertj.core.api.Assertions.assertThat;

class PlotPictureTest {

    private static final Instant NOON = Instant.parse("2026-12-01T12:00:00Z");
    private static final Lettering LETTERS = Lettering.regular();
    private static final int INK = 0x1c2126;
    private static final int PAPER = 0xfffdf8;

    /** From 0 °C a day ago to 10 °C now, straight: at each hour the ink lies where the axes say, and nowhere else in its column. */
    @Test
    void curveLiesWhereTheAxesSay() throws IOException {
        List<Reading> rising = new ArrayList<>();
        for (int quarter = 0; quarter <= 96; quarter++) {
            rising.add(new Reading(NOON.minus(Duration.ofMinutes(15L * (96 - quarter))), new Figure(Optional.of(quarter * 10 / 96.0), Optional.empty()), Figure.NONE, Figure.NONE,
                    false, false));
        }
        BufferedImage image = drawn(new Input(Span.DAY, NOON.minus(Duration.ofDays(1)), NOON, NOON, ZoneId.of("UTC"), rising, Optional.empty(), Optional.empty(),
                List.of(), Optional.empty()));

        // The axis of temperature goes from -1 at 210 up to 11 at 24, that of time from 34 to 346; 18 above the plot, two dots each.
        for (int hour = 1; hour < 24; hour++) {
            int x = (int) Math.round((34 + 312 * hour / 24.0) * 2);
            double expected = (18 + 24 + (11 - hour * 10 / 24.0) / 12 * 186) * 2;
            double[] rows = inked(image, x);
            assertThat(rows).as("hour %d", hour).isNotEmpty();
            for (double row : rows) {
                assertThat(row).as("hour %d", hour).isBetween(expected - 4, expected + 4);
            }
        }
    }

    @Test
    void forecastIsTintedOnlyAfterNowAndALossOnlyWhereItWas() throws IOException {
        List<Reading> readings = new ArrayList<>();
        for (int quarter = 0; quarter <= 96; quarter++) {
            readings.add(new Reading(NOON.minus(Duration.ofMinutes(15L * (96 - quarter))), new Figure(Optional.of(8.0), Optional.empty()), new Figure(Optional.of(-5.0), Optional.empty()),
                    Figure.NONE, quarter > 88, false));
        }
        Band band = new Band(List.of(new Band.At(NOON, 7, 8, 9), new Band.At(NOON.plus(Duration.ofHours(12)), -4, -2, 2)));
        Input input = new Input(Span.DAY, NOON.minus(Duration.ofDays(1)), NOON.plus(Duration.ofHours(12)), NOON, ZoneId.of("UTC"), readings, Optional.of(0.0),
                Optional.empty(), List.of(), Optional.of(band));
        BufferedImage image = drawn(input);
        int lost = (int) ((34 + 312 * 23 / 36.0) * 2);
        int supplied = (int) ((34 + 312 * 15 / 36.0) * 2);
        int row = (18 + 202) * 2;

        assertThat(image.getRGB(lost, row) & 0xffffff).isEqualTo(0xfbeae6);
        assertThat(image.getRGB(supplied, row) & 0xffffff).isEqualTo(0xfffdf8);
        // Between the lower edge, 2.4 °C, and the likely line, 3.8 °C, five hours on; the axis goes from -6 at 210 to 10 at 24.
        int ahead = (int) ((34 + 312 * 29 / 36.0) * 2);
        int within = (int) ((18 + 24 + (10 - 3.2) / 16 * 186) * 2);
        assertThat(image.getRGB(ahead, within) & 0xff).as("blue is left").isGreaterThan(image.getRGB(ahead, within) >> 16 & 0xff);
    }

    /** Whoever sees no colours tells the lines by their dashes: those of the content are long and short, those of the outside all alike; the air has none. */
    @Test
    void linesAreToldApartByMoreThanTheirColour() throws IOException {
        List<Reading> flat = new ArrayList<>();
        for (int quarter = 0; quarter <= 96; quarter++) {
            flat.add(new Reading(NOON.minus(Duration.ofMinutes(15L * (96 - quarter))), measured(8), measured(0), measured(4), false, false));
        }
        BufferedImage image = drawn(new Input(Span.DAY, NOON.minus(Duration.ofDays(1)), NOON, NOON, ZoneId.of("UTC"), flat, Optional.empty(), Optional.empty(),
                List.of(), Optional.empty()));

        // The axis of temperature goes from -1 at 210 up to 9 at 24.
        assertThat(dashes(image, 4, 0x7a4a12)).containsExactlyInAnyOrder(2, 9);
        assertThat(dashes(image, 0, 0x57606a)).containsExactly(4);
        assertThat(dashes(image, 8, INK)).isEmpty();
    }

    /** With all that can be in it the words of the key take two rows and more, and none of them is cut off at the edge. */
    @Test
    void keyOfAFullPictureIsWhole() throws IOException {
        List<Reading> readings = new ArrayList<>();
        for (int quarter = 0; quarter <= 96; quarter++) {
            readings.add(new Reading(NOON.minus(Duration.ofMinutes(15L * (96 - quarter))), new Figure(Optional.of(8.0), Optional.of(new Range(7.5, 8.5))), measured(-5), measured(7),
                    quarter > 88, quarter > 90));
        }
        Band band = new Band(List.of(new Band.At(NOON, 7, 8, 9), new Band.At(NOON.plus(Duration.ofHours(12)), -4, -2, 2)));
        BufferedImage image = drawn(new Input(Span.DAY, NOON.minus(Duration.ofDays(1)), NOON.plus(Duration.ofHours(12)), NOON, ZoneId.of("UTC"), readings, Optional.of(0.0),
                Optional.empty(), List.of(new Look(NOON.minus(Duration.ofHours(3)), "seen lit")), Optional.of(band)));
        int key = (Plot.HEIGHT + PlotPicture.HEAD) * PlotPicture.DOTS;

        assertThat(image.getHeight()).isGreaterThan(key + (PlotPicture.KEY_ROW + PlotPicture.FOOT) * PlotPicture.DOTS);
        for (int y = key; y < image.getHeight(); y++) {
            for (int x = image.getWidth() - 4; x < image.getWidth(); x++) {
                assertThat(image.getRGB(x, y) & 0xffffff).as("%d, %d", x, y).isEqualTo(PAPER);
            }
        }
        for (int x = 0; x < image.getWidth(); x++) {
            assertThat(image.getRGB(x, image.getHeight() - 1) & 0xffffff).as("under the last row").isEqualTo(PAPER);
        }
    }

    private static Figure measured(double celsius) {
        return new Figure(Optional.of(celsius), Optional.empty());
    }

    /** How long the dashes of a level line are, to the nearest unit of the drawing, without the first and the last; none where it has no gap. */
    private static Set<Integer> dashes(BufferedImage image, double celsius, int colour) {
        int y = (int) Math.round((18 + 24 + (9 - celsius) / 10 * 186) * 2);
        List<Integer> lengths = new ArrayList<>();
        int run = 0;
        for (int x = 34 * 2; x < 346 * 2; x++) {
            if (isLike(image.getRGB(x, y), colour)) {
                run++;
            } else if (run > 0) {
                lengths.add(Math.round(run / 2f));
                run = 0;
            }
        }
        return new TreeSet<>(lengths.subList(Math.min(1, lengths.size()), lengths.size()));
    }

    private static boolean isLike(int one, int other) {
        return IntStream.of(0, 8, 16).allMatch(shift -> Math.abs((one >> shift & 0xff) - (other >> shift & 0xff)) < 40);
    }

    @Test
    void imageIsSmallAndALetterTheFontHasNotIsNoFailure() throws IOException {
        Input empty = new Input(Span.DAY, NOON.minus(Duration.ofDays(1)), NOON, NOON, ZoneId.of("UTC"), List.of(), Optional.empty(), Optional.empty(), List.of(),
                Optional.empty());
        byte[] png = PlotPicture.png(Plot.of(empty), "北 Ærø quay ".repeat(20), LETTERS);

        BufferedImage image = ImageIO.read(new ByteArrayInputStream(png));
        assertThat(image.getWidth()).isEqualTo(720);
        assertThat(image.getHeight()).isEqualTo((Plot.HEIGHT + 38) * 2);
        assertThat(png).hasSizeLessThan(25_000);
    }

    private static BufferedImage drawn(Input input) throws IOException {
        return ImageIO.read(new ByteArrayInputStream(PlotPicture.png(Plot.of(input), "North Stair 2", LETTERS)));
    }

    /** Where the curve's ink is within the frame. */
    private static double[] inked(BufferedImage image, int x) {
        return IntStream.range((18 + 14) * 2, (18 + 197) * 2).filter(y -> (image.getRGB(x, y) & 0xffffff) == INK).asDoubleStream().toArray();
    }
}
