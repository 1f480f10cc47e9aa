package org.lampkeeper.report;

import java.io.ByteArrayInputStream;
import java.io.ByteArrayOutputStream;
import java.io.File;
import java.util.List;
import java.util.Objects;

import javax.xml.transform.TransformerException;
import javax.xml.transform.TransformerFactory;
import javax.xml.transform.dom.DOMSource;
import javax.xml.transform.stream.StreamResult;

import com.github.weisj.jsvg.SVGDocument;
import com.github.weisj.jsvg.parser.LoaderContext;
import com.github.weisj.jsvg.parser.SVGLoader;
import com.github.weisj.jsvg.parser.resources.ResourcePolicy;
import com.github.weisj.jsvg.renderer.NullPlatformSupport;
import com.github.weisj.jsvg.view.ViewBox;
import com.openhtmltopdf.css.sheet.FontFaceRule;
import com.openhtmltopdf.css.style.CssContext;
import com.openhtmltopdf.extend.OutputDevice;
import com.openhtmltopdf.extend.SVGDrawer;
import com.openhtmltopdf.layout.SharedContext;
import com.openhtmltopdf.outputdevice.helper.BaseRendererBuilder.FontStyle;
import com.openhtmltopdf.render.Box;
import com.openhtmltopdf.render.RenderingContext;
import org.jspecify.annotations.Nullable;
import org.w3c.dom.Element;

/** Draws what is SVG in a paper as lines and areas, so that it is sharp at any size. Letters belong beside a drawing, not into it. */
final class PaperDrawings implements SVGDrawer {

    @Override
    public SVGImage buildSVGImage(Element svg, Box box, CssContext context, double width, double height, double dotsPerPixel) {
        return new Drawn(read(svg), width, height, dotsPerPixel);
    }

    @Override
    public void importFontFaceRules(@Nullable List<FontFaceRule> rules, SharedContext context) {
        // No letters in drawings.
    }

    @Override
    public void addFontFile(File file, String family, @Nullable Integer weight, FontStyle style) {
        // No letters in drawings.
    }

    @Override
    public void close() {
        // Holds nothing open.
    }

    private static SVGDocument read(Element svg) {
        ByteArrayOutputStream text = new ByteArrayOutputStream();
        try {
            TransformerFactory.newInstance().newTransformer().transform(new DOMSource(svg), new StreamResult(text));
        } catch (TransformerException broken) {
            throw new IllegalStateException("drawing of a paper cannot be written: " + broken.getMessage(), broken);
        }
        LoaderContext alone = LoaderContext.builder().externalResourcePolicy(ResourcePolicy.DENY_ALL).build();
        return Objects.requireNonNull(new SVGLoader().load(new ByteArrayInputStream(text.toByteArray()), null, alone), "drawing of a paper is no SVG");
    }

    /** @param width in the unit of the layout, {@code dots} of which are one CSS pixel */
    private record Drawn(SVGDocument svg, double width, double height, double dots) implements SVGImage {

        @Override
        public int getIntrinsicWidth() {
            return (int) Math.round(width >= 0 ? width : svg.size().width * dots);
        }

        @Override
        public int getIntrinsicHeight() {
            return (int) Math.round(height >= 0 ? height : svg.size().height * dots);
        }

        @Override
        public void drawSVG(OutputDevice page, RenderingContext context, double x, double y) {
            float wide = (float) (getIntrinsicWidth() / dots);
            float high = (float) (getIntrinsicHeight() / dots);
            page.drawWithGraphics((float) x, (float) y, wide, high,
                    graphics -> svg.renderWithPlatform(NullPlatformSupport.INSTANCE, graphics, new ViewBox(0, 0, wide, high)));
        }
    }
}
