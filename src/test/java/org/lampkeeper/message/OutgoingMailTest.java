package org.lampkeeper.message;

import java.util.List;
import java.util.Optional;
import java.util.OptionalLong;

import io.vertx.core.MultiMap;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.ValueSource;

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

    /** RFC 5322, section 2.1.1: no line of a mail may have more than 998 characters, and a server may refuse one that has. */
    @ParameterizedTest
    @ValueSource(strings = {" ", "x"})
    void noLineOfPlainLettersIsTooLongForAServer(String between) {
        String labels = ("H1" + between).repeat(1500).strip();
        String text = "first\n\n" + labels + "\nlast\n";

        String folded = OutgoingMail.folded(text);

        assertThat(folded.lines()).allSatisfy(line -> assertThat(line.length()).isLessThanOrEqualTo(998));
        assertThat(folded).startsWith("first\n\n").endsWith("\nlast\n");
        assertThat(folded.replaceAll("\\s", "")).isEqualTo(text.replaceAll("\\s", ""));
    }

    /** RFC 5322, section 3.6.4: what answers the same is one conversation; RFC 3834, section 5: nobody's holiday answer to it. */
    @Test
    void allMailsOfACallOutAnswerTheSameAndNoneHasTheIdOfAnother() {
        MultiMap first = headers(mail("aa".repeat(16), OptionalLong.of(5)));
        MultiMap second = headers(mail("bb".repeat(16), OptionalLong.of(5)));
        MultiMap another = headers(mail("cc".repeat(16), OptionalLong.of(6)));

        assertThat(first.get("References")).isEqualTo("<callout-5@watch.example>").isEqualTo(second.get("References"))
                .isEqualTo(first.get("In-Reply-To")).isEqualTo(second.get("In-Reply-To")).isNotEqualTo(another.get("References"));
        assertThat(List.of(first.get("Message-ID"), second.get("Message-ID"), another.get("Message-ID"))).doesNotHaveDuplicates()
                .allMatch(id -> id.matches("<[^<>@\\s]+@watch\\.example>"));
        assertThat(List.of(first, second, another)).allSatisfy(mail -> assertThat(mail.get("Auto-Submitted")).isEqualTo("auto-generated"));
    }

    @Test
    void mailOfNoCallOutAnswersNothing() {
        MultiMap headers = headers(mail("aa".repeat(16), OptionalLong.empty()));

        assertThat(headers.contains("In-Reply-To")).isFalse();
        assertThat(headers.contains("References")).isFalse();
    }

    private static MultiMap headers(OutgoingMail mail) {
        return mail.asMime().getHeaders();
    }

    private static OutgoingMail mail(String key, OptionalLong callOut) {
        OutgoingMessage like = MessageFixture.messageTo("m.teal@quay.example", key);
        return new OutgoingMail(new OutgoingMessage(like.id(), like.key(), like.purpose(), callOut, like.alarmId(), like.site(), like.cabinet(),
                like.personId(), like.reference(), like.name(), like.address(), like.subject(), like.body(), like.createdAt(), like.attempts(),
                like.leasedUntil(), like.channel(), like.telling(), like.channelId(), like.brief(), like.monthReportId()), "Lampkeeper <lampkeeper@watch.example>", MessageFixture.BASE,
                Optional.empty(), MessageFixture.HEAD);
    }
}
