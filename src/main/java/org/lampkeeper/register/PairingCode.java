package org.lampkeeper.register;

import java.math.BigInteger;
import java.util.Locale;
import java.util.Optional;

/**
 * The code on the label of a sensor, worked out from its device id: six digits of its SHA-256 and two check digits, by which one wrong digit or
 * two that changed places are noticed. Two sensors may have the same one, if seldom; it names, it proves nothing.
 */
public final class PairingCode {

    private static final int DIGITS = 6;
    private static final int CHECK_DIGITS = 2;

    // ISO/IEC 7064, MOD 97-10: a number with its two check digits leaves 1 when divided by 97
    private static final BigInteger MODULUS = BigInteger.valueOf(97);
    private static final int REMAINDER = 1;

    private PairingCode() {
    }

    /** Eight digits. */
    public static String of(String deviceId) {
        BigInteger hash = new BigInteger(Sha256.hex(deviceId), 16);
        return withCheckDigits(String.format(Locale.ROOT, "%0" + DIGITS + "d", hash.mod(BigInteger.TEN.pow(DIGITS))));
    }

    /** As it stands on a label: "123 456 78". */
    public static String written(String code) {
        return code.substring(0, 3) + " " + code.substring(3, DIGITS) + " " + code.substring(DIGITS);
    }

    /** What was typed, without blanks and hyphens; empty where it is none, or a digit of it is wrong. */
    public static Optional<String> read(String typed) {
        String digits = typed.replaceAll("[\\s\\u00a0-]", "");
        return digits.matches("[0-9]{" + (DIGITS + CHECK_DIGITS) + "}") && isWhole(digits) ? Optional.of(digits) : Optional.empty();
    }

    /** @param digits at least one */
    static String withCheckDigits(String digits) {
        int check = MODULUS.intValue() + REMAINDER - new BigInteger(digits + "00").mod(MODULUS).intValue();
        return digits + String.format(Locale.ROOT, "%02d", check);
    }

    /** @param digits with the check digits at its end */
    static boolean isWhole(String digits) {
        return new BigInteger(digits).mod(MODULUS).intValue() == REMAINDER;
    }
}
