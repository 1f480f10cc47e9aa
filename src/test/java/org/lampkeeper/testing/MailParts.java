package org.lampkeeper.testing;

import java.io.IOException;

import jakarta.mail.BodyPart;
import jakarta.mail.MessagingException;
import jakarta.mail.Multipart;
import jakarta.mail.Part;
import jakarta.mail.internet.MimeMessage;

/** What a mail says, in each of the two ways in which it says it. */
public final class MailParts {

    private MailParts() {
    }

    /** The plain text, with line feeds. */
    public static String text(MimeMessage mail) {
        return part(mail, "text/plain");
    }

    /** The page. */
    public static String html(MimeMessage mail) {
        return part(mail, "text/html");
    }

    private static String part(MimeMessage mail, String type) {
        try {
            Part found = find(mail, type);
            return ((String) found.getContent()).replace("\r\n", "\n");
        } catch (MessagingException | IOException unreadable) {
            throw new IllegalStateException("a mail cannot be read", unreadable);
        }
    }

    private static Part find(MimeMessage mail, String type) throws MessagingException, IOException {
        if (mail.isMimeType(type)) {
            return mail;
        }
        Multipart parts = (Multipart) mail.getContent();
        for (int i = 0; i < parts.getCount(); i++) {
            BodyPart part = parts.getBodyPart(i);
            if (part.isMimeType(type)) {
                return part;
            }
        }
        throw new IllegalStateException("a mail has no part " + type + ", it is " + mail.getContentType());
    }
}
