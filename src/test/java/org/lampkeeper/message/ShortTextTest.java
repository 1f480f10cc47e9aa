package org.lampkeeper.message;

import java.util.List;

import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

import static org.assertj.core.api.Assertions.assertThat;

class ShortTextTest {

    /** Codes from the tables of 3GPP TS 23.038, 6.2.1 and 6.2.1.1. */
    @ParameterizedTest
    @CsvSource(delimiter = '|', quoteCharacter = '^', textBlock = """
            @ | 00
            $ | 02
            Δ | 10
            _ | 11
            Æ | 1c
            É | 1f
            0 | 30
            ¡ | 40
            A | 41
            Ä | 5b
            § | 5f
            ¿ | 60
            a | 61
            ä | 7b
            à | 7f
            [ | 1b3c
            ~ | 1b3d
            € | 1b65
            """)
    void characterHasTheCodeOfTheStandard(String character, String code) {
        ShortText.Part part = ShortText.parts(character, 1).get(0);

        assertThat(java.util.HexFormat.of().formatHex(part.octets())).isEqualTo(code);
        assertThat(part.isUnicode()).isFalse();
    }

    @Test
    void characterBetweenTheColumnsOfTheTableIsNotTakenForTheEscape() {
        assertThat(ShortText.septets("\u00a0")).isEqualTo(-1);
    }

    @ParameterizedTest
    @CsvSource(delimiter = '|', textBlock = """
            Inside 8.9 °C — falling…   | Inside 8.9 C - falling...
            turned 90° “off”, it’s out | turned 90 deg "off", it's out
            """)
    void whatTheAlphabetLacksIsSaidOtherwise(String text, String plain) {
        assertThat(ShortText.plain(text)).isEqualTo(plain);
        assertThat(ShortText.septets(plain)).isEqualTo(plain.length());
    }

    /** 3GPP TS 23.040: 160 septets or 70 units alone, 153 or 67 in each of several. */
    @ParameterizedTest
    @CsvSource({"a, 160, 1", "a, 161, 2", "a, 306, 2", "a, 307, 3", "€, 80, 1", "€, 81, 2", "€, 152, 2", "€, 153, 3",
            "ж, 70, 1", "ж, 71, 2", "ж, 134, 2", "ж, 135, 3", "a, 5000, 10"})
    void textTakesAsManyPartsAsTheStandardSays(String character, int times, int expected) {
        List<ShortText.Part> parts = ShortText.parts(character.repeat(times), 200);

        assertThat(parts).hasSize(expected).allSatisfy(part -> {
            assertThat(part.octets().length).isLessThanOrEqualTo(part.isUnicode() ? 140 : 160);
            assertThat(part.hasHeader()).isEqualTo(expected > 1);
        });
        if (expected > 1) {
            assertThat(parts.get(1).octets()).startsWith(new byte[]{5, 0, 3, (byte) 200, (byte) expected, 2});
        }
    }

    @ParameterizedTest
    @CsvSource(delimiter = '|', textBlock = """
            100 | 60 | aaaa
            100 | 61 | bbb
            100 | 90 | cc
            """)
    void textIsShortenedUntilItFitsAndItsEndNever(int first, int end, String chosen) {
        List<String> texts = List.of("a".repeat(first), "b".repeat(80), "c".repeat(10));

        String fitting = ShortText.fitting(texts, "!".repeat(end));

        assertThat(fitting).startsWith(chosen).endsWith("!".repeat(end));
        assertThat(ShortText.parts(fitting, 1)).hasSize(1);
    }

    @Test
    void whatNeverFitsIsTheShortestInSeveralParts() {
        assertThat(ShortText.fitting(List.of("a".repeat(200), "c".repeat(170)), "end")).isEqualTo("c".repeat(170) + "end");
        assertThat(ShortText.fitting(List.of("ж".repeat(20), "ж".repeat(9)), "end")).isEqualTo("ж".repeat(9) + "end");
    }
}
