package org.lampkeeper.report;

import java.io.ByteArrayInputStream;
import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.io.InputStream;
import java.io.UncheckedIOException;
import java.nio.charset.StandardCharsets;
import java.util.Objects;

import javax.xml.XMLConstants;
import javax.xml.parsers.DocumentBuilderFactory;
import javax.xml.parsers.ParserConfigurationException;

import com.openhtmltopdf.outputdevice.helper.BaseRendererBuilder.FontStyle;
import com.openhtmltopdf.outputdevice.helper.ExternalResourceControlPriority;
import com.openhtmltopdf.pdfboxout.PdfRendererBuilder;
import com.openhtmltopdf.util.XRLog;
import org.w3c.dom.Document;
import org.xml.sax.SAXException;

/**
 * A page as PDF, tagged for those who have it read aloud. It carries its letters along and asks for nothing outside itself.
 */
final class Paper {

    static final String REGULAR = "/liberation/LiberationSans-Regular.ttf";
    static final String BOLD = "/liberation/LiberationSans-Bold.ttf";

    /** What stands for a letter that the fonts have not: Latin, Greek and Cyrillic ones are there. */
    static final String NO_LETTER = "?";

    /** What a page may show beside its own drawings: a picture that stands in it. */
    static final String PICTURE = "data:image/jpeg;base64,";

    private static final int PLAIN_WEIGHT = 400;
    private static final int BOLD_WEIGHT = 700;

    static {
        // It writes down each step of each page.
        XRLog.setLoggingEnabled(false);
    }

    private Paper() {
    }

    /**
     * @param xhtml well-formed, lengths in mm or pt; drawings as SVG within
     * @throws IllegalStateException when it is not well-formed, which is a fault of ours
     */
    static byte[] of(String xhtml) {
        ByteArrayOutputStream paper = new ByteArrayOutputStream();
        try (PaperDrawings drawings = new PaperDrawings()) {
            new PdfRendererBuilder()
                    .useFont(() -> font(REGULAR), "Liberation Sans", PLAIN_WEIGHT, FontStyle.NORMAL, true)
                    .useFont(() -> font(BOLD), "Liberation Sans", BOLD_WEIGHT, FontStyle.NORMAL, true)
                    .useExternalResourceAccessControl((address, kind) -> address.startsWith(PICTURE), ExternalResourceControlPriority.RUN_BEFORE_RESOLVING_URI)
                    .useReplacementText(NO_LETTER)
                    .useSVGDrawer(drawings)
                    .usePdfUaAccessibility(true)
                    .withProducer("Lampkeeper")
                    .withW3cDocument(read(xhtml), null)
                    .toStream(paper)
                    .run();
        } catch (IOException inMemory) {
            throw new UncheckedIOException("writing a paper into memory failed", inMemory);
        }
        return paper.toByteArray();
    }

    static InputStream font(String name) {
        return Objects.requireNonNull(Paper.class.getResourceAsStream(name), () -> name + " is not in the program");
    }

    private static Document read(String xhtml) {
        try {
            DocumentBuilderFactory factory = DocumentBuilderFactory.newInstance();
            factory.setNamespaceAware(true);
            factory.setFeature(XMLConstants.FEATURE_SECURE_PROCESSING, true);
            factory.setFeature("http://apache.org/xml/features/disallow-doctype-decl", true);
            return factory.newDocumentBuilder().parse(new ByteArrayInputStream(xhtml.getBytes(StandardCharsets.UTF_8)));
        } catch (SAXException | ParserConfigurationException broken) {
            throw new IllegalStateException("paper is not well-formed: " + broken.getMessage(), broken);
        } catch (IOException inMemory) {
            throw new UncheckedIOException("reading a paper from memory failed", inMemory);
        }
    }
}
