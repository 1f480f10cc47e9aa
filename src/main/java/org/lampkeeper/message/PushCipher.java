package org.lampkeeper.message;

import java.io.ByteArrayOutputStream;
import java.nio.ByteBuffer;
import java.nio.charset.StandardCharsets;
import java.security.GeneralSecurityException;
import java.security.KeyPair;
import java.security.KeyPairGenerator;
import java.security.SecureRandom;
import java.security.interfaces.ECPrivateKey;
import java.security.interfaces.ECPublicKey;
import java.util.Arrays;

import javax.crypto.Cipher;
import javax.crypto.KeyAgreement;
import javax.crypto.Mac;
import javax.crypto.spec.GCMParameterSpec;
import javax.crypto.spec.SecretKeySpec;

/** A message that only one browser can read: RFC 8291 over RFC 8188, in one record. Safe for use by many threads. */
final class PushCipher {

    /** RFC 8291, section 4: what a push service must take is 4,096 bytes, of which so many are left for the text. */
    static final int MOST_BYTES = 3993;

    /** RFC 8291, section 3.2: the authentication secret. */
    static final int AUTH_BYTES = 16;
    private static final int SALT_BYTES = 16;
    private static final int RECORD_SIZE = 4096;
    private static final int KEY_BYTES = 16;
    private static final int NONCE_BYTES = 12;
    private static final int TAG_BITS = 128;
    /** RFC 8188, section 2: after the text of the last record. */
    private static final byte LAST_RECORD = 2;
    private static final SecureRandom RANDOM = new SecureRandom();

    private PushCipher() {
    }

    /** With a key and a salt of this message alone, as RFC 8291 asks. */
    static byte[] encrypted(byte[] text, ECPublicKey browser, byte[] auth) {
        try {
            KeyPairGenerator generator = KeyPairGenerator.getInstance("EC");
            generator.initialize(Point256.spec(), RANDOM);
            KeyPair once = generator.generateKeyPair();
            byte[] salt = new byte[SALT_BYTES];
            RANDOM.nextBytes(salt);
            return encrypted(text, browser, auth, (ECPrivateKey) once.getPrivate(), (ECPublicKey) once.getPublic(), salt);
        } catch (GeneralSecurityException missing) {
            throw new IllegalStateException("this Java makes no keys of P-256, which every Java 17 does", missing);
        }
    }

    static byte[] encrypted(byte[] text, ECPublicKey browser, byte[] auth, ECPrivateKey own, ECPublicKey ownPublic, byte[] salt) {
        if (text.length > MOST_BYTES) {
            throw new IllegalArgumentException("a push message of " + text.length + " bytes, must be at most " + MOST_BYTES);
        }
        try {
            byte[] sender = Point256.bytes(ownPublic);
            Keys keys = keys(own, browser, auth, Point256.bytes(browser), sender, salt);
            Cipher cipher = Cipher.getInstance("AES/GCM/NoPadding");
            cipher.init(Cipher.ENCRYPT_MODE, keys.key(), keys.nonce());
            byte[] padded = Arrays.copyOf(text, text.length + 1);
            padded[text.length] = LAST_RECORD;
            byte[] record = cipher.doFinal(padded);
            return ByteBuffer.allocate(SALT_BYTES + 4 + 1 + sender.length + record.length).put(salt).putInt(RECORD_SIZE).put((byte) sender.length).put(sender)
                    .put(record).array();
        } catch (GeneralSecurityException missing) {
            throw new IllegalStateException("a push message could not be encrypted", missing);
        }
    }

    /** What the browser reads: for whoever has its private key. */
    static byte[] decrypted(byte[] body, ECPrivateKey browser, ECPublicKey browserPublic, byte[] auth) throws GeneralSecurityException {
        ByteBuffer in = ByteBuffer.wrap(body);
        byte[] salt = new byte[SALT_BYTES];
        in.get(salt);
        in.getInt();
        byte[] sender = new byte[in.get() & 0xff];
        in.get(sender);
        Keys keys = keys(browser, Point256.publicKey(sender), auth, Point256.bytes(browserPublic), sender, salt);
        Cipher cipher = Cipher.getInstance("AES/GCM/NoPadding");
        cipher.init(Cipher.DECRYPT_MODE, keys.key(), keys.nonce());
        byte[] padded = cipher.doFinal(body, in.position(), in.remaining());
        return Arrays.copyOf(padded, padded.length - 1);
    }

    private record Keys(SecretKeySpec key, GCMParameterSpec nonce) {
    }

    /** RFC 8291, section 3.4, and RFC 8188, sections 2.2 and 2.3. */
    private static Keys keys(ECPrivateKey own, ECPublicKey other, byte[] auth, byte[] browser, byte[] sender, byte[] salt) throws GeneralSecurityException {
        KeyAgreement agreement = KeyAgreement.getInstance("ECDH");
        agreement.init(own);
        agreement.doPhase(other, true);
        ByteArrayOutputStream info = new ByteArrayOutputStream();
        info.writeBytes("WebPush: info\0".getBytes(StandardCharsets.US_ASCII));
        info.writeBytes(browser);
        info.writeBytes(sender);
        byte[] keyMaterial = expanded(hmac(auth, agreement.generateSecret()), info.toByteArray(), 32);
        byte[] random = hmac(salt, keyMaterial);
        return new Keys(new SecretKeySpec(expanded(random, "Content-Encoding: aes128gcm\0".getBytes(StandardCharsets.US_ASCII), KEY_BYTES), "AES"),
                new GCMParameterSpec(TAG_BITS, expanded(random, "Content-Encoding: nonce\0".getBytes(StandardCharsets.US_ASCII), NONCE_BYTES)));
    }

    /** RFC 5869, section 2.3, of at most one block. */
    private static byte[] expanded(byte[] random, byte[] info, int length) throws GeneralSecurityException {
        byte[] block = Arrays.copyOf(info, info.length + 1);
        block[info.length] = 1;
        return Arrays.copyOf(hmac(random, block), length);
    }

    private static byte[] hmac(byte[] key, byte[] text) throws GeneralSecurityException {
        Mac mac = Mac.getInstance("HmacSHA256");
        mac.init(new SecretKeySpec(key, "HmacSHA256"));
        return mac.doFinal(text);
    }
}
