package org.lampkeeper.message;

import java.io.ByteArrayOutputStream;
import java.nio.BufferUnderflowException;
import java.nio.ByteBuffer;
import java.nio.charset.StandardCharsets;
import java.security.MessageDigest;
import java.time.Instant;
import java.util.Arrays;
import java.util.Base64;
import java.util.Optional;
import java.util.stream.Stream;

import jakarta.inject.Singleton;

/**
 * The same links in fewer characters, for a message that must fit into one part: a short token leads to the long one of the same alarm or
 * due check, person and end, and to nothing else. Signed with the same keys. Safe for use by many threads.
 *
 * <p>A token is the URL-safe Base64 of {@code key id | alarm or due check | person | end in seconds | MAC}, each number in as few bytes as it
 * takes, where MAC is the beginning of HMAC-SHA-256 over the purpose and what stands before it. About 27 characters, no padding.
 */
@Singleton
public class ShortLinks {

    /** No long token begins with these: neither kind can be used for the other, nor one purpose for another. */
    private enum Purpose {
        ALARM("short link"), LOOK("short look");

        private final byte[] bytes;

        Purpose(String words) {
            bytes = words.getBytes(StandardCharsets.US_ASCII);
        }
    }

    /**
     * 80 bits: the least that RFC 2104, section 5, allows, and it is tried over the network only. One more where the last character would
     * carry no unused bits: unused ones make it a letter or digit, which no telephone takes for the end of the sentence.
     */
    private static final int MAC_BYTES = 10;
    private static final int LONGEST = 64;

    private final LinkTokens links;

    ShortLinks(LinkTokens links) {
        this.links = links;
    }

    /** @param end the first moment at which the link is no longer good; cut to the second */
    public String issue(long alarmId, long personId, Instant end) {
        return issue(Purpose.ALARM, links.keys().newest(), alarmId, personId, end.getEpochSecond());
    }

    /** For the link of one due check. {@code end}: as above. */
    public String issueForLook(long dueId, long personId, Instant end) {
        return issue(Purpose.LOOK, links.keys().newest(), dueId, personId, end.getEpochSecond());
    }

    private static String issue(Purpose purpose, KeyFile.Key key, long subject, long personId, long end) {
        ByteArrayOutputStream written = new ByteArrayOutputStream();
        for (long number : new long[] {key.id(), subject, personId, end}) {
            write(written, number);
        }
        byte[] fields = written.toByteArray();
        byte[] signed = ByteBuffer.allocate(purpose.bytes.length + fields.length).put(purpose.bytes).put(fields).array();
        int macBytes = (fields.length + MAC_BYTES) % 3 == 0 ? MAC_BYTES + 1 : MAC_BYTES;
        written.writeBytes(Arrays.copyOf(LinkTokens.mac(key, signed), macBytes));
        return Base64.getUrlEncoder().withoutPadding().encodeToString(written.toByteArray());
    }

    /** Where the long one leads, as {@code a/…}, of one that has ended too; empty for what we did not issue. */
    public Optional<String> path(String token) {
        if (token.length() > LONGEST) {
            return Optional.empty();
        }
        try {
            ByteBuffer bytes = ByteBuffer.wrap(Base64.getUrlDecoder().decode(token));
            long keyId = read(bytes);
            long subject = read(bytes);
            long personId = read(bytes);
            long end = read(bytes);
            Optional<KeyFile.Key> key = keyId > Integer.MAX_VALUE ? Optional.empty() : links.keys().find((int) keyId);
            return key.flatMap(by -> Stream.of(Purpose.values()).filter(purpose -> isSame(issue(purpose, by, subject, personId, end), token)).findFirst())
                    .map(purpose -> switch (purpose) {
                        case ALARM -> "a/" + links.issue(subject, personId, Instant.ofEpochSecond(end));
                        case LOOK -> "c/" + links.issueForLook(subject, personId, Instant.ofEpochSecond(end));
                    });
        } catch (IllegalArgumentException | BufferUnderflowException notOurs) {
            return Optional.empty();
        }
    }

    private static boolean isSame(String issued, String token) {
        return MessageDigest.isEqual(issued.getBytes(StandardCharsets.US_ASCII), token.getBytes(StandardCharsets.US_ASCII));
    }

    /** Seven bits a byte, the lowest first; the highest bit says that more follow. */
    private static void write(ByteArrayOutputStream to, long number) {
        long rest = number;
        while (rest > 0x7F) {
            to.write((int) (rest & 0x7F | 0x80));
            rest >>>= 7;
        }
        to.write((int) rest);
    }

    private static long read(ByteBuffer from) {
        long number = 0;
        for (int shift = 0; shift < Long.SIZE - 1; shift += 7) {
            byte next = from.get();
            number |= (long) (next & 0x7F) << shift;
            if (next >= 0) {
                return number;
            }
        }
        throw new IllegalArgumentException("a number that is longer than any of ours");
    }
}
