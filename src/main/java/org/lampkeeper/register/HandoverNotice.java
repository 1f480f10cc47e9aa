package org.lampkeeper.register;

import java.util.ArrayList;
import java.util.List;
import java.util.Optional;

import static org.lampkeeper.register.HandoverField.*;

/**
 * A notice that is to hang at a circuit, in our own words: what applies is read from the record, and where only somebody on the spot can tell it says for
 * whom it is. A list to go through, and no proof that one hangs there. Pure. Regulations of BS 7671, all from memory but 514.12.2.
 *
 * @param regulation which asks for it: "514.9.1"
 * @param place      where it hangs
 * @param text       what it says
 * @param only       where it is needed; empty: here
 */
public record HandoverNotice(String regulation, String place, String text, Optional<String> only) {

    /** In the order of the regulations. */
    public static List<HandoverNotice> of(HandoverValues given) {
        List<HandoverNotice> notices = new ArrayList<>();
        notices.add(here("514.8.1", "at the device", "Way " + said(given, WAY, "") + ": " + device(given) + "."));
        notices.add(here("514.9.1", "in the chart of the board", "Way " + said(given, WAY, "") + ": feeds the fused connection unit of the cabinet, " + device(given) + ", "
                + said(given, SIZE, " mm²") + ", protective conductor " + protective(given) + "."));
        notices.add(new HandoverNotice("514.11.1", "at the fused connection unit", "Isolate here and at each other supply of this cabinet before opening.",
                Optional.of("where one device does not cut all live parts, such as a second supply in the cabinet")));
        notices.add(new HandoverNotice("514.12.1", "at the origin", "Next inspection due: " + said(given, NEXT_INSPECTION, "") + ".",
                Optional.of("where it is not left out: since 2022 it may be, in a dwelling whose certificate says so")));
        if (!given.is(DEVICE, "MCB")) {
            notices.add(here("514.12.2", "at the origin", "This installation has a residual-current device. Press its test button every six months: it opens. Close it again. "
                    + "If it does not open, call an electrician."));
        }
        notices.add(here("514.13.1", given.is(EARTHING, "TT") ? "at the earth electrode, and at the main earthing terminal" : "at the main earthing terminal",
                "Safety electrical connection. Do not remove."));
        notices.add(new HandoverNotice("514.15.1", "at the origin, the meter and the board", "Two supplies. Isolate both before work: the network and the generation on site.",
                Optional.of("where there is generation on site")));
        return List.copyOf(notices);
    }

    private static HandoverNotice here(String regulation, String place, String text) {
        return new HandoverNotice(regulation, place, text, Optional.empty());
    }

    private static String device(HandoverValues given) {
        String kind = said(given, DEVICE, "") + " " + given.text(CURVE).orElse("") + said(given, RATING, given.has(CURVE) ? "" : " A");
        return given.residual().isPresent() ? kind + ", " + given.residual().getAsInt() + " mA" : kind;
    }

    private static String protective(HandoverValues given) {
        return given.has(BACK_SIZE) ? said(given, BACK_SIZE, " mm²") : given.text(BACK).map(back -> BACK.shape().choices().stream().filter(it -> it.value().equals(back)).findFirst()
                .map(Choice::words).orElse(back)).orElse("…");
    }

    /** Three dots where something is still to be filled in. */
    private static String said(HandoverValues given, HandoverField field, String unit) {
        return given.text(field).map(text -> text.endsWith(unit) ? text : text + unit).orElse("…");
    }
}
