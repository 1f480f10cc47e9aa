package org.lampkeeper.thermal;

import java.util.Locale;

import org.lampkeeper.quantity.Celsius;

/**
 * What a heater is good for: its lift is by how many K it keeps the inside above the outside when it never stops, P / UA.
 *
 * @param least  K, 0 or more
 * @param likely not below {@code least}
 * @param most   not below {@code likely}, at most {@value #MOST_LIFT}
 */
public record HeaterReach(Celsius setPoint, double least, double likely, double most) {

    /** Ours, K: an oven, not a cabinet. */
    static final double MOST_LIFT = 200;

    /** Whether it will do in the site's winter. */
    public enum Winter {
        HOLDS, UNSURE, TOO_SMALL
    }

    /** @throws IllegalArgumentException when the three are not in order */
    public HeaterReach {
        if (!(least >= 0 && likely >= least && most >= likely && most <= MOST_LIFT)) {
            throw new IllegalArgumentException("lift of a heater " + least + ", " + likely + ", " + most + " K, must be in order, 0 to " + MOST_LIFT);
        }
    }

    /**
     * From the drawings; as uncertain as {@link Enclosure#timeConstant()}.
     *
     * @param watt more than 0
     */
    public static HeaterReach nominal(Celsius setPoint, double watt, Enclosure enclosure) {
        if (!(watt > 0)) {
            throw new IllegalArgumentException("heater of " + watt + " W, must be more than 0");
        }
        double lift = Math.min(watt / enclosure.wattPerKelvin(), MOST_LIFT);
        return new HeaterReach(setPoint, lift / Enclosure.DOUBT, lift, Math.min(lift * Enclosure.DOUBT, MOST_LIFT));
    }

    /** The outside at which it never stops and just holds the set point, °C. */
    public double holdsDownTo() {
        return setPoint.value() - likely;
    }

    /** @param coldest what the site reckons with in winter */
    public Winter in(Celsius coldest) {
        double needed = setPoint.value() - coldest.value();
        return needed <= least ? Winter.HOLDS : needed > most ? Winter.TOO_SMALL : Winter.UNSURE;
    }

    /** "holds 8 °C down to -5 °C (-11 to -2)". */
    public String words() {
        return "holds " + degrees(setPoint.value()) + " °C down to " + degrees(holdsDownTo()) + " °C (" + degrees(setPoint.value() - most) + " to "
                + degrees(setPoint.value() - least) + ")";
    }

    private static String degrees(double value) {
        String shown = String.format(Locale.ROOT, "%.0f", value);
        return shown.equals("-0") ? "0" : shown;
    }
}
