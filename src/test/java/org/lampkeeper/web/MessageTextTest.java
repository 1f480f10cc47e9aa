package org.lampkeeper.web;

import java.time.Instant;
import java.time.ZoneOffset;
import java.util.Optional;

import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

import org.lampkeeper.web.MessageResource.MessagesView.Piece;
import org.lampkeeper.web.MessageWords.Fate;

import static org.assertj.core.api.Assertions.assertThat;

class MessageTextTest {

    private static final Instant NOW = Instant.parse("2026-11-25T02:43:00Z");
    private static final String BODY = "Lost.\nTake it: https://watch.example/a/abc-DEF_1.2~x\nThank you.";

    @ParameterizedTest
    @CsvSource(delimiter = '|', value = {
            "WAITING     | MAIL | 0 |             | waiting to be sent",
            "WAITING     | MAIL | 1 | no answer   | tried once: no answer; next try 02:44",
            "WAITING     | MAIL | 3 | no answer   | tried 3 times: no answer; next try 02:44",
            "SENT        | MAIL | 1 |             | accepted by the mail server, arrival not known",
            "SENT        | FILE | 1 |             | written to the outgoing folder: no mail server is set",
            "NOT_NEEDED  | MAIL | 0 |             | not needed: somebody took it before this was sent",
            "UNDELIVERED | MAIL | 9 | no such box | could not be delivered: no such box"})
    void stateIsSaidInWordsThatClaimNoMoreThanIsKnown(String state, String channel, int attempts, String reason, String words) {
        Fate fate = new Fate(state, channel, attempts, Optional.of(NOW.plusSeconds(60)), Optional.empty(), Optional.ofNullable(reason), Optional.empty(), Optional.empty());

        assertThat(MessageWords.of(fate, ZoneOffset.UTC, NOW)).isEqualTo(words);
    }

    @Test
    void linkInAMessageIsHiddenFromWhoeverLooksOn() {
        assertThat(MessageResource.pieces(BODY, false)).extracting(Piece::text)
                .containsExactly("Lost.\nTake it: ", "[the link, which only the person told may use]", "\nThank you.");
        assertThat(MessageResource.pieces(BODY, false).toString()).doesNotContain("abc-DEF");
    }

    @Test
    void linkInAMessageCanBePressedInTheDemo() {
        assertThat(MessageResource.pieces(BODY, true)).extracting(Piece::href).containsExactly("", "/a/abc-DEF_1.2~x", "");
    }
}
