package org.lampkeeper.electrical;

import java.util.List;
import java.util.Locale;
import java.util.Optional;
import java.util.OptionalInt;
import java.util.regex.Matcher;
import java.util.regex.Pattern;

/**
 * How far an enclosure keeps out solids and water (IEC 60529). "X" is not stated, and never nought.
 *
 * @param solids 0 to 6
 * @param water  0 to 9
 * @param jets   a second marking, of 0 to 6, such as the IPX5 of IPX5/IPX7: to stand under water is not to stand a jet
 */
public record IpCode(OptionalInt solids, OptionalInt water, OptionalInt jets) {

    // Additional letters, such as the C of IP23C, are of no account here.
    private static final Pattern CODE = Pattern.compile("IP([0-6X])([0-9X])[A-DHMSW]{0,3}(?:/(?:IP)?([0-6X])?([0-9X])[A-DHMSW]{0,3})?");
    private static final int LAST_THAT_COVERS = 6;

    // IEC 60529, clauses 5 and 6, in short: from a secondary copy.
    private static final List<String> SOLIDS = List.of("no protection against solids", "keeps out solids of 50 mm", "keeps out fingers (12.5 mm)", "keeps out tools (2.5 mm)",
            "keeps out wires (1 mm)", "dust-protected", "dust-tight");
    private static final List<String> WATER = List.of("no protection against water", "stands drops from above", "stands drops at 15°", "stands spray up to 60°",
            "stands splashes", "stands jets", "stands strong jets", "stands immersion for a time (1 m, 30 min)", "stands lasting immersion", "stands hot jets of high pressure");

    /** What a need and a code come to. */
    public enum Meets {
        YES,
        NO,
        UNKNOWN
    }

    /** Empty for what is no such code. */
    public static Optional<IpCode> of(String text) {
        Matcher code = CODE.matcher(text.strip().replace(" ", "").toUpperCase(Locale.ROOT));
        if (!code.matches()) {
            return Optional.empty();
        }
        OptionalInt first = digit(code.group(2));
        OptionalInt second = code.group(4) == null ? OptionalInt.empty() : digit(code.group(4));
        boolean firstIsLow = first.isPresent() && first.getAsInt() <= LAST_THAT_COVERS;
        return Optional.of(second.isEmpty() ? new IpCode(digit(code.group(1)), first, firstIsLow ? first : OptionalInt.empty())
                : firstIsLow ? new IpCode(digit(code.group(1)), second, first) : new IpCode(digit(code.group(1)), first, second));
    }

    private static OptionalInt digit(String text) {
        return text.equals("X") ? OptionalInt.empty() : OptionalInt.of(Integer.parseInt(text));
    }

    /** Up to 6 a numeral covers those below it; 7 and more do not cover 5 and 6 (IEC 60529, clause 6). */
    public Meets meets(IpCode need) {
        Meets bySolids = need.solids().isEmpty() ? Meets.YES : solids.isEmpty() ? Meets.UNKNOWN : solids.getAsInt() >= need.solids().getAsInt() ? Meets.YES : Meets.NO;
        Meets byWater = need.water().isEmpty() ? Meets.YES : keepsOut(need.water().getAsInt());
        if (bySolids == Meets.NO || byWater == Meets.NO) {
            return Meets.NO;
        }
        return bySolids == Meets.UNKNOWN || byWater == Meets.UNKNOWN ? Meets.UNKNOWN : Meets.YES;
    }

    private Meets keepsOut(int needed) {
        if (water.isEmpty()) {
            return Meets.UNKNOWN;
        }
        if (water.getAsInt() == needed || jets.isPresent() && jets.getAsInt() >= needed) {
            return Meets.YES;
        }
        // Whatever stands immersion stands drops and splashes.
        boolean coversLow = water.getAsInt() > LAST_THAT_COVERS && needed <= 4;
        boolean isLonger = needed > LAST_THAT_COVERS && water.getAsInt() == 8 && needed == 7;
        return coversLow || isLonger ? Meets.YES : Meets.NO;
    }

    /** What it says, in words. */
    public String words() {
        return said(SOLIDS, solids, "solids not stated") + ", " + said(WATER, water, "water not stated") + (jets.isPresent() && !jets.equals(water) ? ", " + WATER.get(jets.getAsInt()) : "");
    }

    private static String said(List<String> words, OptionalInt digit, String unstated) {
        return digit.isPresent() ? words.get(digit.getAsInt()) : unstated;
    }
}
