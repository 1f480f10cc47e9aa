package org.lampkeeper.web;

import java.awt.BasicStroke;
import java.awt.Color;
import java.awt.Graphics2D;
import java.awt.RenderingHints;
import java.awt.Shape;
import java.awt.geom.AffineTransform;
import java.awt.geom.Line2D;
import java.awt.geom.Path2D;
import java.awt.geom.Rectangle2D;
import java.awt.image.BufferedImage;
import java.awt.image.DataBufferInt;
import java.util.ArrayList;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Map;
import java.util.Set;
import java.util.stream.Stream;

import org.lampkeeper.report.Lettering;

/**
 * A plot as an image, for where no page can be: the same lines and areas as {@code tags/plot.html}, in the colours of the style sheet by day, on paper
 * of its own, so that it can be read on any background. Needs no fonts and no screen.
 */
final class PlotPicture {

    /** Sharp on a telephone, whose dots are smaller than a pixel. */
    static final int DOTS = 2;
    /** Above the plot, for what it is about. */
    static final int HEAD = 18;
    /** Below it, for what is what: a row of samples with their words. */
    static final int KEY_ROW = 14;
    /** Below the last of them. */
    static final int FOOT = 6;

    private static final float LETTERS = 10.5f;
    private static final int GAP = 7;
    private static final int EDGE = 4;
    private static final BasicStroke GAP_IN_LINES = new BasicStroke(2.5f, BasicStroke.CAP_ROUND, BasicStroke.JOIN_ROUND);
    private static final int SAMPLE = 18;
    private static final List<List<String>> NAMES = List.of(List.of("plot-inside", "inside"), List.of("plot-content", "content"), List.of("plot-outside", "outside"),
            List.of("plot-forecast", "forecast"), List.of("plot-likely", "most likely"), List.of("plot-inside-range", "lowest to highest"), List.of("plot-limit", "limit"),
            List.of("plot-lost", "no supply"), List.of("plot-door", "door open"), List.of("plot-look", "a look"));
    // Ours: between a pen and the paper. With all of them there are fewer than the 256 colours of an indexed image.
    private static final int SHADES = 4;
    private static final int OPAQUE = 255;

    private static final Color PAPER = new Color(0xff_fd_f8);
    private static final Color INK = new Color(0x1c_21_26);
    private static final Color SOFT = new Color(0x57_60_6a);
    private static final Color HAIR = new Color(0xd9_d5_ca);
    private static final Color LOST = new Color(0xb3_20_1b);
    private static final Color LOST_TINT = new Color(0xfb_ea_e6);
    private static final Color UNKNOWN = new Color(0x4b_4a_86);
    private static final Color CONTENT = new Color(0x7a_4a_12);
    private static final Color ACTION = new Color(0x12_3f_5c);

    /** What an area is filled with, and what is drawn around it, as the style sheet says it of the same name. */
    private static final Map<String, Color> FILLS = Map.of("plot-lost", LOST_TINT, "plot-door", UNKNOWN, "plot-forecast", light(ACTION, 41),
            "plot-inside-range", light(INK, 46), "plot-outside-range", light(SOFT, 41), "plot-content-range", light(CONTENT, 41));
    private static final Map<String, Pen> PENS = Map.of("plot-inside", new Pen(INK, 1.8f), "plot-outside", new Pen(SOFT, 1.4f, 4, 2), "plot-content", new Pen(CONTENT, 1.8f, 9, 3, 2, 3),
            "plot-likely", new Pen(ACTION, 1.4f, 1, 2), "plot-lost", new Pen(LOST, 0.8f), "plot-forecast", new Pen(ACTION, 0.8f));
    private static final Pen LEVEL = new Pen(HAIR, 0.6f);
    private static final Pen LIMIT = new Pen(LOST, 1.2f, 7, 3);
    private static final Pen NOW = new Pen(ACTION, 1);
    private static final Pen LOOK = new Pen(INK, 2);

    private static final int[] PALETTE = palette();
    private static final byte[] NEAREST = nearest(PALETTE);

    private final PlotView view;
    private final Lettering letters;
    private final Graphics2D page;
    private final List<Named> key;

    private PlotPicture(PlotView view, Lettering letters, Graphics2D page, List<Named> key) {
        this.view = view;
        this.letters = letters;
        this.page = page;
        this.key = key;
    }

    /** A sample of how something is drawn, and the word for it. */
    private record Named(String look, String words, double at, int row) {
    }

    private record Pen(Color colour, float width, float... dashes) {
        private BasicStroke stroke() {
            return dashes.length == 0 ? new BasicStroke(width, BasicStroke.CAP_BUTT, BasicStroke.JOIN_ROUND)
                    : new BasicStroke(width, BasicStroke.CAP_BUTT, BasicStroke.JOIN_ROUND, 1, dashes, 0);
        }
    }

