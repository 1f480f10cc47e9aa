package org.lampkeeper.check;

/** What becomes of a check whose day is a closed one. */
public enum WhenClosed {
    /** There is none that day. */
    SKIP,
    /** It is due on the next open day; where that has one of its own, they are one. */
    MOVE,
    /** It is due all the same, and somebody else is asked. */
    SOMEBODY_ELSE
}
