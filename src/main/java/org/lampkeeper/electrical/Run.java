package org.lampkeeper.electrical;

/**
 * Where a cable runs, and in what company.
 *
 * @param warmestCelsius  of the air, or of the ground where it is laid in that
 * @param circuitsTogether with this one: 1 when it runs alone
 */
public record Run(Cable cable, Laying laying, Loaded loaded, double warmestCelsius, int circuitsTogether, Spacing spacing) {

    String surroundings() {
        return (laying.isInGround() ? "ground of " : "air of ") + Verdict.figure(warmestCelsius, 0) + " °C";
    }

    String company() {
        return circuitsTogether == 1 ? "1 circuit" : circuitsTogether + " circuits" + (laying.isInGround() ? "" : ", " + (isLayer() ? Spacing.LAYER : Spacing.BUNCHED).words());
    }

    /** Of what lies in one layer the table has a row for cables that are clipped; elsewhere they count as bunched, which is less. */
    boolean isLayer() {
        return spacing == Spacing.LAYER && laying == Laying.C;
    }
}
