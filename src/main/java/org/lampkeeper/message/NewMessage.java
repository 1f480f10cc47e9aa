package org.lampkeeper.message;

import java.nio.charset.StandardCharsets;
import java.time.Instant;
import java.util.Optional;
import java.util.OptionalLong;

/**
 * A message to be sent. Nothing in it is refused here, because the transaction that tells also records the loss: what is too long is cut,
 * what no mail may hold is dropped, and an address that cannot be used becomes a failed delivery, which is visible.
 *
 * @param callOutId the conversation it belongs to; none for what concerns no call-out
 * @param address   of the person; empty where {@link Outbox#tell} finds it
 * @param subject   one line, at most 400 characters
 * @param body      plain text, at most 1,000,000 characters, lines ended by {@code \n}
 * @param brief     the same in few words, for a channel that carries no more than a line; at most 1,000 characters
 * @param monthReportId the report whose paper it carries; none for any other
 * @param now       it is due from here on
 */
public record NewMessage(Purpose purpose, OptionalLong callOutId, OptionalLong alarmId, long personId, String address, String subject,
        String body, Optional<String> brief, OptionalLong monthReportId, Instant now) {

    // Widths of the columns.
    private static final int LONGEST_ADDRESS = 400;
    private static final int LONGEST_SUBJECT = 400;
    private static final int LONGEST_BODY = 1_000_000;
    private static final int LONGEST_BRIEF = 1000;

    public NewMessage {
        address = cut(clean(address).replace('\n', ' ').strip(), LONGEST_ADDRESS);
        subject = cut(clean(subject).replace('\n', ' ').strip(), LONGEST_SUBJECT);
        body = cut(clean(body), LONGEST_BODY);
        brief = brief.map(words -> cut(clean(words), LONGEST_BRIEF));
    }

    /** One without a paper. */
    public NewMessage(Purpose purpose, OptionalLong callOutId, OptionalLong alarmId, long personId, String address, String subject, String body,
            Optional<String> brief, Instant now) {
        this(purpose, callOutId, alarmId, personId, address, subject, body, brief, OptionalLong.empty(), now);
    }

    /** A letter, for a channel that carries all of it. */
    public NewMessage(Purpose purpose, OptionalLong callOutId, OptionalLong alarmId, long personId, String address, String subject, String body,
            Instant now) {
        this(purpose, callOutId, alarmId, personId, address, subject, body, Optional.empty(), now);
    }

    /** The same to another address of the person. */
    NewMessage to(String other) {
        return new NewMessage(purpose, callOutId, alarmId, personId, other, subject, body, brief, monthReportId, now);
    }

    /** Without control characters (a line break would start a header of the caller's choice) and without what has no UTF-8 form. */
    private static String clean(String text) {
        if (isClean(text)) {
            return text;
        }
        String wellFormed = new String(text.getBytes(StandardCharsets.UTF_8), StandardCharsets.UTF_8);
        return wellFormed.replace("\r\n", "\n").replaceAll("[\\p{Cntrl}&&[^\n\t]]", " ");
    }

    /** Almost every text is, and looks are asked for by the hundred thousand. */
    private static boolean isClean(String text) {
        return text.chars().allMatch(each -> each == '\n' || each == '\t' || (each >= ' ' && each != '\u007f' && !Character.isSurrogate((char) each)));
    }

    private static String cut(String text, int most) {
        if (text.length() <= most) {
            return text;
        }
        int end = Character.isHighSurrogate(text.charAt(most - 2)) ? most - 2 : most - 1;
        return text.substring(0, end) + "…";
    }

    /** Without address and body: they hold who it is and the link to take the alarm. */
    @Override
    public String toString() {
        return "NewMessage[" + purpose + ", callOutId=" + callOutId + ", alarmId=" + alarmId + ", personId=" + personId + "]";
    }
}
