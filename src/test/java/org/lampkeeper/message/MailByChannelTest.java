package org.lampkeeper.message;

import java.time.Duration;
import java.util.Map;
import java.util.Optional;

import io.smallrye.config.SmallRyeConfigBuilder;
import org.junit.jupiter.api.Test;

import static org.assertj.core.api.Assertions.assertThat;
import static org.lampkeeper.message.MessageFixture.messageTo;

class MailByChannelTest {

    private static final String KEY = "3f0c".repeat(8);

    /** A server that takes everything. */
    private static final class Takes implements MailChannel {

        @Override
        public Handover handOver(OutgoingMail mail) {
            return new Handover.Accepted();
        }

        @Override
        public Duration timeout() {
            return Duration.ofSeconds(20);
        }

        @Override
        public MailConfig.Transport transport() {
            return MailConfig.Transport.SMTP;
        }
    }

    private static MailByChannel channel(Map<String, String> settings) {
        var config = new SmallRyeConfigBuilder().withMapping(MailConfig.class).withMapping(MessageConfig.class).addDiscoveredConverters()
                .withDefaultValues(settings).build();
        return new MailByChannel(new Takes(), config.getConfigMapping(MessageConfig.class), config.getConfigMapping(MailConfig.class));
    }

    @Test
    void mailThatMayComeBackIsKnownByItsKey() {
        assertThat(channel(Map.of("lampkeeper.mail.bounces.address", "returned@watch.example")).handOver(messageTo("a@quay.example", KEY), MessageFixture.HEAD))
                .isEqualTo(new Handover.Accepted(Optional.of(KEY)));
        assertThat(channel(Map.of()).handOver(messageTo("a@quay.example", KEY), MessageFixture.HEAD)).isEqualTo(new Handover.Accepted());
    }
}
