package org.lampkeeper.message;

import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import java.util.Optional;
import java.util.regex.Matcher;
import java.util.regex.Pattern;

/**
 * A mail's text as a page, for mail programs that show one: the same words, headings as headings, our own links as links. Nothing is
 * fetched (a picture is in the mail itself), and what people typed is only ever text.
 */
final class MailHtml {

    private static final Pattern LINK = Pattern.compile("(?:(.{1,200}): )?(https?://\\S+)");
    private static final String HEAD = """
            <!DOCTYPE html>
            <html lang="en"><head><meta charset="utf-8"><meta name="color-scheme" content="light dark"><title>%s</title></head>
            <body style="font:17px/1.5 system-ui,sans-serif;max-width:40em;margin:0 auto;padding:12px">
            """;
    private static final String HEADING = "<h2 style=\"font-size:17px;margin:1.4em 0 .2em\">%s</h2>\n";
    // Large enough for a gloved thumb; the colours stand on light and on dark paper.
    private static final String BUTTON = "<p><a href=\"%1$s\" style=\"display:inline-block;padding:12px 18px;background:#123f5c;color:#ffffff;"
            + "border:1px solid #9fd0ee;border-radius:4px\">%2$s</a></p>\n<p style=\"font-size:14px;word-break:break-all\">%1$s</p>\n";

    /** The heading, as a letter writes it, of the section that says what is in the picture. */
    static final String PICTURE = "IN THE PICTURE";

    // Without words of its own: what is in it stands below it.
    private static final String IMAGE = "<p><img src=\"cid:%s\" alt=\"\" width=\"540\" style=\"width:100%%;max-width:540px;height:auto;background:#ffffff\"></p>\n";

    private MailHtml() {
    }

    static String of(String subject, String text, String base) {
        return of(subject, text, base, Optional.empty());
    }

    /**
     * @param base    what our own addresses begin with, up to a slash: what does not is no link
     * @param picture the content id (RFC 2392) of the picture within the mail, shown below its heading
     */
    static String of(String subject, String text, String base, Optional<String> picture) {
        StringBuilder page = new StringBuilder(HEAD.formatted(escaped(subject)));
        for (String block : text.strip().split("\n{2,}")) {
            List<String> lines = new ArrayList<>(List.of(block.split("\n")));
            if (isHeading(lines.get(0))) {
                String heading = lines.remove(0);
                page.append(HEADING.formatted(escaped(heading.charAt(0) + heading.substring(1).toLowerCase(Locale.ROOT))));
                picture.filter(id -> heading.equals(PICTURE)).ifPresent(id -> page.append(IMAGE.formatted(id)));
            }
            append(page, lines, base);
        }
        return page.append("</body></html>\n").toString();
    }

    private static void append(StringBuilder page, List<String> lines, String base) {
        boolean isInList = false;
        for (String line : lines) {
            boolean isItem = line.startsWith("- ");
            if (isItem != isInList) {
                page.append(isItem ? "<ul>\n" : "</ul>\n");
                isInList = isItem;
            }
            Matcher link = LINK.matcher(line);
            if (isItem) {
                page.append("<li>").append(escaped(line.substring(2))).append("</li>\n");
            } else if (link.matches() && link.group(2).startsWith(base)) {
                String words = link.group(1) == null ? link.group(2) : link.group(1);
                page.append(BUTTON.formatted(escaped(link.group(2)), escaped(words)));
            } else {
                page.append("<p style=\"margin:.2em 0\">").append(escaped(line)).append("</p>\n");
            }
        }
        page.append(isInList ? "</ul>\n" : "");
    }

    /** As a letter writes it: in capitals. */
    private static boolean isHeading(String line) {
        return line.chars().anyMatch(Character::isLetter) && line.equals(line.toUpperCase(Locale.ROOT)) && line.length() > 3 && !line.matches(".*\\d.*");
    }

    private static String escaped(String text) {
        return text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;").replace("\"", "&quot;").replace("'", "&#39;");
    }
}
