package org.lampkeeper.message;

import java.io.ByteArrayInputStream;
import java.net.InetAddress;
import java.net.ServerSocket;
import java.nio.charset.StandardCharsets;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.Optional;

import jakarta.mail.MessagingException;
import jakarta.mail.Session;
import jakarta.mail.internet.MimeMessage;

import com.icegreen.greenmail.user.GreenMailUser;
import com.icegreen.greenmail.util.GreenMail;
import com.icegreen.greenmail.util.ServerSetup;
import io.smallrye.config.SmallRyeConfigBuilder;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

/** A real IMAP server, and notifications as RFC 3464 shows them, with our addresses. */
class BounceMailboxTest {

    private static final String KEY = "3f0c".repeat(8);
    private static final String REPORT = """
            From: Mail Delivery Subsystem <MAILER-DAEMON@mail.example>
            To: <%1$s>
            Subject: Returned mail
            MIME-Version: 1.0
            Content-Type: multipart/report; report-type=delivery-status; boundary="=_part"

            --=_part
            Content-Type: text/plain

            The mail could not be delivered.

            --=_part
            Content-Type: message/delivery-status

            Reporting-MTA: dns; mail.example

            Final-Recipient: rfc822;m.teal@quay.example
            Action: %2$s
            Status: %3$s
            Diagnostic-Code: smtp; 550 <m.teal@quay.example> unknown

            --=_part
            Content-Type: text/rfc822-headers

            Message-ID: <%4$s@watch.example>
            Subject: North Stair 2

            --=_part--
            """;

    private final List<String> lost = new ArrayList<>();
    private GreenMail server;
    private GreenMailUser box;

    @BeforeEach
    void startServer() throws Exception {
        try (ServerSocket free = new ServerSocket(0, 1, InetAddress.getLoopbackAddress())) {
            ServerSetup imap = new ServerSetup(free.getLocalPort(), "127.0.0.1", ServerSetup.PROTOCOL_IMAP);
            imap.setServerStartupTimeout(10_000);
            server = new GreenMail(imap);
        }
        server.start();
        box = server.setUser("returned@watch.example", "returned", "a secret of ours");
    }

    @AfterEach
    void stopServer() {
        server.stop();
    }

    private BounceMailbox mailbox() {
        return mailbox((key, reason) -> lost.add(key + " " + reason));
    }

    private BounceMailbox mailbox(BounceMailbox.Bounced bounced) {
        MailConfig config = new SmallRyeConfigBuilder().withMapping(MailConfig.class).addDiscoveredConverters()
                .withDefaultValues(Map.of("lampkeeper.mail.bounces.imap-host", "127.0.0.1", "lampkeeper.mail.bounces.imap-port",
                        Integer.toString(server.getImap().getPort()), "lampkeeper.mail.bounces.imap-tls", "false",
                        "lampkeeper.mail.bounces.imap-user", "returned", "lampkeeper.mail.bounces.imap-password", "a secret of ours"))
                .build().getConfigMapping(MailConfig.class);
        return new BounceMailbox(config.bounces(), bounced);
    }

    private void comesBack(String mail) throws MessagingException {
        box.deliver(mime(mail));
    }

    private static MimeMessage mime(String mail) throws MessagingException {
        return new MimeMessage(Session.getInstance(System.getProperties()), new ByteArrayInputStream(mail.replace("\n", "\r\n").getBytes(StandardCharsets.UTF_8)));
    }

    private int left() throws MessagingException {
        return server.getReceivedMessages().length;
    }

    @Test
    void mailThatCameBackIsToldOnceAndWithoutAddresses() throws Exception {
        comesBack(REPORT.formatted("returned+" + KEY + "@watch.example", "failed", "5.1.1", "other"));

        assertThat(mailbox().read()).isOne();
        assertThat(mailbox().read()).isZero();

        assertThat(lost).containsExactly(KEY + " came back: 5.1.1");
        assertThat(left()).isZero();
    }

    @Test
    void mailThatIsLateIsNotLost() throws Exception {
        comesBack(REPORT.formatted("returned+" + KEY + "@watch.example", "delayed", "4.4.7", KEY));

        assertThat(mailbox().read()).isZero();
        assertThat(lost).isEmpty();
    }

    @Test
    void serverThatDropsWhatStandsAfterThePlusIsUnderstoodByTheMailItReturns() throws Exception {
        comesBack(REPORT.formatted("returned@watch.example", "failed", "5.2.1", KEY));

        mailbox().read();

        assertThat(lost).containsExactly(KEY + " came back: 5.2.1");
    }

    /** RFC 3834: somebody on holiday has the mail all the same. */
    @Test
    void answerOfAMachineIsNoBounceAndStaysForPeople() throws Exception {
        comesBack("From: m.teal@quay.example\nTo: returned+" + KEY + "@watch.example\nAuto-Submitted: auto-replied\nSubject: Away\n\nI am away. Action: failed\n");
        comesBack(REPORT.formatted("somebody@watch.example", "failed", "5.1.1", "somebody-elses"));

        assertThat(mailbox().read()).isZero();
        assertThat(mailbox().read()).isZero();

        assertThat(lost).isEmpty();
        assertThat(left()).isEqualTo(2);
    }

    /** A report without the boundary that RFC 2046, section 5.1.1, asks for: the server cannot say what parts it has. */
    @Test
    void brokenMailIsLeftForPeopleAndDoesNotStopTheReading() throws Exception {
        comesBack("From: x@mail.example\nTo: returned+" + KEY + "@watch.example\nContent-Type: multipart/report\n\n--\0\nno part\n");
        comesBack(REPORT.formatted("returned+" + KEY + "@watch.example", "failed", "5.1.1", KEY));

        assertThat(mailbox().read()).isOne();
        assertThat(lost).hasSize(1);
        assertThat(left()).isOne();
    }

    @Test
    void bounceWhoseRecordingFailedIsReadAgain() throws Exception {
        comesBack(REPORT.formatted("returned+" + KEY + "@watch.example", "failed", "5.1.1", KEY));
        assertThatThrownBy(() -> mailbox((key, reason) -> {
            throw new IllegalStateException("the database is away");
        }).read()).hasMessage("the database is away");
        mailbox().read();

        assertThat(lost).hasSize(1);
    }

    @Test
    void whatIsNoReportIsNone() throws Exception {
        assertThat(Bounce.of(mime("To: returned+" + KEY + "@watch.example\nContent-Type: multipart/report; boundary=x\n\n--x\n\nhello\n--x--\n"))).isEqualTo(Optional.empty());
        assertThat(Bounce.of(mime(REPORT.formatted("returned+" + KEY + "@watch.example", "delivered", "2.0.0", KEY)))).isEmpty();
    }
}
