package org.lampkeeper.register;

import java.nio.charset.StandardCharsets;
import java.security.MessageDigest;
import java.security.NoSuchAlgorithmException;
import java.security.SecureRandom;
import java.util.Base64;
import java.util.HexFormat;

/**
 * Makes and verifies the secrets of sensors. They are random and 128 bits long, so that one round of a salted hash is enough; a slow
 * hash would turn the reconnects after an outage into hours. The stored form is the one that Mosquitto reads from its password file:
 * {@code $6$}, salt in base64, {@code $}, base64 of SHA-512 over secret and salt.
 */
public final class SensorSecrets {

    private static final int SECRET_BYTES = 16;
    // Mosquitto 2 writes 12 bytes of salt for this form and refuses none that is shorter or longer up to its own limit.
    private static final int SALT_BYTES = 12;
    private static final String FORM = "$6$";
    private static final SecureRandom RANDOM = new SecureRandom();

    private SensorSecrets() {
    }

    /** A new secret: 128 random bits in 32 hex digits. */
    public static String make() {
        return HexFormat.of().formatHex(random(SECRET_BYTES));
    }

    /** The stored form of {@code secret}, with a salt of its own: two calls give two results. */
    public static String hash(String secret) {
        byte[] salt = random(SALT_BYTES);
        Base64.Encoder base64 = Base64.getEncoder();
        return FORM + base64.encodeToString(salt) + "$" + base64.encodeToString(digest(secret, salt));
    }

    /**
     * Whether {@code secret} is the one that {@code hash} was made of; takes the same time wherever they differ.
     *
     * @throws IllegalArgumentException when {@code hash} is not of the stored form
     */
    public static boolean verify(String secret, String hash) {
        String[] parts = hash.split("\\$", -1);
        if (!hash.startsWith(FORM) || parts.length != 4) {
            throw new IllegalArgumentException("stored hash of a sensor's secret: unknown form, must be $6$salt$hash");
        }
        Base64.Decoder base64 = Base64.getDecoder();
        return MessageDigest.isEqual(digest(secret, base64.decode(parts[2])), base64.decode(parts[3]));
    }

    private static byte[] random(int length) {
        byte[] bytes = new byte[length];
        RANDOM.nextBytes(bytes);
        return bytes;
    }

    private static byte[] digest(String secret, byte[] salt) {
        try {
            MessageDigest sha512 = MessageDigest.getInstance("SHA-512");
            sha512.update(secret.getBytes(StandardCharsets.UTF_8));
            return sha512.digest(salt);
        } catch (NoSuchAlgorithmException everyJavaHasIt) {
            throw new IllegalStateException("SHA-512 is missing in this Java", everyJavaHasIt);
        }
    }
}
