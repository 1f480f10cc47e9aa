package org.lampkeeper.message;

import java.util.OptionalLong;

import org.junit.jupiter.api.Test;

import static org.assertj.core.api.Assertions.assertThat;

class NewMessageTest {

    private static NewMessage with(String address, String subject, String body) {
        return new NewMessage(Purpose.ALARM, OptionalLong.empty(), OptionalLong.empty(), 1, address, subject, body, MessageFixture.NOW);
    }

    @Test
    void lineBreakInSubjectOrAddressCannotStartAHeader() {
        NewMessage message = with("a@quay.example\r\nBcc: b@quay.example", "Stair\r\nBcc: c@quay.example\rX: y\u0000", "");

        assertThat(message.address()).isEqualTo("a@quay.example Bcc: b@quay.example");
        assertThat(message.subject()).isEqualTo("Stair Bcc: c@quay.example X: y");
    }

    @Test
    void bodyKeepsItsLinesAndLosesWhatNoDatabaseTakes() {
        assertThat(with("", "", "one\r\ntwo\n\tthree\u0000\uD83D").body()).isEqualTo("one\ntwo\n\tthree ?");
    }

    @Test
    void whatIsTooLongIsCutToItsColumn() {
        NewMessage message = with("a".repeat(401), "b".repeat(401), "😀".repeat(500_001));

        assertThat(message.address()).hasSize(400);
        assertThat(message.subject()).hasSize(400).endsWith("b…");
        assertThat(message.body()).hasSizeLessThanOrEqualTo(1_000_000).endsWith("😀…");
    }

    @Test
    void whatIsLoggedHoldsNeitherAddressNorLink() {
        assertThat(with("a@quay.example", "subject", "http://localhost/a/token")).hasToString(
                "NewMessage[ALARM, callOutId=OptionalLong.empty, alarmId=OptionalLong.empty, personId=1]");
    }
}
