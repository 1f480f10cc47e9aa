package org.lampkeeper.testing;

import java.awt.image.BufferedImage;
import java.io.IOException;
import java.io.UncheckedIOException;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;

import com.google.zxing.BinaryBitmap;
import com.google.zxing.DecodeHintType;
import com.google.zxing.LuminanceSource;
import com.google.zxing.RGBLuminanceSource;
import com.google.zxing.ReaderException;
import com.google.zxing.common.HybridBinarizer;
import com.google.zxing.qrcode.QRCodeReader;
import org.apache.pdfbox.Loader;
import org.apache.pdfbox.cos.COSName;
import org.apache.pdfbox.pdmodel.PDDocument;
import org.apache.pdfbox.pdmodel.PDPage;
import org.apache.pdfbox.rendering.ImageType;
import org.apache.pdfbox.rendering.PDFRenderer;
import org.apache.pdfbox.text.PDFTextStripper;
import org.apache.pdfbox.text.TextPosition;

/** A PDF as its reader meets it: as dots on paper, and as text with its place. */
public final class PaperPages implements AutoCloseable {

    private static final double MM_AN_INCH = 25.4;
    private static final double POINTS_AN_INCH = 72;
    private static final int DARK = 100;
    private static final int DOTS = 300;
    /** As a phone, which looks again and again until it has found the three corners. */
    private static final Map<DecodeHintType, Boolean> PATIENTLY = Map.of(DecodeHintType.TRY_HARDER, true);

    private final PDDocument paper;

    public PaperPages(byte[] pdf) {
        try {
            paper = Loader.loadPDF(pdf);
        } catch (IOException broken) {
            throw new UncheckedIOException(broken);
        }
    }

    /** A letter and where it stands, in mm from the upper left corner of its page; {@code page} from 0. */
    public record Letter(int page, String text, double left, double top, double right, double bottom) {
    }

    public int count() {
        return paper.getNumberOfPages();
    }

    public String title() {
        return paper.getDocumentInformation().getTitle();
    }

    /** Width and height of a page in mm. */
    public double[] size(int page) {
        return new double[] {paper.getPage(page).getMediaBox().getWidth() * MM_AN_INCH / POINTS_AN_INCH,
                paper.getPage(page).getMediaBox().getHeight() * MM_AN_INCH / POINTS_AN_INCH};
    }

    public String text() {
        try {
            return new PDFTextStripper().getText(paper);
        } catch (IOException broken) {
            throw new UncheckedIOException(broken);
        }
    }

    /** How many pictures stand on its pages: no drawings. */
    public long pictures() {
        long pictures = 0;
        for (PDPage page : paper.getPages()) {
            for (COSName name : page.getResources().getXObjectNames()) {
                pictures += page.getResources().isImageXObject(name) ? 1 : 0;
            }
        }
        return pictures;
    }

    public List<Letter> letters() {
        List<Letter> letters = new ArrayList<>();
        try {
            new PDFTextStripper() {
                @Override
                protected void writeString(String text, List<TextPosition> positions) {
                    for (TextPosition at : positions) {
                        letters.add(new Letter(getCurrentPageNo() - 1, at.getUnicode(), mm(at.getXDirAdj()), mm(at.getYDirAdj() - at.getHeightDir()),
                                mm(at.getXDirAdj() + at.getWidthDirAdj()), mm(at.getYDirAdj())));
                    }
                }
            }.getText(paper);
        } catch (IOException broken) {
            throw new UncheckedIOException(broken);
        }
        return letters;
    }

    /** A page as a printer would put it on paper, with so many dots an inch. */
    public BufferedImage printed(int page, int dots) {
        try {
            return new PDFRenderer(paper).renderImageWithDPI(page, dots, ImageType.GRAY);
        } catch (IOException broken) {
            throw new UncheckedIOException(broken);
        }
    }

    /** What a camera reads that is held over this part of a page; lengths in mm from its upper left corner. */
    public String code(int page, double left, double top, double width, double height) {
        BufferedImage seen = printed(page, DOTS).getSubimage(dots(left), dots(top), dots(width), dots(height));
        LuminanceSource light = new RGBLuminanceSource(seen.getWidth(), seen.getHeight(), seen.getRGB(0, 0, seen.getWidth(), seen.getHeight(), null, 0, seen.getWidth()));
        try {
            return new QRCodeReader().decode(new BinaryBitmap(new HybridBinarizer(light)), PATIENTLY).getText();
        } catch (ReaderException none) {
            throw new AssertionError("no camera reads a code here", none);
        }
    }

    private static int dots(double mm) {
        return (int) Math.round(mm / MM_AN_INCH * DOTS);
    }

    /** Where dark stretches of a line across or down an image have their middle, in mm. */
    public static List<Double> marks(BufferedImage image, int dots, boolean across, double at) {
        List<Double> marks = new ArrayList<>();
        int fixed = (int) Math.round(at / MM_AN_INCH * dots);
        int length = across ? image.getWidth() : image.getHeight();
        int from = -1;
        for (int i = 0; i <= length; i++) {
            boolean dark = i < length && isDark(image, across ? i : fixed, across ? fixed : i);
            if (dark && from < 0) {
                from = i;
            } else if (!dark && from >= 0) {
                marks.add((from + i) / 2.0 * MM_AN_INCH / dots);
                from = -1;
            }
        }
        return marks;
    }

    public static boolean isDark(BufferedImage image, int x, int y) {
        return image.getRaster().getSample(x, y, 0) < DARK;
    }

    @Override
    public void close() {
        try {
            paper.close();
        } catch (IOException broken) {
            throw new UncheckedIOException(broken);
        }
    }

    private static double mm(double points) {
        return points * MM_AN_INCH / POINTS_AN_INCH;
    }
}
