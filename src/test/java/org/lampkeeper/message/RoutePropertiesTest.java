package org.lampkeeper.message;

import java.util.List;

import net.jqwik.api.Arbitraries;
import net.jqwik.api.Arbitrary;
import net.jqwik.api.ForAll;
import net.jqwik.api.Property;
import net.jqwik.api.Provide;

import static org.assertj.core.api.Assertions.assertThat;
import static org.lampkeeper.message.MessageFixture.NOW;
import static org.lampkeeper.message.RouteTest.LIFE;

/** What holds for whatever channels somebody has, in whatever order, proven or not. */
class RoutePropertiesTest {

    @Property
    void alarmGoesByAProvenChannelIfThereIsOneAndNeverByNothing(@ForAll("people") String channels) {
        List<PersonChannel> inOrder = RouteTest.channels(channels);

        List<PersonChannel> first = Route.first(Purpose.ALARM, inOrder, LIFE, NOW);

        assertThat(first).isNotEmpty().isEqualTo(inOrder.subList(0, first.size()));
        boolean hasProven = inOrder.stream().anyMatch(it -> Route.isProven(it, LIFE, NOW));
        assertThat(first.stream().anyMatch(it -> Route.isProven(it, LIFE, NOW))).isEqualTo(hasProven);
        assertThat(first.size() == inOrder.size() || "PR".indexOf(channels.charAt(first.size() - 1)) >= 0).isTrue();
        assertThat(Route.first(Purpose.NOTICE, inOrder, LIFE, NOW)).hasSize(1);
    }

    @Provide
    Arbitrary<String> people() {
        return Arbitraries.strings().withChars("PUOSR").ofMinLength(1).ofMaxLength(8);
    }
}
