package org.lampkeeper.message;

import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

import static org.assertj.core.api.Assertions.assertThat;
import static org.lampkeeper.message.MessageFixture.mailTo;

class OutgoingMailTest {

    @ParameterizedTest
    @CsvSource(delimiter = '|', quoteCharacter = '\'', textBlock = """
            m.teal@quay.example                  | true
            m.teal+night@quay.example            | true
            o'osk@quay.example                   | true
            duty@localhost                       | true
            ''                                   | false
            m.teal                               | false
            @quay.example                        | false
            m.teal@                              | false
            a@b@quay.example                     | false
            a@quay.example b@quay.example        | false
            a@quay.example, b@quay.example       | false
            a@quay.example;b@quay.example        | false
            M. Teal <m.teal@quay.example>        | false
            a@quay.example Bcc: b@quay.example   | false
            """)
    void mailGoesToOneAddressOrToNone(String address, boolean isAddressed) {
        assertThat(mailTo(address).isAddressed()).isEqualTo(isAddressed);
    }
}
