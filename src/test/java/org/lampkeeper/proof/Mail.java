package org.lampkeeper.proof;

import java.io.ByteArrayInputStream;
import java.net.URI;
import java.util.Optional;
import java.util.Set;
import java.util.regex.Matcher;
import java.util.regex.Pattern;

import jakarta.mail.MessagingException;
import jakarta.mail.internet.MimeMessage;

import org.lampkeeper.testing.MailParts;
import org.lampkeeper.testing.WrittenCodes;

/** A mail as its receiver reads it. {@code journal}: the head of the journal that it carries, {@code number hash}. */
record Mail(String messageId, String to, String subject, String text, String journal) {

    private static final Pattern LINK = Pattern.compile("https?://[^\\s/]+/a/[A-Za-z0-9_-]+");

    static Mail of(MimeMessage mail) {
        try {
            return new Mail(mail.getHeader("Message-ID", null), mail.getHeader("To", null), mail.getSubject(),
                    MailParts.text(mail), mail.getHeader("X-Lampkeeper-Journal", null));
        } catch (MessagingException unreadable) {
            throw new IllegalStateException("a received mail cannot be read", unreadable);
        }
    }

    static Mail of(byte[] raw) {
        try {
            return of(new MimeMessage(null, new ByteArrayInputStream(raw)));
        } catch (MessagingException unreadable) {
            throw new IllegalStateException("a received mail cannot be read", unreadable);
        }
    }

    /** The link with which its receiver takes the alarm; a notice has none. */
    Optional<URI> link() {
        Matcher found = LINK.matcher(text);
        return found.find() ? Optional.of(URI.create(found.group())) : Optional.empty();
    }

    /** The labels of the cabinets that it names. */
    Set<String> labels() {
        return WrittenCodes.inLetter(text);
    }

    /** Whether it calls this person out for this cabinet. */
    boolean callsOut(String address, String cabinet) {
        return to.contains(address) && link().isPresent()
                && Pattern.compile(Pattern.quote(cabinet) + "(?!\\d)").matcher(subject + "\n" + text).find();
    }
}
