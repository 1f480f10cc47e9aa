package org.lampkeeper.message;

import java.util.regex.Matcher;
import java.util.regex.Pattern;

import net.jqwik.api.ForAll;
import net.jqwik.api.Property;
import org.junit.jupiter.api.Test;

import static org.assertj.core.api.Assertions.assertThat;

class MailHtmlTest {

    private static final String BASE = "https://watch.example/";

    @Test
    void letterKeepsItsWordsItsHeadingsAndItsLink() {
        String text = AlarmLetter.compose(LetterFixture.supplyLost()).body();

        String html = MailHtml.of("North Stair 2 has no supply", text, LetterFixture.LINK.substring(0, LetterFixture.LINK.indexOf("/a/") + 1));

        assertThat(html).contains("<a href=\"" + LetterFixture.LINK + "\"").contains(">Take it</a>").contains(">What and where</h2>").contains("<li>");
        String words = html.replaceAll("(?s)<head>.*</head>", "").replaceAll("<[^>]+>", " ").replace("&quot;", "\"").replace("&#39;", "'").replace("&amp;", "&");
        Matcher word = Pattern.compile("[\\p{L}\\d]+").matcher(text);
        while (word.find()) {
            assertThat(words).containsIgnoringCase(word.group());
        }
    }

    @Test
    void onlyOurOwnAddressesAreLinksAndTypedMarkupIsText() {
        String html = MailHtml.of("<b>", "Key: <script>alert(1)</script> & \"more\"\nPlan: https://elsewhere.example/a\nLike us: https://watch.example.evil.example/a\n"
                + "\nTake it: https://watch.example/a/\"onclick=\n", BASE);

        assertThat(html).doesNotContain("<script>", "<b>", "href=\"https://elsewhere", "href=\"https://watch.example.evil").contains("&lt;script&gt;");
        assertThat(html).contains("<a href=\"https://watch.example/a/&quot;onclick=\"");
    }

    @Test
    void nothingIsFetchedWhenItIsRead() {
        assertThat(MailHtml.of("s", "Text\n\nMORE\n- one\n- two\nafter\n", BASE)).doesNotContain("src=", "url(", "<link", "<img", "<script")
                .contains("<ul>\n<li>one</li>\n<li>two</li>\n</ul>");
    }

    @Property
    void whateverIsTypedOpensNoTag(@ForAll String typed) {
        String html = MailHtml.of(typed, typed, BASE);

        assertThat(html.replaceAll("</?(?:!DOCTYPE html|html|head|meta|title|body|h2|p|ul|li|a)(?: [a-z]+=\"[^\"<>]*\")*>", "")).doesNotContain("<", ">");
    }
}
