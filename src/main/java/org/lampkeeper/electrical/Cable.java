package org.lampkeeper.electrical;

/** What a multicore copper cable is built like: by this its rating stands in another table. */
public enum Cable {
    ARMOURED("steel-wire armoured cable"),
    SHEATHED("sheathed cable without armour");

    private final String words;

    Cable(String words) {
        this.words = words;
    }

    public String words() {
        return words;
    }
}
