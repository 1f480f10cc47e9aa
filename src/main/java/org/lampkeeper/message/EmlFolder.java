package org.lampkeeper.message;

import java.io.IOException;
import java.nio.ByteBuffer;
import java.nio.channels.FileChannel;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.StandardCopyOption;
import java.nio.file.StandardOpenOption;
import java.text.Normalizer;
import java.time.Duration;
import java.time.ZoneOffset;
import java.time.format.DateTimeFormatter;
import java.util.Locale;
import java.util.regex.Matcher;
import java.util.regex.Pattern;

import io.vertx.ext.mail.MailMessage;
import io.vertx.ext.mail.mailencoder.MailEncoder;
import org.jboss.logging.Logger;

import org.lampkeeper.message.MailConfig.Transport;

/**
 * Instead of a mail server: each mail is a file that any mail program opens. A file is there whole or not at all, also after a power cut,
 * and a repeat replaces it, since its name holds the message's key and when it was written, not when it was sent.
 */
final class EmlFolder implements MailChannel {

    private static final Logger LOG = Logger.getLogger(EmlFolder.class);
    private static final DateTimeFormatter SORTABLE = DateTimeFormatter.ofPattern("uuuuMMdd'T'HHmmss'Z'", Locale.ROOT);
    // Bytes, without the line's end: RFC 5322, section 2.1.1, and RFC 2045, section 2.8, for 8bit.
    private static final int LONGEST_LINE = 998;
    // As the encoder writes them for a text of plain letters.
    private static final String STAND_IN_HEADERS = "Content-Type: text/%s\nContent-Transfer-Encoding: 7bit\n";

    private static final Pattern BOUNDARY = Pattern.compile("boundary=\"([^\"]+)\"");

    private final Path folder;
    private final Duration timeout;

    EmlFolder(Path folder, Duration timeout) {
        this.folder = folder;
        this.timeout = timeout;
    }

    @Override
    public Handover handOver(OutgoingMail mail) {
        String name = name(mail.message());
        try {
            Files.createDirectories(folder);
            Path unfinished = folder.resolve("." + name + ".part");
            write(unfinished, withNetworkLineEnds(readable(mail)));
            Files.move(unfinished, folder.resolve(name), StandardCopyOption.ATOMIC_MOVE, StandardCopyOption.REPLACE_EXISTING);
            syncFolder();
            return new Handover.Accepted();
        } catch (IOException failed) {
            LOG.warnf(failed, "%s could not be written below %s", mail.message(), folder.toAbsolutePath());
            return new Handover.Unreachable("file could not be written: " + failed.getClass().getSimpleName());
        }
    }

    /**
     * The mail with its text as it is, in UTF-8, so that any viewer of plain text shows "8.9 °C" and not "8.9 =C2=B0C". The encoder knows
     * quoted-printable only, which SMTP needs: it is given a stand-in of plain letters, whose place the text then takes. Headers stay as
     * RFC 2047 writes them, since not every mail program takes others.
     */
    private static String readable(OutgoingMail mail) {
        MailMessage mime = mail.asMime();
        String text = mime.getText();
        String html = mime.getHtml();
        if (hasLongLine(text) || hasLongLine(html)) {
            return encoded(mime);
        }
        String key = mail.message().key();
        String encoded = encoded(mime.setText("text-of-" + key).setHtml("page-of-" + key));
        return putIn(putIn(encoded, "plain", "text-of-" + key, text), "html", "page-of-" + key, html);
    }

    /** Whole: the encoder leaves the last boundary (RFC 2046, section 5.1.1) to the SMTP client. */
    private static String encoded(MailMessage mime) {
        String open = new MailEncoder(mime, "localhost").encode();
        Matcher boundary = BOUNDARY.matcher(open);
        if (!boundary.find()) {
            throw new IllegalStateException("the encoder wrote a mail without a boundary: " + open);
        }
        return open + "--" + boundary.group(1) + "--\n";
    }

    private static boolean hasLongLine(String text) {
        return text.lines().anyMatch(line -> line.getBytes(StandardCharsets.UTF_8).length > LONGEST_LINE);
    }

    private static String putIn(String encoded, String kind, String standIn, String text) {
        String headers = STAND_IN_HEADERS.formatted(kind);
        if (!encoded.contains(headers) || !encoded.contains(standIn)) {
            throw new IllegalStateException("the encoder wrote a " + kind + " part in another way than expected: " + encoded);
        }
        return encoded.replace(headers, "Content-Type: text/" + kind + "; charset=utf-8\nContent-Transfer-Encoding: 8bit\n").replace(standIn, text);
    }

    /** The encoder ends lines with a line feed, since the SMTP client adds the rest; RFC 5322, section 2.1, wants both in a file. */
    private static String withNetworkLineEnds(String mail) {
        return mail.replace("\r\n", "\n").replace("\n", "\r\n");
    }

    private static void write(Path file, String text) throws IOException {
        try (FileChannel out = FileChannel.open(file, StandardOpenOption.CREATE, StandardOpenOption.TRUNCATE_EXISTING,
                StandardOpenOption.WRITE)) {
            ByteBuffer bytes = ByteBuffer.wrap(text.getBytes(StandardCharsets.UTF_8));
            while (bytes.hasRemaining()) {
                out.write(bytes);
            }
            out.force(true);
        }
    }

    /** The new name survives a power cut only once the folder is on the disk. Windows cannot open a folder and has no need to. */
    private void syncFolder() throws IOException {
        if (folder.getFileSystem().supportedFileAttributeViews().contains("posix")) {
            try (FileChannel opened = FileChannel.open(folder, StandardOpenOption.READ)) {
                opened.force(true);
            }
        }
    }

    /** Sorts by time; the person's name as far as plain letters can say it. */
    private static String name(OutgoingMessage message) {
        String person = Normalizer.normalize(message.name(), Normalizer.Form.NFKD).toLowerCase(Locale.ROOT)
                .replaceAll("\\p{M}", "").replaceAll("[^a-z0-9]+", "-").replaceAll("^-|-$", "");
        String shortened = person.substring(0, Math.min(person.length(), 40));
        return SORTABLE.format(message.createdAt().atOffset(ZoneOffset.UTC)) + "-" + (shortened.isEmpty() ? "person" : shortened) + "-"
                + message.key() + ".eml";
    }

    @Override
    public Duration timeout() {
        return timeout;
    }

    @Override
    public Transport transport() {
        return Transport.FILE;
    }
}