    private static Color light(Color colour, int opacity) {
        return new Color(colour.getRed(), colour.getGreen(), colour.getBlue(), opacity);
    }

    /** {@code title}: one line above it. */
    static byte[] png(PlotView view, String title, Lettering letters) {
        List<Named> key = key(view, letters);
        int rows = key.stream().mapToInt(Named::row).max().orElse(0) + 1;
        BufferedImage image = new BufferedImage(view.width() * DOTS, (view.height() + HEAD + rows * KEY_ROW + FOOT) * DOTS, BufferedImage.TYPE_INT_RGB);
        Graphics2D page = image.createGraphics();
        try {
            page.setRenderingHint(RenderingHints.KEY_ANTIALIASING, RenderingHints.VALUE_ANTIALIAS_ON);
            page.setRenderingHint(RenderingHints.KEY_STROKE_CONTROL, RenderingHints.VALUE_STROKE_PURE);
            page.scale(DOTS, DOTS);
            page.setColor(PAPER);
            page.fill(new Rectangle2D.Double(0, 0, image.getWidth(), image.getHeight()));
            new PlotPicture(view, letters, page, key).draw(title);
        } finally {
            page.dispose();
        }
        return withFewColours(image);
    }

    /** In the colours of our pens and the shades between them and the paper: a third of the size, and nobody sees it. */
    private static byte[] withFewColours(BufferedImage image) {
        int[] colours = ((DataBufferInt) image.getRaster().getDataBuffer()).getData();
        byte[] places = new byte[colours.length];
        for (int i = 0; i < colours.length; i++) {
            places[i] = NEAREST[coarse(colours[i])];
        }
        return IndexedPng.of(image.getWidth(), image.getHeight(), places, PALETTE);
    }

    /** Five bits of each channel. */
    private static int coarse(int colour) {
        return colour >> 9 & 0x7c00 | colour >> 6 & 0x3e0 | colour >> 3 & 0x1f;
    }

    private static byte[] nearest(int[] palette) {
        byte[] nearest = new byte[1 << 15];
        for (int coarse = 0; coarse < nearest.length; coarse++) {
            // The middle of all the colours that are this coarse one.
            int colour = (coarse >> 10) << 19 | (coarse >> 5 & 0x1f) << 11 | (coarse & 0x1f) << 3 | 0x040404;
            int best = 0;
            for (int each = 1; each < palette.length; each++) {
                best = apart(palette[each], colour) < apart(palette[best], colour) ? each : best;
            }
            nearest[coarse] = (byte) best;
        }
        return nearest;
    }

    private static int[] palette() {
        Set<Integer> colours = new LinkedHashSet<>(List.of(PAPER.getRGB()));
        for (Color ground : List.of(PAPER, LOST_TINT)) {
            for (Color pen : List.of(INK, SOFT, HAIR, LOST, LOST_TINT, UNKNOWN, CONTENT, ACTION)) {
                for (int shade = 1; shade <= SHADES; shade++) {
                    colours.add(new Color(between(ground.getRed(), pen.getRed(), shade), between(ground.getGreen(), pen.getGreen(), shade),
                            between(ground.getBlue(), pen.getBlue(), shade)).getRGB());
                }
            }
        }
        FILLS.values().stream().filter(fill -> fill.getAlpha() < OPAQUE).forEach(fill -> colours.add(new Color(over(PAPER.getRed(), fill.getRed(), fill),
                over(PAPER.getGreen(), fill.getGreen(), fill), over(PAPER.getBlue(), fill.getBlue(), fill)).getRGB()));
        return colours.stream().mapToInt(Integer::intValue).toArray();
    }

    private static int between(int from, int to, int shade) {
        return from + (to - from) * shade / SHADES;
    }

    private static int over(int ground, int fill, Color of) {
        return ground + (fill - ground) * of.getAlpha() / OPAQUE;
    }

    private static int apart(int one, int other) {
        int red = (one >> 16 & 0xff) - (other >> 16 & 0xff);
        int green = (one >> 8 & 0xff) - (other >> 8 & 0xff);
        int blue = (one & 0xff) - (other & 0xff);
        return red * red + green * green + blue * blue;
    }

