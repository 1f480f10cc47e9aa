package org.lampkeeper.message;

import java.util.HashSet;
import java.util.Optional;
import java.util.Set;

import net.jqwik.api.ForAll;
import net.jqwik.api.Property;
import net.jqwik.api.constraints.Chars;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.ValueSource;

import org.lampkeeper.message.ReplyWord.Verb;

import static org.assertj.core.api.Assertions.assertThat;

class ReplyWordTest {

    private static final String REFERENCE = "5f".repeat(32);

    @ParameterizedTest
    @CsvSource(delimiter = '|', textBlock = """
            TAKE7KM                         | TAKE | 7KM
            take7km                         | TAKE | 7KM
            Take 7km.                       | TAKE | 7KM
            TAKE-7-KM                       | TAKE | 7KM
            'take 7 k m'                    | TAKE | 7KM
            '  "PASS7KM"!! '                | PASS | 7KM
            ＴＡＫＥ７ＫＭ                         | TAKE | 7KM
            Grüße vom Kai, TAKE7KM, tschüß  | TAKE | 7KM
            täke7km                         | TAKE | 7KM
            TAKE7KM TAKE7KM                 | TAKE | 7KM
            I can't come, PASS7KM please    | PASS | 7KM
            Passing by: TAKE7KM             | TAKE | 7KM
            take                            | TAKE |
            ' Pass. '                       | PASS |
            """)
    void wordIsHeardWhateverStandsAroundIt(String text, Verb verb, String code) {
        assertThat(ReplyWord.in(text)).contains(new ReplyWord(verb, Optional.ofNullable(code)));
    }

    /** Doubt takes nothing and passes nothing on. */
    @ParameterizedTest
    @ValueSource(strings = {"", "ok", "I take it", "take or pass", "TAKE7KM or PASS7KM", "TAKE7KM TAKE7KN", "MISTAKE7KM", "TAKE7KMX", "TAKE77KM", "TAKEKM",
            "I can't TAKE7KM", "cannot take7km", "Do not TAKE7KM", "TAKE7KM? No.", "I don’t take 7km", "Reply TAKE7KM or PASS7KM", "7KM", "TAKE 17KM"})
    void anythingElseIsAskedAbout(String text) {
        assertThat(ReplyWord.in(text)).isEmpty();
    }

    @Property(tries = 300)
    void whatIsNeitherLetterNorDigitChangesNothing(@ForAll @Chars({' ', '.', ',', '"', '\'', '-', '\n', '…', '¿', '°', '☎', '\u0301', '\u00a0'}) String around) {
        assertThat(ReplyWord.in(around + "TAKE" + around + "7KM" + around)).contains(new ReplyWord(Verb.TAKE, Optional.of("7KM")));
    }

    @Property(tries = 300)
    void noTextIsTooOdd(@ForAll String text) {
        assertThat(ReplyWord.in(text)).isEmpty();
    }

    @Property(tries = 300)
    void codeIsReadAsItWasWritten(@ForAll long callOut, @ForAll String reference) {
        String code = ReplyWord.code(reference, callOut);

        assertThat(code).matches("[2-9][ACDEFGHJKMNPRTUVWXY]{2}");
        assertThat(ReplyWord.in("pass" + code.toLowerCase(java.util.Locale.ROOT))).contains(new ReplyWord(Verb.PASS, Optional.of(code)));
        assertThat(ReplyWord.in(ReplyWord.both(code))).isEmpty();
    }

    @Test
    void callOutsOfAPersonHaveCodesOfTheirOwnForAsManyAsThereAre() {
        Set<String> codes = new HashSet<>();

        for (int callOut = 100_000; callOut < 102_888; callOut++) {
            codes.add(ReplyWord.code(REFERENCE, callOut));
        }

        assertThat(codes).hasSize(2888);
    }

    @Test
    void codeOfAnotherPersonIsAnother() {
        assertThat(ReplyWord.code(REFERENCE, 12)).isNotEqualTo(ReplyWord.code("8c".repeat(32), 12));
    }
}
