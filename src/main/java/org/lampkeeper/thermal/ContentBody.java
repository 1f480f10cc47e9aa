package org.lampkeeper.thermal;

/**
 * What decides whether one temperature stands for all of a content, as lumped capacitance takes it: its Biot number, Bi = h·Lc / k, where Lc is volume
 * over surface, must be under {@value #LUMPED_BELOW} (Incropera, Fundamentals of Heat and Mass Transfer, ch. 5). Else its outside is ahead of its inside,
 * and passes a limit sooner than a forecast of one body says.
 *
 * @param surfaceCoefficient h between the content and the air around it, {@value #FREE_LEAST} to {@value #FORCED_MOST} W/m²K
 * @param metres             Lc, {@value #LEAST_METRES} to {@value #MOST_METRES} m
 * @param conductivity       k of the content, {@value #LEAST_CONDUCTIVITY} to {@value #MOST_CONDUCTIVITY} W/mK
 */
public record ContentBody(double surfaceCoefficient, double metres, double conductivity) {

    /** h in W/m²K: free convection of gases up to {@link #FREE_MOST}, forced from there on. Y. A. Çengel, notes to Heat Transfer, table of h. */
    public static final double FREE_LEAST = 2;
    public static final double FREE_MOST = 25;
    public static final double FORCED_MOST = 250;

    /** Incropera, ch. 5: under it lumped capacitance may be used. */
    public static final double LUMPED_BELOW = 0.1;

    // Ours: from a foil to a chest, from foam to copper; beyond is a slip of the pen.
    public static final double LEAST_METRES = 0.0001;
    public static final double MOST_METRES = 1;
    public static final double LEAST_CONDUCTIVITY = 0.01;
    public static final double MOST_CONDUCTIVITY = 500;

    /** @throws IllegalArgumentException for what no content in air is like */
    public ContentBody {
        if (!(surfaceCoefficient >= FREE_LEAST && surfaceCoefficient <= FORCED_MOST)) {
            throw new IllegalArgumentException("heat transfer at the surface " + surfaceCoefficient + " W/m²K, must be " + FREE_LEAST + " to " + FORCED_MOST);
        }
        if (!(metres >= LEAST_METRES && metres <= MOST_METRES)) {
            throw new IllegalArgumentException("volume over surface " + metres + " m, must be " + LEAST_METRES + " to " + MOST_METRES);
        }
        if (!(conductivity >= LEAST_CONDUCTIVITY && conductivity <= MOST_CONDUCTIVITY)) {
            throw new IllegalArgumentException("conductivity " + conductivity + " W/mK, must be " + LEAST_CONDUCTIVITY + " to " + MOST_CONDUCTIVITY);
        }
    }

    public double biot() {
        return biot(surfaceCoefficient, metres, conductivity);
    }

    /** h·Lc / k of any body in any surroundings. */
    static double biot(double surfaceCoefficient, double metres, double conductivity) {
        return surfaceCoefficient * metres / conductivity;
    }

    /** Whether one temperature stands for all of it. */
    public boolean isLumped() {
        return biot() < LUMPED_BELOW;
    }

    /** Whether still air gives and takes as much; more takes a fan or wind. */
    public boolean isInStillAir() {
        return surfaceCoefficient <= FREE_MOST;
    }
}
