package org.lampkeeper.report;

import java.util.ArrayList;
import java.util.List;

/**
 * Where labels lie on sheets of A4, in rows, in the order in which they are wanted: somebody cuts them with a knife, and wants those of one
 * cabinet together. All lengths in mm.
 */
final class SheetLayout {

    // ISO 216: A4 is 210 mm by 297 mm.
    static final double SHEET_WIDTH = 210;
    static final double SHEET_HEIGHT = 297;
    /** Ours: no printer that is common needs more; cut marks lie within it. */
    static final double MARGIN = 12;
    /** Ours: room at the foot for the line by which somebody sees that the printer kept the size. */
    static final double FOOT = 14;
    /** Ours: between two labels, so that the cut marks of each are its own. */
    static final double GAP = 6;

    private SheetLayout() {
    }

    /** How large a label is. */
    record Size(double width, double height) {
    }

    /** @param sheet from 0; {@code left} and {@code top} from the corner of the sheet */
    record Spot(int sheet, double left, double top) {
    }

    /**
     * A spot for each, in this order.
     *
     * @throws IllegalArgumentException when a label is larger than what can be printed of a sheet
     */
    static List<Spot> of(List<Size> labels) {
        List<Spot> spots = new ArrayList<>();
        int sheet = 0;
        double left = MARGIN;
        double top = MARGIN;
        double row = 0;
        for (Size label : labels) {
            if (label.width() > SHEET_WIDTH - 2 * MARGIN || label.height() > SHEET_HEIGHT - 2 * MARGIN - FOOT) {
                throw new IllegalArgumentException("label of " + label.width() + " mm by " + label.height() + " mm is larger than a sheet of A4");
            }
            if (left + label.width() > SHEET_WIDTH - MARGIN) {
                left = MARGIN;
                top += row + GAP;
                row = 0;
            }
            if (top + label.height() > SHEET_HEIGHT - MARGIN - FOOT) {
                sheet++;
                left = MARGIN;
                top = MARGIN;
                row = 0;
            }
            spots.add(new Spot(sheet, left, top));
            left += label.width() + GAP;
            row = Math.max(row, label.height());
        }
        return spots;
    }
}
