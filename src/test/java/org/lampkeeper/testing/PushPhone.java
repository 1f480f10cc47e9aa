package org.lampkeeper.testing;

import java.math.BigInteger;
import java.nio.ByteBuffer;
import java.nio.charset.StandardCharsets;
import java.security.GeneralSecurityException;
import java.security.KeyFactory;
import java.security.KeyPair;
import java.security.KeyPairGenerator;
import java.security.SecureRandom;
import java.security.interfaces.ECPublicKey;
import java.security.spec.ECGenParameterSpec;
import java.security.spec.ECPoint;
import java.security.spec.ECPublicKeySpec;
import java.util.Arrays;
import java.util.Base64;

import javax.crypto.Cipher;
import javax.crypto.KeyAgreement;
import javax.crypto.Mac;
import javax.crypto.spec.GCMParameterSpec;
import javax.crypto.spec.SecretKeySpec;

/** The browser's side of web push: keys of its own, and RFC 8291 read backwards, by nothing of ours. */
public final class PushPhone {

    private final KeyPair keys;
    private final byte[] auth = new byte[16];

    private PushPhone(KeyPair keys) {
        this.keys = keys;
        new SecureRandom().nextBytes(auth);
    }

    public static PushPhone make() {
        try {
            KeyPairGenerator generator = KeyPairGenerator.getInstance("EC");
            generator.initialize(new ECGenParameterSpec("secp256r1"));
            return new PushPhone(generator.generateKeyPair());
        } catch (GeneralSecurityException everyJavaHasIt) {
            throw new IllegalStateException(everyJavaHasIt);
        }
    }

    public String p256dh() {
        return Base64.getUrlEncoder().withoutPadding().encodeToString(point());
    }

    public String auth() {
        return Base64.getUrlEncoder().withoutPadding().encodeToString(auth);
    }

    private byte[] point() {
        ECPoint w = ((ECPublicKey) keys.getPublic()).getW();
        return ByteBuffer.allocate(65).put((byte) 4).put(coordinate(w.getAffineX())).put(coordinate(w.getAffineY())).array();
    }

    private static byte[] coordinate(BigInteger number) {
        byte[] bytes = number.toByteArray();
        byte[] fixed = new byte[32];
        int length = Math.min(32, bytes.length);
        System.arraycopy(bytes, bytes.length - length, fixed, 32 - length, length);
        return fixed;
    }

    /** What stands in it; it was meant for this phone, or this fails. */
    public String read(byte[] body) {
        try {
            byte[] salt = Arrays.copyOf(body, 16);
            byte[] sender = Arrays.copyOfRange(body, 21, 86);
            KeyAgreement agreement = KeyAgreement.getInstance("ECDH");
            agreement.init(keys.getPrivate());
            ECPoint point = new ECPoint(new BigInteger(1, Arrays.copyOfRange(sender, 1, 33)), new BigInteger(1, Arrays.copyOfRange(sender, 33, 65)));
            agreement.doPhase(KeyFactory.getInstance("EC").generatePublic(new ECPublicKeySpec(point, ((ECPublicKey) keys.getPublic()).getParams())), true);
            byte[] prkKey = hmac(auth, agreement.generateSecret());
            byte[] ikm = hmac(prkKey, joined("WebPush: info\0".getBytes(StandardCharsets.US_ASCII), point(), sender, new byte[] {1}));
            byte[] prk = hmac(salt, ikm);
            byte[] key = Arrays.copyOf(hmac(prk, "Content-Encoding: aes128gcm\0\1".getBytes(StandardCharsets.US_ASCII)), 16);
            byte[] nonce = Arrays.copyOf(hmac(prk, "Content-Encoding: nonce\0\1".getBytes(StandardCharsets.US_ASCII)), 12);
            Cipher cipher = Cipher.getInstance("AES/GCM/NoPadding");
            cipher.init(Cipher.DECRYPT_MODE, new SecretKeySpec(key, "AES"), new GCMParameterSpec(128, nonce));
            byte[] padded = cipher.doFinal(body, 86, body.length - 86);
            return new String(padded, 0, padded.length - 1, StandardCharsets.UTF_8);
        } catch (GeneralSecurityException notForUs) {
            throw new IllegalStateException("this message was not meant for this phone", notForUs);
        }
    }

    private static byte[] joined(byte[]... parts) {
        ByteBuffer all = ByteBuffer.allocate(Arrays.stream(parts).mapToInt(part -> part.length).sum());
        Arrays.stream(parts).forEach(all::put);
        return all.array();
    }

    private static byte[] hmac(byte[] key, byte[] text) throws GeneralSecurityException {
        Mac mac = Mac.getInstance("HmacSHA256");
        mac.init(new SecretKeySpec(key, "HmacSHA256"));
        return mac.doFinal(text);
    }
}
