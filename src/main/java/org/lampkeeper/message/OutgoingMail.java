package org.lampkeeper.message;

import java.util.List;
import java.util.Optional;
import java.util.OptionalLong;
import java.util.regex.Pattern;
import java.util.stream.Collectors;

import io.vertx.core.MultiMap;
import io.vertx.core.buffer.Buffer;
import io.vertx.core.http.HttpHeaders;
import io.vertx.ext.mail.MailAttachment;
import io.vertx.ext.mail.MailMessage;

import org.lampkeeper.journal.Head;

/**
 * A message with everything a mail says about itself. Both channels write it from here, so a file shows exactly what SMTP would carry.
 *
 * @param base    what our own addresses begin with, up to a slash
 * @param bounces the mailbox to which it returns when it cannot be delivered; none: to the sender
 * @param picture shown by programs that show a page, and told in words by all
 * @param paper   to be opened and kept; what is of account in it is told in words
 */
record OutgoingMail(OutgoingMessage message, String from, String base, Optional<String> bounces, Head journal, Optional<MailPicture> picture, Optional<MailPaper> paper) {

    /** One address, without a name, and nothing that a mail program could take for two; quoted local parts are not used by anybody. */
    private static final Pattern ADDRESS = Pattern.compile("[^\\s@,;:<>()\"\\[\\]\\\\]+@[^\\s@,;:<>()\"\\[\\]\\\\]+");

    /** How a letter sets off its foot. */
    private static final String FOOT = "\n-- \n";

    // RFC 5322, section 2.1.1, without the line's end.
    private static final int LONGEST_LINE = 998;
    /** At a space where there is one, and in the middle of a word where there is none. */
    private static final Pattern OVERLONG = Pattern.compile("(.{1," + LONGEST_LINE + "})(?: |$)|(.{" + LONGEST_LINE + "})");

    /** Whether the address is one at all. The client would take an empty one for no recipient, and call a mail to nobody sent. */
    boolean isAddressed() {
        return isAddress(message.address());
    }

    static boolean isAddress(String text) {
        return ADDRESS.matcher(text).matches();
    }

    /** Words alone. */
    OutgoingMail(OutgoingMessage message, String from, String base, Optional<String> bounces, Head journal) {
        this(message, from, base, bounces, journal, Optional.empty(), Optional.empty());
    }

    OutgoingMail with(Optional<MailPicture> drawn, Optional<MailPaper> made) {
        return new OutgoingMail(message, from, base, bounces, journal, drawn, made);
    }

    /** Headers that stay the same however often the mail is sent, except for the journal's head, which is the newest. */
    MailMessage asMime() {
        String host = host();
        MultiMap headers = HttpHeaders.headers()
                .set("Message-ID", "<" + message.key() + "@" + host + ">")
                // RFC 3834: no holiday answer, and no loop with another machine.
                .set("Auto-Submitted", "auto-generated")
                .set("X-Lampkeeper-Journal", journal.number() + " " + journal.hash());
        conversation(message.callOutId(), host, headers);
        MailMessage mail = new MailMessage()
                .setFrom(from)
                .setTo(message.address())
                .setSubject(message.subject())
                .setText(folded(text()))
                .setHtml(folded(MailHtml.of(message.subject(), text(), base, picture.map(drawn -> pictureId(host)))))
                .setHeaders(headers);
        picture.ifPresent(drawn -> mail.setInlineAttachment(List.of(MailAttachment.create().setContentType("image/png").setName("temperatures.png")
                .setDisposition("inline").setContentId("<" + pictureId(host) + ">").setData(Buffer.buffer(drawn.png())))));
        paper.ifPresent(made -> mail.setAttachment(List.of(MailAttachment.create().setContentType("application/pdf").setName(made.name())
                .setDisposition("attachment").setData(Buffer.buffer(made.pdf())))));
        // The envelope's sender only: nobody who answers the mail writes to it.
        bounces.ifPresent(box -> mail.setBounceAddress(box.replace("@", "+" + message.key() + "@")));
        return mail;
    }

    /** Every mail of one call-out answers the same, never sent, first one: a mail program then shows them together. */
    private static void conversation(OptionalLong callOutId, String host, MultiMap headers) {
        if (callOutId.isPresent()) {
            String first = "<callout-" + callOutId.getAsLong() + "@" + host + ">";
            headers.set("In-Reply-To", first).set("References", first);
        }
    }

    /** What the message says, then what is in the picture and on the paper, then the foot. */
    private String text() {
        String sections = picture.map(drawn -> "\n" + MailHtml.PICTURE + "\n" + drawn.words() + "\n").orElse("") + paper.map(made -> "\n" + made.words()).orElse("");
        int foot = message.body().lastIndexOf(FOOT);
        return foot < 0 ? message.body() + sections : message.body().substring(0, foot) + sections + message.body().substring(foot);
    }

    /** RFC 2392: as unique as the message. */
    private String pictureId(String host) {
        return "picture." + message.key() + "@" + host;
    }

    private String host() {
        return from.replaceAll(".*@", "").replaceAll("[>\\s].*", "");
    }

    /**
     * The client leaves a text of plain letters as it is, however long its lines; a server may refuse the whole mail for one that is too
     * long, such as the labels of a thousand cabinets. A text with any other letter is folded by its encoding.
     */
    static String folded(String text) {
        if (text.chars().anyMatch(letter -> letter >= 128) || text.lines().noneMatch(line -> line.length() > LONGEST_LINE)) {
            return text;
        }
        return text.lines().map(line -> line.length() <= LONGEST_LINE ? line : OVERLONG.matcher(line).replaceAll("$1$2\n").stripTrailing())
                .collect(Collectors.joining("\n", "", "\n"));
    }
}
