package org.lampkeeper.testing;

import java.io.IOException;
import java.io.InputStream;
import java.io.UncheckedIOException;
import java.nio.charset.StandardCharsets;
import java.util.List;
import java.util.Map;

import com.microsoft.playwright.Page;

/** What axe finds wrong with a page that is open in a browser, one line each. */
public final class Axe {

    // WCAG 2.2 AA with all that it builds on.
    private static final List<String> RULES = List.of("wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice");
    // What another scheme or another width can change: everything else is the same document.
    private static final List<String> RULES_OF_LOOKS = List.of("color-contrast", "link-in-text-block", "target-size", "scrollable-region-focusable");
    private static final String RUN = """
            (only) => axe.run(document, { runOnly: only, resultTypes: ['violations'], preload: false, iframes: false })
              .then((found) => found.violations.map((v) => v.id + ', ' + v.help + ': ' + v.nodes.map((n) => n.html).join(' | ')))
            """;
    private static final String SCRIPT = script();

    private Axe() {
    }

    public static List<?> everything(Page page) {
        page.evaluate(SCRIPT);
        return (List<?>) page.evaluate(RUN, Map.of("type", "tag", "values", RULES));
    }

    /** Of a page that was looked through before, and looks different now. */
    public static List<?> looks(Page page) {
        return (List<?>) page.evaluate(RUN, Map.of("type", "rule", "values", RULES_OF_LOOKS));
    }

    private static String script() {
        try (InputStream script = Axe.class.getResourceAsStream("/axe.min.js")) {
            return new String(script.readAllBytes(), StandardCharsets.UTF_8);
        } catch (IOException e) {
            throw new UncheckedIOException(e);
        }
    }
}
