package org.lampkeeper.electrical;

/** The instantaneous tripping range of a circuit-breaker, as printed before its rating (IEC 60898-1). */
public enum Curve {
    B(3, 5, 5),
    C(5, 10, 10),
    D(10, 20, 10);

    private final int holds;
    private final int tripsAt;
    private final int slow;

    Curve(int holds, int tripsAt, int slow) {
        this.holds = holds;
        this.tripsAt = tripsAt;
        this.slow = slow;
    }

    /** The beginning of its range, in multiples of the rating: up to this current it does not open at once. IEC 60898-1, instantaneous bands. */
    public int holds() {
        return holds;
    }

    /** The end of its range, in multiples of the rating: with this current it certainly opens at once. IEC 60898-1, instantaneous bands. */
    public int tripsAt() {
        return tripsAt;
    }

    /** In multiples of the rating: with this current it certainly opens within 5 s. Of a D it is less than at once: note of a trade page (maxzs.co.uk). */
    public int tripsWithinFiveSeconds() {
        return slow;
    }
}
