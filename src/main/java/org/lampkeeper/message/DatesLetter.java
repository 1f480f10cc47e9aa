package org.lampkeeper.message;

import java.util.List;

import org.lampkeeper.register.CabinetSheet;
import org.lampkeeper.register.DatedDuty;

/** The words that remind of what comes due at a cabinet. Pure. */
public final class DatesLetter {

    private DatesLetter() {
    }

    /** @param duties at least one @param link to what is due at the site */
    public static Letter of(CabinetSheet cabinet, List<DatedDuty> duties, String name, String link) {
        StringBuilder lines = new StringBuilder();
        duties.forEach(duty -> lines.append("- by ").append(duty.due()).append(": ").append(duty.order()).append('\n'));
        DatedDuty first = duties.get(0);
        return new Letter(cabinet.name() + ", by " + first.due() + ": " + first.order() + (duties.size() > 1 ? ", and " + (duties.size() - 1) + " more" : ""), name
                + ",\n\nthis comes due at " + cabinet.name() + " (label " + cabinet.code() + ") at " + cabinet.site().name() + ":\n\n" + lines
                + "\nA test of the residual-current device takes the supply away for a moment. An inspection is for an electrician.\n\nAll that is due there: " + link + "\n");
    }
}
