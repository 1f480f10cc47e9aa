package org.lampkeeper.electrical;

/** What the copper of a cable is like: by this its resistance stands in another column (IEC 60228). */
public enum Conductor {
    PLAIN("plain copper, class 1 or 2"),
    TINNED("tinned copper, class 1 or 2"),
    FLEXIBLE("plain copper, class 5: flexible");

    private final String words;

    Conductor(String words) {
        this.words = words;
    }

    public String words() {
        return words;
    }
}
