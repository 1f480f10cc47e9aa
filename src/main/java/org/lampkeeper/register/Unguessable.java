package org.lampkeeper.register;

import java.security.SecureRandom;
import java.util.Base64;

/** Names that nobody finds by trying: OWASP ASVS 4.0.3, 3.2.2 asks for 64 bits, ours have 128. */
final class Unguessable {

    private static final int BYTES = 16;
    private static final SecureRandom RANDOM = new SecureRandom();

    private Unguessable() {
    }

    /** A new one: 22 letters, digits, hyphens and low lines, as an address takes them. */
    static String make() {
        byte[] bytes = new byte[BYTES];
        RANDOM.nextBytes(bytes);
        return Base64.getUrlEncoder().withoutPadding().encodeToString(bytes);
    }
}
