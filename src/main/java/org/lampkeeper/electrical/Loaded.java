package org.lampkeeper.electrical;

/** How many conductors of a cable carry current: by this its rating stands in another column. */
public enum Loaded {
    /** Line and neutral, also of a cable with a third core for the protective conductor: common practice, no source. */
    TWO("two loaded conductors"),
    THREE("three loaded conductors");

    private final String words;

    Loaded(String words) {
        this.words = words;
    }

    String words() {
        return words;
    }
}
