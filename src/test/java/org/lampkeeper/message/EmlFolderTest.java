package org.lampkeeper.message;

import java.awt.image.BufferedImage;
import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.io.InputStream;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Duration;
import java.util.List;
import java.util.Locale;
import java.util.Optional;
import java.util.Properties;
import java.util.stream.Stream;

import javax.imageio.ImageIO;

import jakarta.mail.Session;
import jakarta.mail.internet.ContentType;
import jakarta.mail.internet.InternetAddress;
import jakarta.mail.internet.MimeMessage;

import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

import org.lampkeeper.register.BoardSheet;
import org.lampkeeper.testing.MailParts;

import static org.assertj.core.api.Assertions.assertThat;
import static org.lampkeeper.message.MessageFixture.mailTo;

class EmlFolderTest {

    @TempDir
    Path parent;

    @Test
    void fileIsAMailThatAMailProgramReads() throws Exception {
        assertThat(folder().handOver(mailTo("m.teal@quay.example"))).isEqualTo(new Handover.Accepted());

        MimeMessage mail = read(parent.resolve("outgoing").resolve(files().get(0)));
        assertThat(mail.getSubject()).isEqualTo(MessageFixture.SUBJECT);
        assertThat(mail.getContentType()).startsWith("multipart/alternative");
        assertThat(MailParts.text(mail).strip()).isEqualTo(MessageFixture.BODY.strip());
        assertThat(MailParts.html(mail)).contains("8.9 °C — Ærø quay.").contains(">Take it</a>");
        assertThat(mail.getAllRecipients()).containsExactly(new InternetAddress("m.teal@quay.example"));
        assertThat(mail.getMessageID()).isEqualTo("<" + "3f0c".repeat(8) + "@watch.example>");
        assertThat(mail.getHeader("X-Lampkeeper-Journal")).containsExactly("4711 " + "8c".repeat(32));
    }

    @Test
    void nameSortsByTimeAndSaysWhoAndWhich() throws IOException {
        folder().handOver(mailTo("m.teal@quay.example"));

        assertThat(files()).containsExactly("20261125T024120Z-metis-teal-" + "3f0c".repeat(8) + ".eml");
    }

    @Test
    void repeatReplacesTheFileAndLeavesNothingElse() throws IOException {
        folder().handOver(mailTo("m.teal@quay.example"));
        folder().handOver(mailTo("m.teal@quay.example"));

        assertThat(files()).hasSize(1);
    }

    @Test
    void plainViewerShowsTheTextAsItIs() throws Exception {
        folder().handOver(mailTo("m.teal@quay.example"));

        String raw = Files.readString(parent.resolve("outgoing").resolve(files().get(0)));
        assertThat(raw).contains(MessageFixture.BODY.replace("\n", "\r\n")).contains("8.9 °C — Ærø quay.");
        assertThat(raw.toLowerCase(Locale.ROOT)).doesNotContain("base64", "=c2=b0");
    }

    @Test
    void realLetterNamesItsBoardInTheRawFile() throws Exception {
        BoardSheet board = new BoardSheet(5, 3, "North Stair", "Kälte — 4 °C", "quay kiosk", "key 7", 0);
        LetterFacts facts = LetterFixture.supplyLost();
        String text = AlarmLetter.compose(new LetterFacts(facts.kind(), new LetterFacts.OfCabinet(LetterFixture.cabinet("North Stair 2", "NS2",
                "4", board)), facts.since(), facts.now(), Optional.empty(), Optional.empty(), List.of(), Optional.empty(), LetterFixture.LINK,
                LetterFixture.HEAD)).body();

        folder().handOver(mailOf(text));

        Path file = parent.resolve("outgoing").resolve(files().get(0));
        assertThat(Files.readString(file)).contains("Kälte — 4 °C");
        assertThat(MailParts.text(read(file)).strip()).isEqualTo(text.strip());
    }

    @Test
    void lineTooLongForAMailIsFoldedAndReadBackWhole() throws Exception {
        String text = "Board Ærø °".repeat(200) + "\nand a second line\n";

        folder().handOver(mailOf(text));

        Path file = parent.resolve("outgoing").resolve(files().get(0));
        assertThat(Files.readString(file).split("\r\n")).allSatisfy(line -> assertThat(line.length()).isLessThanOrEqualTo(998));
        assertThat(MailParts.text(read(file)).strip()).isEqualTo(text.strip());
    }

