package org.lampkeeper.watch;

/** Why alarms are held back for a time. */
public enum SuppressionKind {
    /** The supply will be off on purpose. */
    ANNOUNCED_WORK,
    /** The cabinet is being put into service. */
    COMMISSIONING,
    /** Somebody presses the test button of the residual-current device; always two minutes. */
    TEST_PRESS,
    /** The cabinet is out of use. */
    OUT_OF_SERVICE
}
