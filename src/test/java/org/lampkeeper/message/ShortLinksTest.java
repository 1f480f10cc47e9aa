package org.lampkeeper.message;

import java.nio.ByteBuffer;
import java.nio.file.Path;
import java.time.Instant;
import java.util.Base64;

import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.ValueSource;

import static org.assertj.core.api.Assertions.assertThat;

class ShortLinksTest {

    private static final Instant END = Instant.parse("2026-11-26T02:41:00Z");

    @TempDir
    Path folder;

    private LinkTokens full;
    private ShortLinks links;

    @BeforeEach
    void keys() {
        full = new LinkTokens(KeyFile.at(folder.resolve("links.json")));
        links = new ShortLinks(full);
    }

    @ParameterizedTest
    @CsvSource({"1, 1", "12, 1049", "4711000, 99", "9223372036854775807, 9223372036854775807"})
    void shortOneLeadsToTheLongOneOfTheSameAlarmOrLookPersonAndEnd(long alarm, long person) {
        assertThat(links.path(links.issue(alarm, person, END))).contains("a/" + full.issue(alarm, person, END));
        assertThat(links.path(links.issueForLook(alarm, person, END))).contains("c/" + full.issueForLook(alarm, person, END));
    }

    @Test
    void endIsThatOfTheMessage() {
        String token = links.path(links.issue(12, 1049, END)).orElseThrow().substring("a/".length());

        assertThat(full.read(token, END.minusNanos(1))).isInstanceOf(LinkReading.Valid.class);
        assertThat(full.read(token, END)).isInstanceOf(LinkReading.Expired.class);
    }

    /** A telephone that makes a link of it stops before a low line or hyphen at the end. */
    @Test
    void isShortAndEndsWithALetterOrDigit() {
        for (long alarm = 1; alarm < 3_000_000; alarm = alarm * 2 + 1) {
            for (long person = 1; person < 20_000; person += 700) {
                assertThat(links.issue(alarm, person, END)).matches("[A-Za-z0-9_-]{22,29}[A-Za-z0-9]");
            }
        }
    }

    @Test
    void anyCharacterAlteredLeadsNowhere() {
        String token = links.issue(12, 1049, END);

        for (int i = 0; i < token.length(); i++) {
            for (char other : "AZaz09-_".toCharArray()) {
                String altered = token.substring(0, i) + other + token.substring(i + 1);
                assertThat(links.path(altered).isPresent()).as(altered).isEqualTo(altered.equals(token));
            }
        }
    }

    @ParameterizedTest
    @ValueSource(strings = {"", "A", "____", "%2e", "not base64 !", "AAAAAAAAAAAAAAAAAAAAAAAAAA", "__________________________________"})
    void whatIsNotOursLeadsNowhere(String token) {
        assertThat(links.path(token)).isEmpty();
    }

    /** Key 1, alarm 1, person 1, an end in 146 thousand million years, which is no moment at all. */
    @Test
    void endThatIsNoMomentLeadsNowhere() {
        ByteBuffer bytes = ByteBuffer.allocate(22).put(new byte[] {1, 1, 1, -1, -1, -1, -1, -1, -1, -1, -1, 127});

        assertThat(links.path(Base64.getUrlEncoder().withoutPadding().encodeToString(bytes.array()))).isEmpty();
    }

    @Test
    void longOneIsNoShortOneNorTheOtherWayRound() {
        assertThat(links.path(full.issue(12, 1049, END))).isEmpty();
        assertThat(full.read(links.issue(12, 1049, END), END.minusNanos(1))).isInstanceOf(LinkReading.NotOurs.class);
    }

    @Test
    void signedByAnotherInstallationLeadsNowhere() {
        ShortLinks others = new ShortLinks(new LinkTokens(KeyFile.at(folder.resolve("others.json"))));

        assertThat(links.path(others.issue(12, 1049, END))).isEmpty();
    }
}
