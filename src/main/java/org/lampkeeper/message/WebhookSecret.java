package org.lampkeeper.message;

import java.nio.charset.StandardCharsets;
import java.security.GeneralSecurityException;
import java.time.Instant;
import java.util.Base64;
import java.util.List;
import java.util.stream.Collectors;

import javax.crypto.Mac;
import javax.crypto.spec.SecretKeySpec;

/**
 * The key that a receiver shares with us, by which it knows that a webhook is ours: Standard Webhooks, symmetric signatures. Safe to
 * share between threads; its text is never part of {@link #toString()}.
 */
final class WebhookSecret {

    private static final String PREFIX = "whsec_";

    /** Standard Webhooks, from memory: a key has 24 to 64 bytes. */
    private static final int FEWEST_BYTES = 24;

    private static final int MOST_BYTES = 64;

    private final byte[] key;

    /** @throws IllegalArgumentException when it is not of 24 to 64 bytes */
    WebhookSecret(byte[] key) {
        if (key.length < FEWEST_BYTES || key.length > MOST_BYTES) {
            throw new IllegalArgumentException("webhook secret: " + key.length + " bytes, must be " + FEWEST_BYTES + " to " + MOST_BYTES);
        }
        this.key = key.clone();
    }

    /** What {@code seed} is turned into by a key: whoever has only one of the two knows nothing of it. 256 bits. */
    static WebhookSecret derived(byte[] key, byte[] seed) {
        return new WebhookSecret(hmac(key, seed));
    }

    /** As its owner keeps it: {@code whsec_…}. */
    String text() {
        return PREFIX + Base64.getEncoder().encodeToString(key);
    }

    /**
     * The header {@code webhook-signature}: one signature a secret, so that a receiver may change from one to the other without a gap.
     *
     * @param secrets one or more
     * @param id the header {@code webhook-id}; the same at every repeat. Without a full stop, which divides what is signed
     * @param sentAt the header {@code webhook-timestamp}, of which only whole seconds are signed
     * @param body exactly as sent, in UTF-8
     * @throws IllegalArgumentException without a secret, or when the id is empty or has a full stop
     */
    static String signatures(List<WebhookSecret> secrets, String id, Instant sentAt, String body) {
        if (secrets.isEmpty()) {
            throw new IllegalArgumentException("webhook " + id + ": no secret to sign with, must be at least one");
        }
        if (id.isEmpty() || id.contains(".")) {
            throw new IllegalArgumentException("webhook id \"" + id + "\": must not be empty, nor have a full stop");
        }
        byte[] signed = (id + "." + sentAt.getEpochSecond() + "." + body).getBytes(StandardCharsets.UTF_8);
        return secrets.stream().map(secret -> secret.signature(signed)).collect(Collectors.joining(" "));
    }

    private String signature(byte[] signed) {
        return "v1," + Base64.getEncoder().encodeToString(hmac(key, signed));
    }

    private static byte[] hmac(byte[] key, byte[] text) {
        try {
            Mac mac = Mac.getInstance("HmacSHA256");
            mac.init(new SecretKeySpec(key, "HmacSHA256"));
            return mac.doFinal(text);
        } catch (GeneralSecurityException missing) {
            throw new IllegalStateException("this Java has no HmacSHA256, which every Java must have", missing);
        }
    }

    @Override
    public String toString() {
        return PREFIX + "…";
    }
}
