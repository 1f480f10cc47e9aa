package org.lampkeeper.message;

import java.nio.charset.Charset;
import java.nio.charset.StandardCharsets;
import java.util.HexFormat;
import java.util.List;
import java.util.Optional;

import net.jqwik.api.ForAll;
import net.jqwik.api.Property;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

import org.lampkeeper.message.HeardText.Part;

import static org.assertj.core.api.Assertions.assertThat;

class HeardTextTest {

    private static Optional<HeardText> of(String hex, int coding, boolean hasHeader) {
        return HeardText.of(HexFormat.of().parseHex(hex), (byte) coding, hasHeader, Optional.empty());
    }

    /** Codings of SMPP 3.4, 5.2.19, and of 3GPP TS 23.038, section 4, with a message class. */
    @ParameterizedTest
    @CsvSource({"0x01, US-ASCII, take 7km", "0x03, ISO-8859-1, Grüße take 7km", "0x08, UTF-16BE, Grüße ☎ take 7km", "0x18, UTF-16BE, take 7km",
            "0x06, ISO-8859-5, Привет 7km", "0x07, ISO-8859-8, שלום 7km"})
    void textIsReadInItsCoding(String coding, String charset, String text) {
        assertThat(HeardText.of(text.getBytes(Charset.forName(charset)), Integer.decode(coding).byteValue(), false, Optional.empty()))
                .contains(new HeardText(text, Optional.empty()));
    }

    @ParameterizedTest
    @CsvSource({"0x00", "0x10", "0xF0", "0xF3"})
    void defaultAlphabetIsReadAsItIsWritten(String coding) {
        String text = "Grüße @ {€} ÆØå Δ";

        byte[] octets = ShortText.parts(text, 1).get(0).octets();

        assertThat(HeardText.of(octets, Integer.decode(coding).byteValue(), false, Optional.empty())).contains(new HeardText(text, Optional.empty()));
    }

    /** Binary, JIS, a class without text, a header longer than all, a text of eleven parts, a part beyond the last and one before the first. */
    @ParameterizedTest
    @CsvSource({"54414b45, 0x04, false", "54414b45, 0x05, false", "54414b45, 0xF4, false", "0954, 0x00, true", "0500030b0b0154, 0x00, true",
            "05000301020354, 0x00, true", "05000301020054, 0x00, true"})
    void whatIsNoTextIsNone(String hex, String coding, boolean hasHeader) {
        assertThat(of(hex, Integer.decode(coding), hasHeader)).isEmpty();
    }

    /** 3GPP TS 23.040, 9.2.3.24.1 and .8: references of one and of two octets; after another element (ports, .4) too. */
    @ParameterizedTest
    @CsvSource({"050003c8020154414b45, 200", "060804c801020154414b45, 51201", "0b05040b840b840003c8020154414b45, 200"})
    void placeAmongSeveralStandsInTheHeader(String hex, int reference) {
        assertThat(of(hex, 0, true)).contains(new HeardText("TAKE", Optional.of(new Part(reference, 2, 1))));
    }

    @Test
    void headerWithoutAPlaceLeavesTheTextWhole() {
        assertThat(of("0605040b840b8454414b45", 0, true)).contains(new HeardText("TAKE", Optional.empty()));
        assertThat(of("0305ff0b54414b45", 0, true)).contains(new HeardText("TAKE", Optional.empty()));
    }

    @Test
    void networkMaySayThePlaceBesideTheTextInstead() {
        assertThat(HeardText.of("7km".getBytes(StandardCharsets.US_ASCII), (byte) 1, false, Optional.of(new Part(700, 2, 2)))).contains(new HeardText("7km", Optional.of(new Part(700, 2, 2))));
    }

    @Test
    void onlyPartOfATextIsAllOfIt() {
        assertThat(of("05000301010154414b45", 0, true)).contains(new HeardText("TAKE", Optional.empty()));
    }

    @Test
    void whatWeSendInPartsIsReadAgain() {
        String text = "Grüße ".repeat(40) + "€";

        List<ShortText.Part> parts = ShortText.parts(text, 7);

        StringBuilder read = new StringBuilder();
        for (ShortText.Part part : parts) {
            read.append(HeardText.of(part.octets(), (byte) 0, part.hasHeader(), Optional.empty()).orElseThrow().text());
        }
        assertThat(read).hasToString(text);
    }

    @Property(tries = 500)
    void noOctetsAreTooOdd(@ForAll byte[] octets, @ForAll byte coding, @ForAll boolean hasHeader) {
        Optional<HeardText> heard = HeardText.of(octets, coding, hasHeader, Optional.empty());

        assertThat(heard.map(HeardText::text).orElse("").chars()).as("what PostgreSQL stores").noneMatch(each -> each == 0);
    }
}
