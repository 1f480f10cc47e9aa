package org.lampkeeper.report;

import java.awt.geom.AffineTransform;
import java.awt.geom.Path2D;
import java.io.IOException;
import java.io.InputStream;
import java.io.UncheckedIOException;

import org.apache.fontbox.ttf.CmapLookup;
import org.apache.fontbox.ttf.GlyphData;
import org.apache.fontbox.ttf.TTFParser;
import org.apache.fontbox.ttf.TrueTypeFont;
import org.apache.pdfbox.io.RandomAccessReadBuffer;

/**
 * Words as outlines, in the letters of our papers: for an image, on a machine that may have no fonts of its own. Can be used by many threads.
 */
public final class Lettering {

    private final TrueTypeFont font;
    private final CmapLookup glyphs;

    private Lettering(TrueTypeFont font, CmapLookup glyphs) {
        this.font = font;
        this.glyphs = glyphs;
    }

    /** The usual ones. */
    public static Lettering regular() {
        try (InputStream in = Paper.font(Paper.REGULAR)) {
            TrueTypeFont font = new TTFParser().parse(new RandomAccessReadBuffer(in.readAllBytes()));
            return new Lettering(font, font.getUnicodeCmapLookup());
        } catch (IOException broken) {
            throw new UncheckedIOException(Paper.REGULAR + " cannot be read from the program", broken);
        }
    }

    /** How wide the words are, at letters of this size. */
    public double width(String words, double size) {
        return outline(words, size).advance();
    }

    /** Beginning at 0, 0, standing on that line; y grows downwards. A letter that the font has not is {@link Paper#NO_LETTER}. */
    public Path2D of(String words, double size) {
        return outline(words, size).path();
    }

    private record Outline(Path2D path, double advance) {
    }

    /** The font is read as it is asked for, which is not for two threads. */
    private synchronized Outline outline(String words, double size) {
        try {
            double scale = size / font.getUnitsPerEm();
            Path2D path = new Path2D.Double();
            double x = 0;
            for (int letter : words.codePoints().toArray()) {
                int known = glyphs.getGlyphId(letter);
                int glyph = known == 0 ? glyphs.getGlyphId(Paper.NO_LETTER.charAt(0)) : known;
                GlyphData data = font.getGlyph().getGlyph(glyph);
                if (data != null) {
                    path.append(data.getPath().getPathIterator(new AffineTransform(scale, 0, 0, -scale, x, 0)), false);
                }
                x += font.getAdvanceWidth(glyph) * scale;
            }
            return new Outline(path, x);
        } catch (IOException broken) {
            throw new UncheckedIOException(Paper.REGULAR + " cannot be read from the program", broken);
        }
    }
}
