package org.lampkeeper.electrical;

/** The instantaneous tripping range of a circuit-breaker, as printed before its rating (IEC 60898-1). */
public enum Curve {
    B(5),
    C(10),
    D(20);

    private final int tripsAt;

    Curve(int tripsAt) {
        this.tripsAt = tripsAt;
    }

    /** The end of its range, in multiples of the rating: with this current it certainly opens at once. IEC 60898-1, instantaneous bands. */
    public int tripsAt() {
        return tripsAt;
    }
}
