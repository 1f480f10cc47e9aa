package org.lampkeeper.register;

import java.time.LocalDate;

/**
 * Something that is to be done at a cabinet by a day.
 *
 * @param what the name of a part, of {@link Kind#PART}; empty for the others
 * @param due  the last day on which it is in time
 */
public record DatedDuty(long cabinetId, String cabinet, Kind kind, String what, LocalDate due) {

    public enum Kind {
        /** Press the test button of the residual-current device: every six months (514.12.2, secondary copies). */
        TEST_BUTTON("Press the test button of its residual-current device"),
        /** A part of the content is good no longer. */
        PART("Replace in its content"),
        /** The circuit is inspected. */
        INSPECTION("Have its circuit inspected");

        private final String words;

        Kind(String words) {
            this.words = words;
        }
    }

    /** As an order: "Replace in its content: pads". */
    public String order() {
        return what.isEmpty() ? kind.words : kind.words + ": " + what;
    }
}
