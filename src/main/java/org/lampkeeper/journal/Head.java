package org.lampkeeper.journal;

import java.util.HexFormat;
import java.util.regex.Pattern;

/**
 * The end of the chain at one moment. Whoever keeps a head (it stands in every mail) can later tell that nothing before it was changed.
 *
 * @param number place of the newest sealed entry, counted from 1; 0 for a journal without sealed entries
 * @param hash   64 lower-case hexadecimal digits
 */
public record Head(long number, String hash) {

    private static final Pattern SHA_256 = Pattern.compile("[0-9a-f]{64}");

    /** The head of an empty journal; the first entry is chained to it. */
    public static final Head EMPTY = new Head(0, "0".repeat(64));

    public Head {
        if (number < 0) {
            throw new IllegalArgumentException("journal head number " + number + ", must be 0 or more");
        }
        if (!SHA_256.matcher(hash).matches()) {
            throw new IllegalArgumentException("journal head hash '" + hash + "', must be 64 lower-case hexadecimal digits");
        }
    }

    byte[] hashBytes() {
        return HexFormat.of().parseHex(hash);
    }
}
