package org.lampkeeper.testing;

import java.awt.image.BufferedImage;
import java.io.IOException;
import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import java.util.Optional;

import javax.imageio.ImageIO;

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

    /** The types of its parts, in order, those within others in their place. */
    public static List<String> types(MimeMessage mail) {
        try {
            return all(mail).stream().map(MailParts::type).toList();
        } catch (MessagingException | IOException unreadable) {
            throw new IllegalStateException("a mail cannot be read", unreadable);
        }
    }

    /** The image that its page shows; empty where it has none. */
    public static Optional<BufferedImage> image(MimeMessage mail) {
        try {
            for (Part part : all(mail)) {
                if (part.isMimeType("image/png")) {
                    if (!html(mail).contains("src=\"cid:" + ((BodyPart) part).getHeader("Content-ID")[0].replaceAll("[<>]", "") + "\"")) {
                        throw new IllegalStateException("the page of a mail does not show its image");
                    }
                    return Optional.of(ImageIO.read(part.getInputStream()));
                }
            }
            return Optional.empty();
        } catch (MessagingException | IOException unreadable) {
            throw new IllegalStateException("a mail cannot be read", unreadable);
        }
    }

    private static String type(Part part) {
        try {
            return part.getContentType().replaceAll(";.*", "").strip().toLowerCase(Locale.ROOT);
        } catch (MessagingException unreadable) {
            throw new IllegalStateException("a mail cannot be read", unreadable);
        }
    }

    private static String part(MimeMessage mail, String type) {
        try {
            Part found = all(mail).stream().filter(part -> type(part).equals(type)).findFirst()
                    .orElseThrow(() -> new IllegalStateException("a mail has no part " + type + ", it is " + type(mail)));
            return ((String) found.getContent()).replace("\r\n", "\n");
        } catch (MessagingException | IOException unreadable) {
            throw new IllegalStateException("a mail cannot be read", unreadable);
        }
    }

    private static List<Part> all(Part part) throws MessagingException, IOException {
        if (!(part.getContent() instanceof Multipart parts)) {
            return List.of(part);
        }
        List<Part> all = new ArrayList<>();
        for (int i = 0; i < parts.getCount(); i++) {
            all.addAll(all(parts.getBodyPart(i)));
        }
        return all;
    }
}
