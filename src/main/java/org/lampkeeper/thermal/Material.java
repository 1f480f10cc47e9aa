package org.lampkeeper.thermal;

/** What walls are made of. From memory, in the manner of ISO 10456, where nothing else is said: the maker's figure is better. */
public enum Material {
    /** PUR and PIR. */
    PU_FOAM(0.022, 0.028),
    EPS(0.033, 0.038),
    /** buildingpanels.dow.com, thermal transmittance of an insulated sandwich panel. */
    XPS(0.029, 0.029),
    PE_FOAM(0.038, 0.038),
    STEEL(50, 50),
    STAINLESS_STEEL(15, 17),
    /** Glass fibre in resin. */
    GRP(0.2, 0.3),
    ALUMINIUM(160, 160),
    /** Oriented strand board. */
    STRAND_BOARD(0.13, 0.13);

    private final double least;
    private final double most;

    Material(double least, double most) {
        this.least = least;
        this.most = most;
    }

    /** λ in W/mK, the lowest that is met. */
    public double leastConductivity() {
        return least;
    }

    /** λ in W/mK, the highest that is met. */
    public double mostConductivity() {
        return most;
    }

    /** λ in W/mK where no better figure is known: the middle. */
    public double conductivity() {
        return (least + most) / 2;
    }
}
