package org.lampkeeper.electrical;

/** Where the supply comes from: by this a circuit may lose less or more voltage (BS 7671, Table 4Ab). */
public enum Network {
    PUBLIC("public supply"),
    PRIVATE("private supply");

    private final String words;

    Network(String words) {
        this.words = words;
    }

    String words() {
        return words;
    }
}
