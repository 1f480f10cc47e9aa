package org.lampkeeper.message;

import java.time.Instant;
import java.util.List;
import java.util.Optional;
import java.util.stream.Stream;

import jakarta.inject.Singleton;

import org.lampkeeper.register.Contact;

/**
 * What a channel of few words carries of a letter about an alarm, or of one that asks for a look: as much as goes into one part, a short address of the page, and, where
 * there is something to answer, the words for it. The text is shortened; its place, the address and the words never are.
 */
@Singleton
public class ShortMessages {

    private static final String WORDS = "\nReply ";

    private final ShortLinks links;
    private final SmsChannel sms;
    private final MessageConfig config;

    ShortMessages(ShortLinks links, SmsChannel sms, MessageConfig config) {
        this.links = links;
        this.sms = sms;
        this.config = config;
    }

    /** @param end the first moment at which the address is no longer good */
    public String of(Letter letter, long alarmId, long callOutId, Contact reader, Instant end) {
        Optional<String> code = Optional.of(ReplyWord.code(reader.reference(), callOutId)).filter(it -> sms.hearsReplies());
        return of(letter, config.address("s/" + links.issue(alarmId, reader.personId(), end)), code);
    }

    /**
     * That somebody is asked to look, with the words for an answer where what they send back is heard.
     *
     * @param words    one sentence
     * @param isOfLamp whether a word says it all; of anything else there is more to be asked
     * @param end      as above
     */
    public String ofLook(String words, boolean isOfLamp, long dueId, Contact reader, Instant end) {
        String answer = isOfLamp && sms.hearsReplies() ? WORDS + LookWord.both(ReplyWord.code(reader.reference(), dueId)) : "";
        return ShortText.fitting(List.of(words), "\n" + config.address("s/" + links.issueForLook(dueId, reader.personId(), end)) + answer);
    }

    /** @param code of the call-out towards the reader; empty where nobody hears what they send back */
    static String of(Letter letter, String address, Optional<String> code) {
        String words = code.filter(it -> letter.isAnswerable()).map(it -> WORDS + ReplyWord.both(it)).orElse("");
        return ShortText.fitting(Stream.concat(Stream.of(letter.subject()), letter.shorter().stream()).toList(), "\n" + address + words);
    }

    /** The same in one line, for a way by which nothing comes back: without the words for an answer. */
    static String inOneLine(String brief) {
        int words = brief.lastIndexOf(WORDS);
        return (words < 0 ? brief : brief.substring(0, words)).replace('\n', ' ');
    }
}
