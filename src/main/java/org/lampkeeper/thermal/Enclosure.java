package org.lampkeeper.thermal;

import java.time.Duration;
import java.util.List;

import org.lampkeeper.quantity.Celsius;

/**
 * A cabinet as its drawings have it. What comes of it is nominal: wind, rain, sun, gaps at the door and the lie of the content are not in it.
 *
 * @param wattPerKelvin  U·A of all walls, 0.01 to 1,000 W/K
 * @param joulePerKelvin heat capacity of walls and content together, 1 to 10,000,000 J/K
 */
public record Enclosure(double wattPerKelvin, double joulePerKelvin) {

    /** Resistance of the air inside and outside a wall in m²K/W, heat flowing sideways: EN ISO 6946. */
    private static final double INNER_SURFACE = 0.13;
    private static final double OUTER_SURFACE = 0.04;

    /** Ours: drawings are off by up to twice, either way, for what they leave out. */
    static final int DOUBT = 2;

    /** C / UA of what a forecast is made for; the doubt about it comes on top. */
    public static final int MOST_DAYS = TimeConstant.MOST_DAYS / DOUBT;

    /** @throws IllegalArgumentException for what is no cabinet */
    public Enclosure {
        if (!(wattPerKelvin >= 0.01 && wattPerKelvin <= 1000)) {
            throw new IllegalArgumentException("U·A " + wattPerKelvin + " W/K, must be 0.01 to 1000");
        }
        if (!(joulePerKelvin >= 1 && joulePerKelvin <= 10_000_000)) {
            throw new IllegalArgumentException("heat capacity " + joulePerKelvin + " J/K, must be 1 to 10000000");
        }
    }

    /**
     * U of a wall of one material in W/m²K: U = 1 / (Rsi + d/λ + Rse), EN ISO 6946.
     *
     * @param metres thickness, more than 0
     * @param lambda thermal conductivity in W/mK, more than 0
     */
    public static double ofWall(double metres, double lambda) {
        return ofLayers(List.of(new Layer(metres, lambda)));
    }

    /** The same of a wall of several materials, one behind the other. */
    public static double ofLayers(List<Layer> layers) {
        return 1 / (INNER_SURFACE + layers.stream().mapToDouble(Layer::resistance).sum() + OUTER_SURFACE);
    }

    /** Heat transfer between a wall and the air in the cabinet in W/m²K, as EN ISO 6946 has it: 7.7. */
    public static double innerSurfaceCoefficient() {
        return 1 / INNER_SURFACE;
    }

    /** Between a wall and the air outside, as EN ISO 6946 has it: 25. */
    static double outerSurfaceCoefficient() {
        return 1 / OUTER_SURFACE;
    }

    /**
     * One material of a wall.
     *
     * @param metres thickness, more than 0
     * @param lambda thermal conductivity in W/mK, more than 0
     */
    public record Layer(double metres, double lambda) {

        /** @throws IllegalArgumentException for what is no layer */
        public Layer {
            if (!(metres > 0) || !(lambda > 0)) {
                throw new IllegalArgumentException("wall of " + metres + " m and " + lambda + " W/mK, both must be more than 0");
            }
        }

        public static Layer of(double metres, Material material) {
            return new Layer(metres, material.conductivity());
        }

        /** m²K/W, without surfaces. */
        double resistance() {
            return metres / lambda;
        }
    }

    /**
     * Half to twice of C / UA, marked as nominal.
     *
     * @throws IllegalArgumentException where C / UA is more than {@value #MOST_DAYS} days
     */
    public TimeConstant timeConstant() {
        return timeConstant(TimeConstant.Basis.NOMINAL);
    }

    /** The same; where one temperature does not stand for all of {@code content} it is marked as that too. */
    public TimeConstant timeConstant(ContentBody content) {
        return timeConstant(content.isLumped() ? TimeConstant.Basis.NOMINAL : TimeConstant.Basis.NOMINAL_OF_THICK_CONTENT);
    }

    private TimeConstant timeConstant(TimeConstant.Basis basis) {
        Duration likely = Duration.ofMillis(Math.round(joulePerKelvin / wattPerKelvin * 1000));
        return new TimeConstant(likely.dividedBy(DOUBT), likely, likely.multipliedBy(DOUBT), basis);
    }

    /** W that keep the inside at {@code inside} for good; 0 where it is no colder outside. */
    public double holding(Celsius inside, Celsius outside) {
        return Math.max(0, wattPerKelvin * (inside.value() - outside.value()));
    }
}
