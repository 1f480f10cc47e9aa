package org.lampkeeper.report;

import java.util.List;

import io.quarkus.qute.CheckedTemplate;
import io.quarkus.qute.TemplateInstance;

/** Evidence on paper. */
public final class EvidencePaper {

    private EvidencePaper() {
    }

    /**
     * What is printed; each text is said for people, with times on the clocks of the site.
     *
     * @param headline what happened, in a sentence
     * @param facts    of when and what, a line each
     * @param plot     all of the time as a drawing
     * @param times    from when to when it goes, beside the drawing
     * @param night    what happened, in order
     * @param proof    what shows that the journal is as it was written
     * @param made     when and by whom, at the foot of each page
     */
    public record Text(String title, String headline, List<String> facts, EvidencePlot plot, String times, List<Happened> night, List<Sheet> sheets, List<String> proof, String made) {
    }

    public record Happened(String at, String number, String what) {
    }

    /** @param none what is said instead where there are no rows */
    public record Sheet(String heading, List<Block> blocks, String none) {
    }

    /** One row, as lines of a name and what stands there. */
    public record Block(List<Pair> pairs) {
    }

    public record Pair(String name, String value) {
    }

    @CheckedTemplate
    static class Templates {
        static native TemplateInstance evidence(Text text, int width, int high);
    }

    public static byte[] of(Text text) {
        return Paper.of(Templates.evidence(text, EvidencePlot.WIDTH, EvidencePlot.HEIGHT).render());
    }
}