    private void draw(String title) {
        words(fitting(title), EDGE, 13, 0);
        AffineTransform whole = page.getTransform();
        page.translate(0, HEAD);
        view.areas().forEach(this::area);
        for (PlotView.Level each : view.levels()) {
            line(LEVEL, view.left(), each.y(), view.right(), each.y());
            words(each.label(), view.left() - 5, each.y() + 4, 1);
        }
        for (PlotView.Tick each : view.ticks()) {
            line(LEVEL, each.x(), view.top(), each.x(), view.bottom());
            words(each.label(), each.x(), view.bottom() + 15, 0.5);
        }
        view.bands().forEach(this::area);
        for (PlotView.Level each : view.limits()) {
            line(LIMIT, view.left(), each.y(), view.right(), each.y());
        }
        view.lines().forEach(each -> stroke(PENS.get(each.look()), path(each.points(), false)));
        view.limits().forEach(each -> wordsInAGap(each.label(), view.left() + 3.0, each.y() - 3));
        view.now().forEach(each -> line(NOW, Double.parseDouble(each), view.top(), Double.parseDouble(each), view.bottom()));
        view.looks().forEach(each -> line(LOOK, each.x(), view.bottom(), each.x(), view.bottom() + 7));
        words("°C", 0, 10, 0);
        page.setTransform(whole);
        key();
    }

    /** Only what is in it, in as many rows as it takes. */
    private static List<Named> key(PlotView view, Lettering letters) {
        List<Named> key = new ArrayList<>();
        double at = EDGE;
        int row = 0;
        for (List<String> each : NAMES) {
            if (isShown(view, each.get(0))) {
                double width = SAMPLE + EDGE + letters.width(each.get(1), LETTERS);
                if (at > EDGE && at + width > view.width() - EDGE) {
                    at = EDGE;
                    row++;
                }
                key.add(new Named(each.get(0), each.get(1), at, row));
                at += width + GAP;
            }
        }
        return key;
    }

    private static boolean isShown(PlotView view, String look) {
        return switch (look) {
            case "plot-limit" -> !view.limits().isEmpty();
            case "plot-look" -> !view.looks().isEmpty();
            case "plot-inside-range" -> view.isRangeDrawn();
            default -> Stream.of(view.areas(), view.bands(), view.lines()).flatMap(List::stream).anyMatch(shape -> shape.look().equals(look));
        };
    }

    private void key() {
        for (Named each : key) {
            double at = each.at();
            double y = view.height() + HEAD + 8 + each.row() * KEY_ROW;
            if (each.look().equals("plot-look")) {
                line(LOOK, at + SAMPLE / 2.0, y - 4, at + SAMPLE / 2.0, y + 4);
            } else if (FILLS.containsKey(each.look())) {
                area(new PlotView.Shape(each.look(), at + "," + (y - 4) + " " + (at + SAMPLE) + "," + (y - 4) + " " + (at + SAMPLE) + "," + (y + 4) + " " + at + "," + (y + 4)));
            } else {
                line(PENS.getOrDefault(each.look(), LIMIT), at, y, at + SAMPLE, y);
            }
            words(each.words(), at + SAMPLE + EDGE, y + 4, 0);
        }
    }

    private void area(PlotView.Shape shape) {
        Path2D outline = path(shape.points(), true);
        page.setColor(FILLS.get(shape.look()));
        page.fill(outline);
        if (PENS.containsKey(shape.look())) {
            stroke(PENS.get(shape.look()), outline);
        }
    }

    private void line(Pen pen, double fromX, double fromY, double toX, double toY) {
        stroke(pen, new Line2D.Double(fromX, fromY, toX, toY));
    }

    private void stroke(Pen pen, Shape shape) {
        page.setColor(pen.colour());
        page.setStroke(pen.stroke());
        page.draw(shape);
    }

    /** {@code share} of the words lies left of {@code x}: 0 begins there, 1 ends there. */
    private void words(String words, double x, double y, double share) {
        page.setColor(INK);
        page.fill(letters.of(words, LETTERS).createTransformedShape(AffineTransform.getTranslateInstance(x - share * letters.width(words, LETTERS), y)));
    }

    /** With paper around them, so that they can be read where a line goes through. */
    private void wordsInAGap(String words, double x, double y) {
        page.setColor(PAPER);
        page.setStroke(GAP_IN_LINES);
        page.draw(letters.of(words, LETTERS).createTransformedShape(AffineTransform.getTranslateInstance(x, y)));
        words(words, x, y, 0);
    }

    /** A name may be long; the moment stands behind it in the words of the mail too. */
    private String fitting(String title) {
        String cut = title;
        while (letters.width(cut, LETTERS) > view.width() - 2 * EDGE) {
            cut = cut.substring(0, cut.offsetByCodePoints(cut.length(), -2)).stripTrailing() + "…";
        }
        return cut;
    }

    private static Path2D path(String points, boolean isClosed) {
        Path2D path = new Path2D.Double();
        for (String point : points.split(" ")) {
            int comma = point.indexOf(',');
            double x = Double.parseDouble(point.substring(0, comma));
            double y = Double.parseDouble(point.substring(comma + 1));
            if (path.getCurrentPoint() == null) {
                path.moveTo(x, y);
            } else {
                path.lineTo(x, y);
            }
        }
        if (isClosed && path.getCurrentPoint() != null) {
            path.closePath();
        }
        return path;
    }
}
