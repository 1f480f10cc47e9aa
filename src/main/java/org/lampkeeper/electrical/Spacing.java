package org.lampkeeper.electrical;

/** How cables that run together lie to each other. */
public enum Spacing {
    BUNCHED("bunched, or in one enclosure"),
    /** Clipped to a surface. */
    LAYER("in one layer, touching");

    private final String words;

    Spacing(String words) {
        this.words = words;
    }

    public String words() {
        return words;
    }
}
