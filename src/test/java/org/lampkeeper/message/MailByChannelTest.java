package org.lampkeeper.message;

import java.time.Clock;
import java.time.Duration;
import java.time.Instant;
import java.time.ZoneOffset;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.Optional;

import io.smallrye.config.SmallRyeConfigBuilder;
import io.vertx.ext.mail.MailMessage;
import org.junit.jupiter.api.Test;

import static org.assertj.core.api.Assertions.assertThat;
import static org.lampkeeper.message.MessageFixture.messageTo;

class MailByChannelTest {

    private static final String KEY = "3f0c".repeat(8);

    /** A server that takes everything. */
    private static final class Takes implements MailChannel {

        private final List<OutgoingMail> taken = new ArrayList<>();

        @Override
        public Handover handOver(OutgoingMail mail) {
            taken.add(mail);
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
        return channel(settings, new Takes(), (alarm, now) -> Optional.empty());
    }

    private static MailByChannel channel(Map<String, String> settings, Takes server, MailPictures pictures) {
        return channel(settings, server, pictures, MessageFixture.NOW);
    }

    private static MailByChannel channel(Map<String, String> settings, Takes server, MailPictures pictures, Instant now) {
        return channel(settings, server, pictures, (report, at) -> Optional.empty(), now);
    }

    private static MailByChannel channel(Map<String, String> settings, Takes server, MailPictures pictures, MailPapers papers, Instant now) {
        var config = new SmallRyeConfigBuilder().withMapping(MailConfig.class).withMapping(MessageConfig.class).addDiscoveredConverters()
                .withDefaultValues(settings).build();
        return new MailByChannel(server, config.getConfigMapping(MessageConfig.class), config.getConfigMapping(MailConfig.class), pictures, papers,
                Clock.fixed(now, ZoneOffset.UTC));
    }

    @Test
    void mailThatMayComeBackIsKnownByItsKey() {
        assertThat(channel(Map.of("lampkeeper.mail.bounces.address", "returned@watch.example")).handOver(messageTo("a@quay.example", KEY), MessageFixture.HEAD))
                .isEqualTo(new Handover.Accepted(Optional.of(KEY)));
        assertThat(channel(Map.of()).handOver(messageTo("a@quay.example", KEY), MessageFixture.HEAD)).isEqualTo(new Handover.Accepted());
    }

    @Test
    void mailShowsThePictureOfItsAlarmBehindItsWords() {
        Takes server = new Takes();
        byte[] png = {1, 2, 3};

        channel(Map.of(), server, (alarm, now) -> Optional.of(new MailPicture(png, "Of alarm " + alarm + " at " + now + "."))).handOver(messageTo("a@quay.example", KEY),
                MessageFixture.HEAD);

        MailMessage mail = server.taken.get(0).asMime();
        assertThat(mail.getText()).startsWith(MessageFixture.BODY).contains("IN THE PICTURE\nOf alarm 9 at " + MessageFixture.NOW + ".");
        assertThat(mail.getHtml()).contains("<img src=\"cid:picture." + KEY + "@localhost\"").contains("Of alarm 9");
        assertThat(mail.getInlineAttachment()).singleElement().satisfies(image -> assertThat(image.getData().getBytes()).isEqualTo(png));
    }

    /** A machine without the libraries for images fails in the second way. */
    @Test
    void mailGoesWithoutAPictureThatCannotBeDrawnOrIsTooLarge() {
        Takes server = new Takes();
        List<MailPictures> failing = List.of((alarm, now) -> {
            throw new IllegalStateException("no pen");
        }, (alarm, now) -> {
            throw new NoClassDefFoundError("java/awt/Pen");
        }, (alarm, now) -> Optional.of(new MailPicture(new byte[100_000], "large")));

        failing.forEach(pictures -> assertThat(channel(Map.of(), server, pictures).handOver(messageTo("a@quay.example", KEY), MessageFixture.HEAD))
                .isEqualTo(new Handover.Accepted()));

        assertThat(server.taken).hasSize(3).allSatisfy(mail -> {
            assertThat(mail.asMime().getText()).isEqualTo(MessageFixture.BODY);
            assertThat(mail.asMime().getInlineAttachment()).isNull();
        });
    }

    /** Of hundreds of mails at once the last must not wait for the pictures of the others. */
    @Test
    void mailThatIsLateGoesWithoutAPicture() {
        Takes server = new Takes();
        MailPictures drawn = (alarm, now) -> Optional.of(new MailPicture(new byte[10], "drawn"));

        channel(Map.of(), server, drawn, MessageFixture.NOW.plusSeconds(30)).handOver(messageTo("a@quay.example", KEY), MessageFixture.HEAD);
        channel(Map.of(), server, drawn, MessageFixture.NOW.plusSeconds(31)).handOver(messageTo("a@quay.example", KEY), MessageFixture.HEAD);

        assertThat(server.taken).extracting(mail -> mail.picture().isPresent()).containsExactly(true, false);
    }

    /** However late it is; and one that cannot be made leaves the words, which say where it can be read. */
    @Test
    void mailCarriesThePaperOfItsMonthBehindItsWords() {
        Takes server = new Takes();
        byte[] pdf = {37, 80, 68, 70};
        OutgoingMessage message = MessageFixture.carrying(messageTo("a@quay.example", KEY), 4);

        channel(Map.of(), server, (alarm, now) -> Optional.empty(), (report, at) -> Optional.of(new MailPaper("month-" + report + ".pdf", pdf, "THE MONTH\nQuiet.\n")),
                MessageFixture.NOW.plusSeconds(90_000)).handOver(message, MessageFixture.HEAD);
        channel(Map.of(), server, (alarm, now) -> Optional.empty(), (report, at) -> {
            throw new IllegalStateException("no paper left");
        }, MessageFixture.NOW).handOver(message, MessageFixture.HEAD);

        MailMessage mail = server.taken.get(0).asMime();
        assertThat(mail.getText()).startsWith(MessageFixture.BODY).endsWith("THE MONTH\nQuiet.\n");
        assertThat(mail.getAttachment()).singleElement().satisfies(paper -> {
            assertThat(paper.getName()).isEqualTo("month-4.pdf");
            assertThat(paper.getContentType()).isEqualTo("application/pdf");
            assertThat(paper.getData().getBytes()).isEqualTo(pdf);
        });
        assertThat(server.taken.get(1).asMime().getText()).isEqualTo(MessageFixture.BODY);
        assertThat(server.taken.get(1).asMime().getAttachment()).isNull();
    }
}
