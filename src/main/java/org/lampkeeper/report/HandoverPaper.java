package org.lampkeeper.report;

import java.util.List;
import java.util.Optional;

import io.quarkus.qute.CheckedTemplate;
import io.quarkus.qute.TemplateInstance;

/**
 * The record of a hand-over on paper: what was entered, what was measured at its part of the circuit, the proof test, who signed, and the
 * arithmetic as an annex. It says what it is given, and nothing about whether that is right.
 */
public final class HandoverPaper {

    private HandoverPaper() {
    }

    /**
     * @param standing    how far it is: signed by whom, or what is missing
     * @param sections    of the record, in its order
     * @param circuit     from origin to cabinet
     * @param notices     that are to hang at the circuit, to be ticked with a pen
     * @param tests       of the proof test, a sentence each; one that says so where there was none
     * @param signatures  by whom and when; lines to sign on where nobody has
     * @param fingerprint of the document that was signed; empty while it is not
     * @param tables      which limits the arithmetic was compared with, and what they were not checked against
     * @param made        when and from where, for the foot of each page
     */
    public record Document(String title, String standing, List<String> cautions, List<Section> sections, List<Part> circuit, List<Notice> notices, List<String> tests, String remark,
            List<Signature> signatures, String fingerprint, String tables, String made) {

        public Document {
            cautions = List.copyOf(cautions);
            sections = List.copyOf(sections);
            circuit = List.copyOf(circuit);
            notices = List.copyOf(notices);
            tests = List.copyOf(tests);
            signatures = List.copyOf(signatures);
        }
    }

    public record Section(String title, List<Row> rows, List<Picture> pictures) {
        public Section {
            rows = List.copyOf(rows);
            pictures = List.copyOf(pictures);
        }
    }

    /** @param jpeg in base 64 */
    public record Picture(String label, String sha256, String jpeg) {
    }

    /** @param problem what is wrong with it; empty for nothing */
    public record Row(String label, String value, String problem) {
    }

    /** @param says what stands there, as on its front */
    public record Part(String name, String says, List<Figure> figures) {
    }

    /** @param word within, look again, outside or not given */
    public record Figure(String what, String stage, String word, String says, String formula, String inputs, Optional<String> limit, String edition, String source,
            List<String> advice) {
    }

    /** @param where regulation and place @param only where it is needed; empty: here */
    public record Notice(String where, String text, String only) {
    }

    public record Signature(String as, String who, String when) {
    }

    @CheckedTemplate
    static class Templates {
        static native TemplateInstance handover(Document document);
    }

    public static byte[] of(Document document) {
        return Paper.of(Templates.handover(document).render());
    }
}
