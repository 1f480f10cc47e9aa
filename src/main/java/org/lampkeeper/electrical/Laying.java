package org.lampkeeper.electrical;

/** How a cable is laid: by this its rating stands in another column (reference methods of IEC 60364-5-52, Table B.52.1, and BS 7671, Table 4A2). */
public enum Laying {
    B("in conduit or trunking on a wall (method B)"),
    C("clipped direct (method C)"),
    E("in free air or on a perforated tray (method E)"),
    D1("in a duct in the ground (method D)"),
    D2("directly in the ground (method D)");

    private final String words;

    Laying(String words) {
        this.words = words;
    }

    public String words() {
        return words;
    }

    /** The ground has temperatures and a company of its own. */
    boolean isInGround() {
        return this == D1 || this == D2;
    }
}
