package org.lampkeeper.electrical;

import java.util.List;
import java.util.Locale;
import java.util.Optional;

/**
 * What one figure of a circuit amounts to, with all that a competent person needs to work it out again.
 *
 * @param what    what was looked at: "fault loop, cold"
 * @param says    one sentence, figures rounded for reading; the unrounded ones decided
 * @param formula as in the standard: "Zs = Ze + R1 + R2"
 * @param inputs  the figures that went into it: "Ze 0.35 Ω"
 * @param limit   the figure that decides, with its unit; none where nothing is compared
 * @param edition of the tables
 * @param source  where the limit stands
 * @param advice  what to do or to mind
 */
public record Verdict(String what, Grade grade, String says, String formula, List<String> inputs, Optional<String> limit, String edition,
        String source, List<String> advice) {

    public Verdict {
        inputs = List.copyOf(inputs);
        advice = List.copyOf(advice);
    }

    /** Some of what is needed was not given. */
    public static Verdict notGiven(String what, String missing, Limits limits) {
        return new Verdict(what, Grade.NOT_GIVEN, "Not worked out: " + missing + " was not given.", "", List.of(), Optional.empty(), limits.edition(), "",
                List.of());
    }

    /**
     * Everything was given, and the tables have no row for it.
     *
     * @param lacking what is not there, as a sentence without its end: "the tables of this edition have no fuse of 5 A"
     */
    public static Verdict notInTables(String what, String lacking, Limits limits) {
        return new Verdict(what, Grade.NOT_GIVEN, "Not worked out: " + lacking + ".", "", List.of(), Optional.empty(), limits.edition(), "",
                List.of("Take it from the standard that applies or from its maker’s table, and say in the remark when you sign what was decided by which table."));
    }

    /** At most {@code places} decimals, as they are read in the trade; without zeros at the end. */
    public static String figure(double value, int places) {
        String shown = String.format(Locale.ROOT, "%." + places + "f", value);
        return shown.contains(".") ? shown.replaceAll("0+$", "").replaceAll("\\.$", "") : shown;
    }

    static String ohm(double value) {
        return String.format(Locale.ROOT, "%.2f Ω", value);
    }
}
