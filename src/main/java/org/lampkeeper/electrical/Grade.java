package org.lampkeeper.electrical;

/** What a figure amounts to. Never "pass": whether a circuit is safe is for a competent person to say. */
public enum Grade {
    WITHIN,
    LOOK_AGAIN,
    OUTSIDE,
    NOT_GIVEN
}
