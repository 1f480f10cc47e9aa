package org.lampkeeper.alarm;

import java.util.ArrayList;
import java.util.Collections;
import java.util.List;
import java.util.Random;
import java.util.TreeSet;

import net.jqwik.api.Arbitraries;
import net.jqwik.api.Arbitrary;
import net.jqwik.api.Combinators;
import net.jqwik.api.ForAll;
import net.jqwik.api.Property;
import net.jqwik.api.Provide;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

import org.lampkeeper.testing.WrittenCodes;

import static org.assertj.core.api.Assertions.assertThat;

class CodeRangesTest {

    @ParameterizedTest
    @CsvSource(delimiter = '|', textBlock = """
            H1                      | H1
            H2 H1                   | H1, H2
            H3 H1 H2                | H1 to H3
            H1 H2 H4 H5 H6          | H1, H2, H4 to H6
            H9 H10 H11              | H9 to H11
            H09 H10 H11             | H09 to H11
            H1 H01 H2 H3            | H01, H1 to H3
            A-1-1 A-1-2 A-1-3 A-2-1 | A-1-1 to A-1-3, A-2-1
            NORTH SOUTH             | NORTH, SOUTH
            K2 H1 K1 K3             | H1, K1 to K3
            """)
    void threeInARowAreARange(String codes, String written) {
        assertThat(CodeRanges.of(List.of(codes.split(" ")))).isEqualTo(written);
    }

    @Property
    void whateverIsWrittenNamesAllAndNoOther(@ForAll("codes") List<String> codes, @ForAll Random random) {
        List<String> shuffled = new ArrayList<>(codes);
        Collections.shuffle(shuffled, random);

        assertThat(WrittenCodes.of(CodeRanges.of(shuffled))).isEqualTo(new TreeSet<>(codes));
    }

    @Provide
    Arbitrary<List<String>> codes() {
        Arbitrary<String> numbered = Combinators.combine(Arbitraries.of("H", "NS-", "K1-"), Arbitraries.integers().between(0, 30), Arbitraries.of("%d", "%02d", "%03d"))
                .as((stem, number, form) -> stem + String.format(form, number));
        return Arbitraries.oneOf(numbered, Arbitraries.of("NORTH", "QUAY")).list().ofMaxSize(40);
    }
}
