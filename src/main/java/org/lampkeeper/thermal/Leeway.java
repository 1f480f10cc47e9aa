package org.lampkeeper.thermal;

/**
 * By how much the temperatures of a forecast may be off, both ways. The early end is reckoned from a content that is nearer its bound and with an
 * outside beyond what was given, the late end the other way round. Without it the range would only hold the doubt in the time constant.
 *
 * @param inside  K, of what was measured, 0 to 20
 * @param outside K, of what it will be, 0 to 20
 */
public record Leeway(double inside, double outside) {

    /** The temperatures are exactly as given. */
    public static final Leeway NONE = new Leeway(0, 0);

    /** Ours, because the last value outside, taken to last, is soon off by a degree or two, and a usual sensor by half a degree, from memory. */
    public static final Leeway USUAL = new Leeway(0.5, 2);

    /** @throws IllegalArgumentException when either is less than 0 or more than 20 */
    public Leeway {
        if (!(inside >= 0 && inside <= 20) || !(outside >= 0 && outside <= 20)) {
            throw new IllegalArgumentException("leeway " + inside + " K inside, " + outside + " K outside, both must be 0 to 20");
        }
    }
}
