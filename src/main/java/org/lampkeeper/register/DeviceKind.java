package org.lampkeeper.register;

/** What protects a circuit. */
public enum DeviceKind {
    /** Overcurrent and residual current in one device. */
    RCBO,
    /** Overcurrent only. */
    MCB
}
