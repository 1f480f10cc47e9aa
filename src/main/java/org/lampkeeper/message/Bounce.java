package org.lampkeeper.message;

import java.io.IOException;
import java.io.InputStream;
import java.nio.charset.StandardCharsets;
import java.util.Enumeration;
import java.util.List;
import java.util.Locale;
import java.util.Optional;
import java.util.regex.Matcher;
import java.util.regex.Pattern;

import jakarta.mail.Header;
import jakarta.mail.MessagingException;
import jakarta.mail.Multipart;
import jakarta.mail.Part;
import jakarta.mail.internet.MimeMessage;

/**
 * What a mail server says about a mail that it had taken: a delivery status notification (RFC 3464). Anything else, such as the answer of
 * somebody on holiday, is none.
 *
 * @param key    of the message it is about
 * @param isLost it will not get there; else it is only late
 * @param status of RFC 3463, such as 5.1.1; without addresses
 */
record Bounce(String key, boolean isLost, String status) {

    private static final Pattern TAGGED = Pattern.compile("[^\\s<,]+\\+([0-9a-f]{32})@");
    private static final Pattern OUR_ID = Pattern.compile("(?im)^Message-ID:\\s*<([0-9a-f]{32})@");
    private static final Pattern ACTION = Pattern.compile("(?im)^Action:\\s*([a-z]+)");
    private static final Pattern STATUS = Pattern.compile("(?im)^Status:\\s*([245]\\.\\d{1,3}\\.\\d{1,3})");
    private static final List<String> WHERE_IT_CAME = List.of("to", "delivered-to", "x-original-to", "envelope-to");
    // Ours: enough for the report and the headers of the mail that came back.
    private static final int MOST_BYTES = 64 * 1024;

    /** Empty for what is no such notification, or is about no mail of ours, or only says that all is well. */
    static Optional<Bounce> of(MimeMessage mail) throws MessagingException, IOException {
        if (!mail.isMimeType("multipart/report") || !(mail.getContent() instanceof Multipart parts)) {
            return Optional.empty();
        }
        Optional<String> key = tagged(mail);
        Optional<String> report = Optional.empty();
        for (int i = 0; i < parts.getCount(); i++) {
            Part part = parts.getBodyPart(i);
            if (part.isMimeType("message/delivery-status")) {
                report = Optional.of(text(part));
            } else if (key.isEmpty() && (part.isMimeType("message/rfc822") || part.isMimeType("text/rfc822-headers"))) {
                Matcher id = OUR_ID.matcher(text(part));
                key = id.find() ? Optional.of(id.group(1)) : Optional.empty();
            }
        }
        String about = key.orElse("");
        return report.filter(said -> !about.isEmpty()).flatMap(said -> read(about, said));
    }

    private static Optional<Bounce> read(String key, String report) {
        Matcher action = ACTION.matcher(report);
        String found = action.find() ? action.group(1).toLowerCase(Locale.ROOT) : "";
        if (!found.equals("failed") && !found.equals("delayed")) {
            return Optional.empty();
        }
        Matcher status = STATUS.matcher(report);
        return Optional.of(new Bounce(key, found.equals("failed"), status.find() ? status.group(1) : "no status"));
    }

    private static Optional<String> tagged(MimeMessage mail) throws MessagingException {
        for (Enumeration<Header> headers = mail.getAllHeaders(); headers.hasMoreElements();) {
            Header header = headers.nextElement();
            Matcher tag = TAGGED.matcher(header.getValue());
            if (WHERE_IT_CAME.contains(header.getName().toLowerCase(Locale.ROOT)) && tag.find()) {
                return Optional.of(tag.group(1));
            }
        }
        return Optional.empty();
    }

    private static String text(Part part) throws MessagingException, IOException {
        try (InputStream in = part.getInputStream()) {
            return new String(in.readNBytes(MOST_BYTES), StandardCharsets.ISO_8859_1);
        }
    }
}
