package org.lampkeeper.access;

import java.security.SecureRandom;
import java.util.Base64;

import org.lampkeeper.register.Sha256;

/** Random secrets that somebody carries, and what is stored of them. They are long enough that one round of a plain hash is. */
final class Secrets {

    // OWASP ASVS 4.0.3, 3.2.2: at least 64 bits of entropy. Ours is 256, so that SHA-256 of it can be stored.
    private static final int BYTES = 32;
    private static final SecureRandom RANDOM = new SecureRandom();

    private Secrets() {
    }

    /** 43 characters that may stand in an address and in a cookie. */
    static String make() {
        byte[] bytes = new byte[BYTES];
        RANDOM.nextBytes(bytes);
        return Base64.getUrlEncoder().withoutPadding().encodeToString(bytes);
    }

    /** What is stored: SHA-256 in hex. */
    static String hash(String secret) {
        return Sha256.hex(secret);
    }
}
