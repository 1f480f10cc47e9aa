package org.lampkeeper.thermal;

/** What holds heat in a cabinet. From memory, no source: the maker's figure is better. */
public enum Substance {
    STEEL(480, 500),
    PLASTICS_AND_ELECTRONICS(1000, 1400),
    AIR(1006, 1006);

    private final double least;
    private final double most;

    Substance(double least, double most) {
        this.least = least;
        this.most = most;
    }

    /** c in J/kgK, the lowest that is met. */
    public double leastHeat() {
        return least;
    }

    /** c in J/kgK, the highest that is met. */
    public double mostHeat() {
        return most;
    }

    /** c in J/kgK where no better figure is known: the middle. */
    public double heat() {
        return (least + most) / 2;
    }
}
