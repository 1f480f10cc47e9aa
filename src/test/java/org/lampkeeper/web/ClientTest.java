package org.lampkeeper.web;

import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

import static org.assertj.core.api.Assertions.assertThat;

class ClientTest {

    @ParameterizedTest
    @CsvSource(delimiter = '|', value = {
            "Mozilla/5.0 (X11; Linux x86_64; rv:140.0) Gecko/20100101 Firefox/140.0                                          | Firefox on Linux",
            "Mozilla/5.0 (Windows NT 10.0; Win64; x64) AppleWebKit/537.36 (KHTML, like Gecko) Chrome/140.0 Safari/537.36 Edg/140.0 | Edge on Windows",
            "Mozilla/5.0 (Linux; Android 15) AppleWebKit/537.36 (KHTML, like Gecko) Chrome/140.0 Mobile Safari/537.36        | Chrome on Android",
            "Mozilla/5.0 (iPhone; CPU iPhone OS 18_0 like Mac OS X) AppleWebKit/605.1.15 Version/18.0 Mobile/15E148 Safari/604.1 | Safari on an iPhone",
            "curl/8.5.0                                                                                                      | A browser",
            "''                                                                                                              | A browser"})
    void deviceIsNamedSoThatItsOwnerKnowsIt(String userAgent, String words) {
        assertThat(Client.device(userAgent)).isEqualTo(words);
    }

    // RFC 6177: one customer has a /64 at least, so the rest of an address tells nobody apart.
    @ParameterizedTest
    @CsvSource({"192.0.2.7, 192.0.2.7", "2001:db8:1:2:3:4:5:6, 20010db800010002", "2001:db8:1:2::9, 20010db800010002", "::1, 0000000000000000"})
    void guessingIsCountedByNetwork(String address, String network) {
        assertThat(Client.network(address)).isEqualTo(network);
    }
}
