package org.lampkeeper.electrical;

/** How the supply and the metalwork are earthed (IEC 60364-1, 312.2). */
public enum Earthing {
    TN_S,
    TN_C_S,
    TT;

    /** The tables make no difference between the two TN systems; the family stands under {@link #TN_S}. */
    Earthing family() {
        return this == TT ? TT : TN_S;
    }

    /** As written in the trade. */
    public String words() {
        return name().replace('_', '-');
    }
}
