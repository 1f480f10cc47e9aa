package org.lampkeeper.report;

import java.io.IOException;
import java.io.InputStream;
import java.io.UncheckedIOException;

import org.apache.fontbox.ttf.TTFParser;
import org.apache.fontbox.ttf.TrueTypeFont;
import org.apache.pdfbox.io.RandomAccessReadBuffer;

/** How much room a text takes in the letters of {@link Paper}. May be used by several at once. */
final class Letters {

    static final Letters REGULAR = new Letters(Paper.REGULAR);
    static final Letters BOLD = new Letters(Paper.BOLD);

    // A point is 1/72 inch, an inch is 25.4 mm.
    private static final double MM_A_POINT = 25.4 / 72;

    private final TrueTypeFont font;

    private Letters(String name) {
        try (InputStream file = Paper.font(name)) {
            font = new TTFParser().parse(new RandomAccessReadBuffer(file));
        } catch (IOException broken) {
            throw new UncheckedIOException(name + " is no font", broken);
        }
    }

    /** In mm, for letters of this size in points. */
    double width(String text, double points) {
        return text.codePoints().mapToDouble(this::advance).sum() * points * MM_A_POINT;
    }

    /** How many lines a text takes within so many mm, broken between words, and within a word that is longer than a line. */
    int lines(String text, double points, double within) {
        int lines = 1;
        double used = 0;
        double space = width(" ", points);
        for (String word : text.strip().split("\\s+")) {
            double wide = width(word, points);
            if (used > 0 && used + space + wide > within) {
                lines++;
                used = 0;
            }
            if (wide > within) {
                lines += (int) Math.floor(wide / within);
                used = wide % within;
            } else {
                used += (used > 0 ? space : 0) + wide;
            }
        }
        return lines;
    }

    /** As a share of the size of the letters. */
    private double advance(int point) {
        try {
            synchronized (font) {
                int glyph = font.getUnicodeCmapLookup().getGlyphId(point);
                return (double) font.getAdvanceWidth(glyph) / font.getUnitsPerEm();
            }
        } catch (IOException broken) {
            throw new UncheckedIOException("font cannot be read", broken);
        }
    }
}
