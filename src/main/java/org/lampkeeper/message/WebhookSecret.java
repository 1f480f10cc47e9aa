package org.lampkeeper.message;

import java.nio.charset.StandardCharsets;
import java.security.GeneralSecurityException;
import java.security.SecureRandom;
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

    /** Ours, because SHA-256 gains nothing from a longer one. */
    private static final int NEW_BYTES = 32;

    private final byte[] key;

    private WebhookSecret(byte[] key) {
        this.key = key;
    }

    /** A new one, of 256 bits. */
    static WebhookSecret fresh(SecureRandom random) {
        byte[] key = new byte[NEW_BYTES];
        random.nextBytes(key);
        return new WebhookSecret(key);
    }

    /**
     * Reads {@code whsec_} and the key in base64.
     *
     * @throws IllegalArgumentException when it is something else, or not of 24 to 64 bytes; the message does not repeat the text
     */
    static WebhookSecret of(String text) {
        if (!text.startsWith(PREFIX)) {
            throw new IllegalArgumentException("webhook secret: must start with " + PREFIX);
        }
        byte[] key;
        try {
            key = Base64.getDecoder().decode(text.substring(PREFIX.length()));
        } catch (IllegalArgumentException notBase64) {
            throw new IllegalArgumentException("webhook secret: must be base64 after " + PREFIX, notBase64);
        }
        if (key.length < FEWEST_BYTES || key.length > MOST_BYTES) {
            throw new IllegalArgumentException(
                    "webhook secret: " + key.length + " bytes, must be " + FEWEST_BYTES + " to " + MOST_BYTES);
        }
        return new WebhookSecret(key);
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
        try {
            Mac mac = Mac.getInstance("HmacSHA256");
            mac.init(new SecretKeySpec(key, "HmacSHA256"));
            return "v1," + Base64.getEncoder().encodeToString(mac.doFinal(signed));
        } catch (GeneralSecurityException missing) {
            throw new IllegalStateException("this Java has no HmacSHA256, which every Java must have", missing);
        }
    }

    @Override
    public String toString() {
        return PREFIX + "…";
    }
}
