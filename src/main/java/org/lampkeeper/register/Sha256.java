package org.lampkeeper.register;

import java.nio.charset.StandardCharsets;
import java.security.MessageDigest;
import java.security.NoSuchAlgorithmException;
import java.util.HexFormat;

/** SHA-256 (FIPS 180-4) in 64 small hexadecimal digits: of a secret what may be stored, of a document what it is known by. */
public final class Sha256 {

    private Sha256() {
    }

    /** Of the text in UTF-8. */
    public static String hex(String text) {
        return hex(text.getBytes(StandardCharsets.UTF_8));
    }

    public static String hex(byte[] bytes) {
        try {
            return HexFormat.of().formatHex(MessageDigest.getInstance("SHA-256").digest(bytes));
        } catch (NoSuchAlgorithmException everyJavaHasIt) {
            throw new IllegalStateException("SHA-256 is missing in this Java", everyJavaHasIt);
        }
    }
}
