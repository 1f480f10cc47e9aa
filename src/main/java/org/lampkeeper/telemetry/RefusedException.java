package org.lampkeeper.telemetry;

/** Carries a refusal out of the depth of a decoder to its one entry, where it becomes the result. Never leaves this room. */
final class RefusedException extends Exception {

    private final transient Refusal refusal;

    RefusedException(Reason reason, String detail) {
        super(detail, null, false, false);
        refusal = new Refusal(reason, detail);
    }

    Refusal refusal() {
        return refusal;
    }
}
