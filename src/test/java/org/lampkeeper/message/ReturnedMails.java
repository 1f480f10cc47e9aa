package org.lampkeeper.message;

import java.io.ByteArrayInputStream;
import java.net.InetAddress;
import java.net.ServerSocket;
import java.nio.charset.StandardCharsets;
import java.util.Map;

import jakarta.mail.MessagingException;
import jakarta.mail.Session;
import jakarta.mail.internet.MimeMessage;

import com.icegreen.greenmail.user.GreenMailUser;
import com.icegreen.greenmail.util.GreenMail;
import com.icegreen.greenmail.util.ServerSetup;
import io.smallrye.config.SmallRyeConfigBuilder;

/** The mailbox of returned mails on a real IMAP server, and notifications as RFC 3464 shows them, with our addresses. */
final class ReturnedMails implements AutoCloseable {

    static final String REPORT = """
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

    private final GreenMail server;
    private final GreenMailUser box;

    ReturnedMails() throws Exception {
        try (ServerSocket free = new ServerSocket(0, 1, InetAddress.getLoopbackAddress())) {
            ServerSetup imap = new ServerSetup(free.getLocalPort(), "127.0.0.1", ServerSetup.PROTOCOL_IMAP);
            imap.setServerStartupTimeout(10_000);
            server = new GreenMail(imap);
        }
        server.start();
        box = server.setUser("returned@watch.example", "returned", "a secret of ours");
    }

    BounceMailbox mailbox(BounceMailbox.Bounced bounced) {
        MailConfig config = new SmallRyeConfigBuilder().withMapping(MailConfig.class).addDiscoveredConverters()
                .withDefaultValues(Map.of("lampkeeper.mail.bounces.imap-host", "127.0.0.1", "lampkeeper.mail.bounces.imap-port",
                        Integer.toString(server.getImap().getPort()), "lampkeeper.mail.bounces.imap-tls", "false",
                        "lampkeeper.mail.bounces.imap-user", "returned", "lampkeeper.mail.bounces.imap-password", "a secret of ours"))
                .build().getConfigMapping(MailConfig.class);
        return new BounceMailbox(config.bounces(), bounced);
    }

    /** A mail of ours, as failed for good. */
    void comesBack(String key) throws MessagingException {
        comes(REPORT.formatted("returned+" + key + "@watch.example", "failed", "5.1.1", key));
    }

    void comes(String mail) throws MessagingException {
        box.deliver(mime(mail));
    }

    static MimeMessage mime(String mail) throws MessagingException {
        return new MimeMessage(Session.getInstance(System.getProperties()), new ByteArrayInputStream(mail.replace("\n", "\r\n").getBytes(StandardCharsets.UTF_8)));
    }

    /** How many mails are still in it. */
    int left() {
        return server.getReceivedMessages().length;
    }

    @Override
    public void close() {
        server.stop();
    }
}
