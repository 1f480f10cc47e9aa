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

import jakarta.inject.Singleton;

/**
 * The same links in fewer characters, for a message that must fit into one part: a short token leads to the long one of the same alarm,
 * person and end, and to nothing else. Signed with the same keys. Safe for use by many threads.
 *
 * <p>A token is the URL-safe Base64 of {@code key id | alarm | person | end in seconds | MAC}, each number in as few bytes as it takes, where
 * MAC is the beginning of HMAC-SHA-256 over {@link #PURPOSE} and what stands before it. About 27 characters, no padding.
 */
@Singleton
public class ShortLinks {

    /** No long token begins so: neither kind can be used for the other. */
    private static final byte[] PURPOSE = "short link".getBytes(StandardCharsets.US_ASCII);
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
        return issue(links.keys().newest(), alarmId, personId, end.getEpochSecond());
    }

    private static String issue(KeyFile.Key key, long alarmId, long personId, long end) {
        ByteArrayOutputStream written = new ByteArrayOutputStream();
        for (long number : new long[] {key.id(), alarmId, personId, end}) {
            write(written, number);
        }
        byte[] fields = written.toByteArray();
        byte[] signed = ByteBuffer.allocate(PURPOSE.length + fields.length).put(PURPOSE).put(fields).array();
        int macBytes = (fields.length + MAC_BYTES) % 3 == 0 ? MAC_BYTES + 1 : MAC_BYTES;
        written.writeBytes(Arrays.copyOf(LinkTokens.mac(key, signed), macBytes));
        return Base64.getUrlEncoder().withoutPadding().encodeToString(written.toByteArray());
    }

    /** The long token, of one that has ended too; empty for what we did not issue. */
    public Optional<String> full(String token) {
        if (token.length() > LONGEST) {
            return Optional.empty();
        }
        try {
            ByteBuffer bytes = ByteBuffer.wrap(Base64.getUrlDecoder().decode(token));
            long keyId = read(bytes);
            long alarmId = read(bytes);
            long personId = read(bytes);
            long end = read(bytes);
            return keyId > Integer.MAX_VALUE ? Optional.empty() : links.keys().find((int) keyId)
                    .filter(key -> MessageDigest.isEqual(issue(key, alarmId, personId, end).getBytes(StandardCharsets.US_ASCII),
                            token.getBytes(StandardCharsets.US_ASCII)))
                    .map(key -> links.issue(alarmId, personId, Instant.ofEpochSecond(end)));
        } catch (IllegalArgumentException | BufferUnderflowException notOurs) {
            return Optional.empty();
        }
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
