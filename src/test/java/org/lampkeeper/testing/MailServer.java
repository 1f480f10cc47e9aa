package org.lampkeeper.testing;

import java.io.IOException;
import java.io.UncheckedIOException;
import java.net.InetAddress;
import java.net.ServerSocket;
import java.util.List;
import java.util.stream.Stream;

import jakarta.mail.MessagingException;
import jakarta.mail.internet.MimeMessage;

import com.icegreen.greenmail.store.FolderException;
import com.icegreen.greenmail.util.GreenMail;
import com.icegreen.greenmail.util.ServerSetup;

/**
 * A real SMTP server on a port of its own that keeps what it accepts. One runs for all Quarkus tests ({@link #shared()}); each test
 * looks only for its own address, and whoever stops the server starts it again.
 */
public final class MailServer {

    private static final MailServer SHARED = new MailServer();

    private final ServerSetup setup = setup();
    private GreenMail server = started();

    /** The server to which mail of the application under test goes. */
    public static MailServer shared() {
        return SHARED;
    }

    private static ServerSetup setup() {
        try (ServerSocket free = new ServerSocket(0, 1, InetAddress.getLoopbackAddress())) {
            ServerSetup setup = new ServerSetup(free.getLocalPort(), "127.0.0.1", ServerSetup.PROTOCOL_SMTP);
            setup.setServerStartupTimeout(10_000);
            return setup;
        } catch (IOException failed) {
            throw new UncheckedIOException("no free port for the mail server", failed);
        }
    }

    private GreenMail started() {
        GreenMail started = new GreenMail(setup);
        started.start();
        return started;
    }

    public int port() {
        return setup.getPort();
    }

    /** Nobody listens any more; what was accepted is forgotten. */
    public synchronized void stop() {
        server.stop();
    }

    /** Listens on the same port as before. */
    public synchronized void startAgain() {
        server = started();
    }

    /** Goes on listening; what was accepted is forgotten. */
    public synchronized void forget() {
        try {
            server.purgeEmailFromAllMailboxes();
        } catch (FolderException notEmptied) {
            throw new IllegalStateException("the mail server could not forget its mails", notEmptied);
        }
    }

    /** What was accepted for this address, oldest first. */
    public synchronized List<MimeMessage> receivedBy(String address) {
        return Stream.of(server.getReceivedMessages()).filter(mail -> isTo(mail, address)).toList();
    }

    private static boolean isTo(MimeMessage mail, String address) {
        try {
            return mail.getHeader("To", ",").contains(address);
        } catch (MessagingException unreadable) {
            throw new IllegalStateException("a received mail cannot be read", unreadable);
        }
    }
}
