package org.lampkeeper.electrical;

/** What a circuit is for: by this it may lose less or more voltage (BS 7671, Table 4Ab). */
public enum Use {
    LIGHTING("lighting"),
    OTHER("no lighting");

    private final String words;

    Use(String words) {
        this.words = words;
    }

    String words() {
        return words;
    }
}
