package org.lampkeeper.message;

import java.nio.ByteBuffer;
import java.nio.file.Path;
import java.security.GeneralSecurityException;
import java.security.MessageDigest;
import java.time.Instant;
import java.util.Arrays;
import java.util.Base64;
import java.util.Optional;

import javax.crypto.Mac;
import javax.crypto.spec.SecretKeySpec;

import jakarta.inject.Inject;
import jakarta.inject.Singleton;

/**
 * The tokens in the links of messages: one purpose, one subject, one person, an end; signed, not secret in content. The newest key signs, all
 * keys in the file verify (docs/link-keys.md). Safe for use by many threads.
 *
 * <p>A token is the URL-safe Base64 of {@code purpose (1) | key id (2) | subject (8) | person (8) | end in seconds (8) | MAC (16)}, where MAC is
 * the first half of HMAC-SHA-256 over everything before it. 58 characters, no padding. Never log one: {@link #masked(String)}.
 */
@Singleton
public class LinkTokens {

    /** "A person takes an alarm". Another kind of link gets another number, so that none can be used for the other. */
    private static final byte TAKE_ALARM = 1;
    /** "A provider tells what became of a message, and what its person answered". */
    private static final byte CALL_BACK = 2;
    /** "The message of a proof reached a person". */
    private static final byte PROVE_CHANNEL = 3;
    /** "A person says what they saw at a due check". */
    private static final byte SAY_WHAT_WAS_SEEN = 4;
    /** "The message of a proof test reached the person on duty". */
    private static final byte TAKE_TEST = 5;
    private static final int SIGNED_BYTES = 1 + 2 + 8 + 8 + 8;
    /** RFC 2104, section 5: at least half of the hash's length and at least 80 bits. */
    private static final int MAC_BYTES = 16;
    private static final int SHOWN_OF_MASKED = 4;

    private final KeyFile keys;

    @Inject
    LinkTokens(MessageConfig config) {
        this(KeyFile.at(Path.of(config.linkKeys())));
    }

    LinkTokens(KeyFile keys) {
        this.keys = keys;
    }

    /** @param end the first moment at which the token is no longer good; cut to the second */
    public String issue(long alarmId, long personId, Instant end) {
        return issue(TAKE_ALARM, alarmId, personId, end);
    }

    /** For the provider that carries a message to a person; of no use anywhere else. {@code end}: as above. */
    String issueForCallback(long messageId, long personId, Instant end) {
        return issue(CALL_BACK, messageId, personId, end);
    }

    /** For the link of one proof. {@code end}: as above. */
    String issueForProof(long proofId, long personId, Instant end) {
        return issue(PROVE_CHANNEL, proofId, personId, end);
    }

    /** For the link of one due check. {@code end}: as above. */
    public String issueForLook(long dueId, long personId, Instant end) {
        return issue(SAY_WHAT_WAS_SEEN, dueId, personId, end);
    }

    /** For the link of one proof test. {@code end}: as above. */
    public String issueForTest(long testId, long personId, Instant end) {
        return issue(TAKE_TEST, testId, personId, end);
    }

    private String issue(byte purpose, long subject, long personId, Instant end) {
        KeyFile.Key key = keys.newest();
        byte[] signed = ByteBuffer.allocate(SIGNED_BYTES)
                .put(purpose).putShort((short) key.id()).putLong(subject).putLong(personId).putLong(end.getEpochSecond()).array();
        byte[] token = ByteBuffer.allocate(SIGNED_BYTES + MAC_BYTES).put(signed).put(mac(key, signed)).array();
        return Base64.getUrlEncoder().withoutPadding().encodeToString(token);
    }

    /** Reads whatever stood in the link about an alarm; never throws for it. */
    public LinkReading read(String token, Instant now) {
        return read(TAKE_ALARM, token, now);
    }

    /** Reads whatever stood in the link of a proof; never throws for it. */
    LinkReading readForProof(String token, Instant now) {
        return read(PROVE_CHANNEL, token, now);
    }

    /** Reads whatever stood in the link of a due check; never throws for it. */
    public LinkReading readForLook(String token, Instant now) {
        return read(SAY_WHAT_WAS_SEEN, token, now);
    }

    /** Reads whatever stood in the link of a proof test; never throws for it. */
    public LinkReading readForTest(String token, Instant now) {
        return read(TAKE_TEST, token, now);
    }

    private LinkReading read(byte purpose, String token, Instant now) {
        Optional<Signed> read = read(purpose, token);
        if (read.isEmpty()) {
            return new LinkReading.NotOurs();
        }
        Signed link = read.get();
        return now.isBefore(link.end()) ? new LinkReading.Valid(link.subject(), link.personId(), link.end())
                : new LinkReading.Expired(link.subject(), link.personId(), link.end());
    }

    /** Reads whatever stood in the address of a callback; empty where it is none of ours. Whether it has ended is for the caller to see. */
    Optional<Signed> readCallback(String token) {
        return read(CALL_BACK, token);
    }

    /** @param end the first moment at which the token is no longer good */
    record Signed(long subject, long personId, Instant end) {
    }

    private Optional<Signed> read(byte purpose, String token) {
        Optional<byte[]> decoded = decode(token);
        if (decoded.isEmpty()) {
            return Optional.empty();
        }
        byte[] signed = Arrays.copyOf(decoded.get(), SIGNED_BYTES);
        byte[] given = Arrays.copyOfRange(decoded.get(), SIGNED_BYTES, SIGNED_BYTES + MAC_BYTES);
        ByteBuffer fields = ByteBuffer.wrap(signed);
        byte found = fields.get();
        Optional<KeyFile.Key> key = keys.find(Short.toUnsignedInt(fields.getShort()));
        if (key.isEmpty() || !MessageDigest.isEqual(mac(key.get(), signed), given) || found != purpose) {
            return Optional.empty();
        }
        return Optional.of(new Signed(fields.getLong(), fields.getLong(), Instant.ofEpochSecond(fields.getLong())));
    }

    /** Enough of a token to find it again, too little to use it. */
    public static String masked(String token) {
        return token.substring(0, Math.min(SHOWN_OF_MASKED, token.length())) + "…";
    }

    private static Optional<byte[]> decode(String token) {
        if (token.length() != (SIGNED_BYTES + MAC_BYTES) * 4 / 3 + 1) {
            return Optional.empty();
        }
        try {
            byte[] bytes = Base64.getUrlDecoder().decode(token);
            // The last character carries unused bits: only the one spelling that we issue is ours.
            boolean asIssued = Base64.getUrlEncoder().withoutPadding().encodeToString(bytes).equals(token);
            return asIssued && bytes.length == SIGNED_BYTES + MAC_BYTES ? Optional.of(bytes) : Optional.empty();
        } catch (IllegalArgumentException notBase64) {
            return Optional.empty();
        }
    }

    KeyFile keys() {
        return keys;
    }

    static byte[] mac(KeyFile.Key key, byte[] signed) {
        try {
            Mac mac = Mac.getInstance("HmacSHA256");
            mac.init(new SecretKeySpec(key.secret(), "HmacSHA256"));
            return Arrays.copyOf(mac.doFinal(signed), MAC_BYTES);
        } catch (GeneralSecurityException impossible) {
            throw new IllegalStateException("every Java platform must provide HmacSHA256", impossible);
        }
    }
}