    @Test
    void headersArePlainAsciiLineEndsAreTheNetworksAndNoLineIsTooLong() throws IOException {
        folder().handOver(mailTo("m.teal@quay.example"));

        String text = Files.readString(parent.resolve("outgoing").resolve(files().get(0)));
        assertThat(text.split("\r\n\r\n", 2)[0]).matches("(?s)\\p{ASCII}*");
        assertThat(text.replace("\r\n", "")).doesNotContain("\n", "\r");
        // RFC 5322, section 2.1.1
        assertThat(text.split("\r\n")).allSatisfy(line -> assertThat(line.length()).isLessThanOrEqualTo(998));
    }

    /** RFC 2046, section 5.1.1: without the last boundary some programs take the mail for one that was cut. */
    @ParameterizedTest
    @ValueSource(ints = {1, 200})
    void fileEndsWithTheBoundaryThatClosesItsParts(int words) throws Exception {
        folder().handOver(mailOf("Board Ærø °".repeat(words) + "\n"));

        String raw = Files.readString(parent.resolve("outgoing").resolve(files().get(0)));
        String boundary = new ContentType(read(parent.resolve("outgoing").resolve(files().get(0))).getContentType()).getParameter("boundary");
        assertThat(raw.strip()).endsWith("\r\n--" + boundary + "--");
    }

    @Test
    void pictureIsInTheFileBehindTheWords() throws Exception {
        ByteArrayOutputStream png = new ByteArrayOutputStream();
        ImageIO.write(new BufferedImage(7, 5, BufferedImage.TYPE_INT_RGB), "png", png);

        folder().handOver(mailTo("m.teal@quay.example").with(Optional.of(new MailPicture(png.toByteArray(), "A black field — 7 °C.")), Optional.empty()));

        MimeMessage mail = read(parent.resolve("outgoing").resolve(files().get(0)));
        assertThat(MailParts.types(mail)).containsExactly("text/plain", "text/html", "image/png");
        assertThat(MailParts.text(mail)).startsWith(MessageFixture.BODY).contains("A black field — 7 °C.");
        assertThat(MailParts.image(mail)).hasValueSatisfying(image -> assertThat(image.getWidth()).isEqualTo(7));
        String raw = Files.readString(parent.resolve("outgoing").resolve(files().get(0)));
        assertThat(raw.strip()).endsWith("--" + new ContentType(mail.getContentType()).getParameter("boundary") + "--");
    }

    @Test
    void folderThatCannotBeWrittenIsAnUnreachableChannel() throws IOException {
        Files.writeString(parent.resolve("outgoing"), "a file where the folder should be");

        assertThat(folder().handOver(mailTo("m.teal@quay.example"))).isInstanceOf(Handover.Unreachable.class);
    }

    private static OutgoingMail mailOf(String text) {
        OutgoingMessage like = MessageFixture.messageTo("m.teal@quay.example", "3f0c".repeat(8));
        return new OutgoingMail(new OutgoingMessage(like.id(), like.key(), like.purpose(), like.callOutId(), like.alarmId(), like.site(),
                like.cabinet(), like.personId(), like.reference(), like.name(), like.address(), like.subject(), text, like.createdAt(),
                like.attempts(), like.leasedUntil(), like.channel(), like.telling(), like.channelId(), like.brief(), like.monthReportId()), "Lampkeeper <lampkeeper@watch.example>", MessageFixture.BASE, Optional.empty(), MessageFixture.HEAD);
    }

    private EmlFolder folder() {
        return new EmlFolder(parent.resolve("outgoing"), Duration.ofSeconds(20));
    }

    private List<String> files() throws IOException {
        try (Stream<Path> files = Files.list(parent.resolve("outgoing"))) {
            return files.map(file -> file.getFileName().toString()).toList();
        }
    }

    private static MimeMessage read(Path file) throws Exception {
        try (InputStream in = Files.newInputStream(file)) {
            return new MimeMessage(Session.getInstance(new Properties()), in);
        }
    }
}
