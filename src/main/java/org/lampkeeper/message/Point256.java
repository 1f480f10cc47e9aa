package org.lampkeeper.message;

import java.math.BigInteger;
import java.security.AlgorithmParameters;
import java.security.GeneralSecurityException;
import java.security.KeyFactory;
import java.security.interfaces.ECPrivateKey;
import java.security.interfaces.ECPublicKey;
import java.security.spec.ECFieldFp;
import java.security.spec.ECGenParameterSpec;
import java.security.spec.ECParameterSpec;
import java.security.spec.ECPoint;
import java.security.spec.ECPrivateKeySpec;
import java.security.spec.ECPublicKeySpec;
import java.util.Arrays;

/**
 * Keys of the curve P-256 (FIPS 186-4, appendix D.1.2.3) as web push writes them: a public one as the 65 bytes of its point, uncompressed (SEC 1, section
 * 2.3.3), a private one as 32 bytes. Java does everything else with such keys but this.
 */
final class Point256 {

    static final int PUBLIC_BYTES = 65;
    private static final int COORDINATE_BYTES = 32;
    private static final byte UNCOMPRESSED = 4;
    private static final ECParameterSpec CURVE = curve();
    private static final BigInteger P = ((ECFieldFp) CURVE.getCurve().getField()).getP();
    private static final BigInteger TWO = BigInteger.TWO;
    private static final BigInteger THREE = BigInteger.valueOf(3);

    private Point256() {
    }

    static ECParameterSpec spec() {
        return CURVE;
    }

    private static ECParameterSpec curve() {
        try {
            AlgorithmParameters parameters = AlgorithmParameters.getInstance("EC");
            parameters.init(new ECGenParameterSpec("secp256r1"));
            return parameters.getParameterSpec(ECParameterSpec.class);
        } catch (GeneralSecurityException missing) {
            throw new IllegalStateException("this Java has no curve secp256r1, which every Java 17 has", missing);
        }
    }

    /** @throws IllegalArgumentException when it is no point of the curve: the key of whoever sent it would tell them ours */
    static ECPublicKey publicKey(byte[] point) {
        if (point.length != PUBLIC_BYTES || point[0] != UNCOMPRESSED) {
            throw new IllegalArgumentException("a public key of " + point.length + " bytes, must be " + PUBLIC_BYTES + " that begin with 4");
        }
        BigInteger x = new BigInteger(1, Arrays.copyOfRange(point, 1, 1 + COORDINATE_BYTES));
        BigInteger y = new BigInteger(1, Arrays.copyOfRange(point, 1 + COORDINATE_BYTES, PUBLIC_BYTES));
        BigInteger right = x.pow(3).add(CURVE.getCurve().getA().multiply(x)).add(CURVE.getCurve().getB()).mod(P);
        if (x.compareTo(P) >= 0 || y.compareTo(P) >= 0 || !y.pow(2).mod(P).equals(right)) {
            throw new IllegalArgumentException("a public key that is no point of the curve P-256");
        }
        return publicKey(new ECPoint(x, y));
    }

    private static ECPublicKey publicKey(ECPoint point) {
        try {
            return (ECPublicKey) KeyFactory.getInstance("EC").generatePublic(new ECPublicKeySpec(point, CURVE));
        } catch (GeneralSecurityException impossible) {
            throw new IllegalStateException("a point of P-256 was not taken as a key", impossible);
        }
    }

    /** @param number of 32 bytes; 1 to the order of the curve less one */
    static ECPrivateKey privateKey(byte[] number) {
        try {
            return (ECPrivateKey) KeyFactory.getInstance("EC").generatePrivate(new ECPrivateKeySpec(new BigInteger(1, number), CURVE));
        } catch (GeneralSecurityException impossible) {
            throw new IllegalStateException("a number was not taken as a key of P-256", impossible);
        }
    }

    /** The private key that 32 random bytes stand for: every one stands for one. */
    static ECPrivateKey privateKeyFrom(byte[] random) {
        BigInteger less = CURVE.getOrder().subtract(BigInteger.ONE);
        return privateKey(new BigInteger(1, random).mod(less).add(BigInteger.ONE).toByteArray());
    }

    /** SEC 1, section 3.2.1. Not in constant time: for keys that are read once, at start, and not at somebody's bidding. */
    static ECPublicKey publicKeyOf(ECPrivateKey key) {
        ECPoint sum = ECPoint.POINT_INFINITY;
        for (int bit = key.getS().bitLength() - 1; bit >= 0; bit--) {
            sum = sum(sum, sum);
            if (key.getS().testBit(bit)) {
                sum = sum(sum, CURVE.getGenerator());
            }
        }
        return publicKey(sum);
    }

    private static ECPoint sum(ECPoint one, ECPoint other) {
        if (one.equals(ECPoint.POINT_INFINITY)) {
            return other;
        }
        if (other.equals(ECPoint.POINT_INFINITY)) {
            return one;
        }
        if (one.getAffineX().equals(other.getAffineX()) && !one.getAffineY().equals(other.getAffineY())) {
            return ECPoint.POINT_INFINITY;
        }
        BigInteger slope = one.equals(other)
                ? THREE.multiply(one.getAffineX().pow(2)).add(CURVE.getCurve().getA()).multiply(TWO.multiply(one.getAffineY()).modInverse(P))
                : other.getAffineY().subtract(one.getAffineY()).multiply(other.getAffineX().subtract(one.getAffineX()).modInverse(P));
        BigInteger x = slope.pow(2).subtract(one.getAffineX()).subtract(other.getAffineX()).mod(P);
        return new ECPoint(x, slope.multiply(one.getAffineX().subtract(x)).subtract(one.getAffineY()).mod(P));
    }

    /** The 65 bytes. */
    static byte[] bytes(ECPublicKey key) {
        byte[] bytes = new byte[PUBLIC_BYTES];
        bytes[0] = UNCOMPRESSED;
        copy(key.getW().getAffineX(), bytes, 1);
        copy(key.getW().getAffineY(), bytes, 1 + COORDINATE_BYTES);
        return bytes;
    }

    private static void copy(BigInteger coordinate, byte[] to, int at) {
        byte[] bytes = coordinate.toByteArray();
        int length = Math.min(bytes.length, COORDINATE_BYTES);
        System.arraycopy(bytes, bytes.length - length, to, at + COORDINATE_BYTES - length, length);
    }
}
