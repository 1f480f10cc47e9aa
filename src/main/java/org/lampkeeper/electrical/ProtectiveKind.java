package org.lampkeeper.electrical;

/** What a protective conductor is: by this it bears a fault for longer or shorter (BS 7671, Tables 54.2 to 54.5). */
public enum ProtectiveKind {
    CORE("a core of the cable"),
    /** Copper. */
    SEPARATE("a separate conductor"),
    STEEL_ARMOUR("the steel armour"),
    ALUMINIUM_ARMOUR("the aluminium armour"),
    STEEL_CONDUIT("the steel conduit");

    private final String words;

    ProtectiveKind(String words) {
        this.words = words;
    }

    String words() {
        return words;
    }
}
