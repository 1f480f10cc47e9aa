package org.lampkeeper.electrical;

import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.ValueSource;

import org.lampkeeper.electrical.IpCode.Meets;

import static org.assertj.core.api.Assertions.assertThat;

class IpCodeTest {

    /** IEC 60529, from lisungroup.com: up to 6 a numeral covers those below; 7 and 8 do not imply 5 and 6; X is not stated. */
    @ParameterizedTest
    @CsvSource({"IP65, IPX4, YES", "IP67, IPX5, NO", "IPX5/IPX7, IPX5, YES", "IP65/IP67, IP65, YES", "IPX4, IP3X, UNKNOWN", "IP67, IPX4, YES", "IP68, IPX7, YES",
            "IP67, IPX8, NO", "IP69, IPX7, NO", "IP44, IP54, NO", "ip 66, IPX6, YES", "IP23C, IP2X, YES", "IP6X, IPX4, UNKNOWN", "IP2X, IP3X, NO", "IP54, IP3X, YES"})
    void codeMeetsTheNeedOrDoesNotOrIsNotKnown(String has, String need, Meets meets) {
        assertThat(IpCode.of(has).orElseThrow().meets(IpCode.of(need).orElseThrow())).isEqualTo(meets);
    }

    @ParameterizedTest
    @ValueSource(strings = {"", "65", "IP", "IP7X5", "IP75", "IP6", "IP65/"})
    void whatIsNoCodeIsNotRead(String text) {
        assertThat(IpCode.of(text)).isEmpty();
    }

    /** IEC 60529, both numerals in words, from illuma.co.uk; 9 from lisungroup.com. */
    @ParameterizedTest
    @CsvSource(delimiter = '|', value = {"IP00 | no protection against solids, no protection against water", "IP11 | keeps out solids of 50 mm, stands drops from above",
            "IP22 | keeps out fingers (12.5 mm), stands drops at 15°", "IP33 | keeps out tools (2.5 mm), stands spray up to 60°", "IP44 | keeps out wires (1 mm), stands splashes",
            "IP55 | dust-protected, stands jets", "IP66 | dust-tight, stands strong jets", "IP67 | dust-tight, stands immersion for a time (1 m, 30 min)",
            "IP68 | dust-tight, stands lasting immersion", "IP69 | dust-tight, stands hot jets of high pressure", "IPX4 | solids not stated, stands splashes",
            "IP6X | dust-tight, water not stated", "IP65/IP67 | dust-tight, stands immersion for a time (1 m, 30 min), stands jets"})
    void codeIsSaidInWords(String code, String words) {
        assertThat(IpCode.of(code).orElseThrow().words()).isEqualTo(words);
    }
}
