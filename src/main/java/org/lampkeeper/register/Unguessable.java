package org.lampkeeper.register;

import java.security.SecureRandom;
import java.util.Base64;
import java.util.stream.Collectors;

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

    /** So many digits, to be read from a wall and typed. Few enough to be found by trying: whoever asks for them counts the tries. */
    static String digits(int count) {
        return RANDOM.ints(count, 0, 10).mapToObj(Integer::toString).collect(Collectors.joining());
    }
}
