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
}
