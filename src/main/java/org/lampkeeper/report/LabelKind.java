package org.lampkeeper.report;

import org.lampkeeper.report.SheetLayout.Size;

/** Where a label is fixed, and how large it is: what has to be read from a step away is larger. */
enum LabelKind {
    // Ours, all four: two side by side fill a sheet of A4, and the smaller ones fit the door of a board.
    LAMP(100, 70), WAY(80, 40), FUSED_UNIT(100, 50), DANGER(80, 50);

    private final Size size;

    LabelKind(double width, double height) {
        size = new Size(width, height);
    }

    /** In mm. */
    Size size() {
        return size;
    }

    /** Names the style. */
    String look() {
        return switch (this) {
            case LAMP -> "lamp";
            case WAY -> "way";
            case FUSED_UNIT -> "unit";
            case DANGER -> "danger";
        };
    }

    /** Whether the sign for electricity is on it: whoever reads it may be about to open something. */
    boolean isWarning() {
        return this == FUSED_UNIT || this == DANGER;
    }
}
