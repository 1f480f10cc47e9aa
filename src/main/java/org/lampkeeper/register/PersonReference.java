package org.lampkeeper.register;

import java.nio.charset.StandardCharsets;
import java.security.MessageDigest;
import java.security.NoSuchAlgorithmException;
import java.security.SecureRandom;
import java.util.HexFormat;

/**
 * What the journal calls a person: SHA-256 over a random salt and the person's id. Once the salt is dropped, nobody who has the journal
 * can find out by trying ids whose entries these are.
 */
record PersonReference(String salt, String value) {

    private static final SecureRandom RANDOM = new SecureRandom();

    static PersonReference make(long personId) {
        byte[] salt = new byte[16];
        RANDOM.nextBytes(salt);
        String written = HexFormat.of().formatHex(salt);
        return new PersonReference(written, of(written, personId));
    }

    static String of(String salt, long personId) {
        try {
            MessageDigest sha256 = MessageDigest.getInstance("SHA-256");
            sha256.update(HexFormat.of().parseHex(salt));
            return HexFormat.of().formatHex(sha256.digest(Long.toString(personId).getBytes(StandardCharsets.US_ASCII)));
        } catch (NoSuchAlgorithmException everyJavaHasIt) {
            throw new IllegalStateException("SHA-256 is missing in this Java", everyJavaHasIt);
        }
    }
}
