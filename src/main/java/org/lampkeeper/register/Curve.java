package org.lampkeeper.register;

/** The instantaneous tripping range of a circuit-breaker, as printed before its rating (IEC 60898-1). */
public enum Curve {
    B,
    C,
    D
}
