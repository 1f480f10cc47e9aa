package org.lampkeeper.register;

import java.time.Duration;
import java.util.List;
import java.util.Optional;
import java.util.stream.Stream;

import org.lampkeeper.quantity.Celsius;
import org.lampkeeper.thermal.ContentBody;
import org.lampkeeper.thermal.Enclosure;

/**
 * How a cabinet keeps warm, as entered. What is empty is not known; nothing usual takes its place.
 *
 * @param setPoint       below it the heater is on, -20 to 40 °C
 * @param heaterWatt     its rating, 1 to 5,000 W
 * @param wattPerKelvin  U·A of all walls, 0.01 to 1,000 W/K; together with {@code joulePerKelvin} or not at all
 * @param joulePerKelvin heat capacity of walls and content, 1 to 10,000,000 J/K
 * @param coldest        the coldest that the place reckons with in winter, -60 °C to below the set point
 * @param needsSupply    whether what it holds does not work without supply, such as a telephone; then nobody is ever told more slowly
 * @param slowerWhenWarm whether its owner has chosen that people are told more slowly while a forecast says that there is time
 * @param body           whether one temperature stands for all of the content
 */
public record NewWarmth(Optional<Celsius> setPoint, Optional<Double> heaterWatt, Optional<Double> wattPerKelvin, Optional<Double> joulePerKelvin,
        Optional<Celsius> coldest, boolean needsSupply, boolean slowerWhenWarm, Body body) {

    /**
     * What the Biot number of the content is worked out from: all three or none.
     *
     * @param surfaceCoefficient h between it and the air around it, 2 to 250 W/m²K
     * @param millimetres        its volume over its surface, 0.1 to 1,000 mm
     * @param conductivity       of what it is made of, 0.01 to 500 W/mK
     */
    public record Body(Optional<Double> surfaceCoefficient, Optional<Double> millimetres, Optional<Double> conductivity) {

        public static final Body UNKNOWN = new Body(Optional.empty(), Optional.empty(), Optional.empty());

        private long given() {
            return Stream.of(surfaceCoefficient, millimetres, conductivity).filter(Optional::isPresent).count();
        }

        /** Once there are no problems with it. */
        public Optional<ContentBody> content() {
            return given() < 3 ? Optional.empty() : Optional.of(new ContentBody(surfaceCoefficient.get(), millimetres.get() / MILLIMETRES, conductivity.get()));
        }
    }

    /** Nothing is known of what its content is made of. */
    public NewWarmth(Optional<Celsius> setPoint, Optional<Double> heaterWatt, Optional<Double> wattPerKelvin, Optional<Double> joulePerKelvin,
            Optional<Celsius> coldest, boolean needsSupply, boolean slowerWhenWarm) {
        this(setPoint, heaterWatt, wattPerKelvin, joulePerKelvin, coldest, needsSupply, slowerWhenWarm, Body.UNKNOWN);
    }

    /** Nobody has said anything. */
    public static final NewWarmth NOTHING = new NewWarmth(Optional.empty(), Optional.empty(), Optional.empty(), Optional.empty(), Optional.empty(), false,
            false);

    // Ours: what no heated cabinet outdoors has is a slip of the pen.
    public static final int LEAST_SET_POINT = -20;
    public static final int MOST_SET_POINT = 40;
    public static final int MOST_WATT = 5000;
    public static final int LEAST_COLDEST = -60;
    /** Those of {@code thermal.Enclosure}. */
    public static final double LEAST_WATT_PER_KELVIN = 0.01;
    public static final int MOST_WATT_PER_KELVIN = 1000;
    public static final int MOST_JOULE_PER_KELVIN = 10_000_000;

    /** Those of {@code thermal.ContentBody}. */
    public static final double LEAST_MILLIMETRES = 0.1;
    public static final int MOST_MILLIMETRES = 1000;

    private static final double MILLIMETRES = 1000;
    private static final String TOGETHER = " is empty, must be given together with the other two of the content's figures";
    private static final long MOST_SECONDS = Duration.ofDays(Enclosure.MOST_DAYS).toSeconds();

    /** Empty when it can be registered. */
    public List<Problem> problems() {
        return new Problems()
                .must("setPoint", within(setPoint.map(Celsius::value), LEAST_SET_POINT, MOST_SET_POINT), "set point, must be " + LEAST_SET_POINT + " to "
                        + MOST_SET_POINT + " °C")
                .must("heaterWatt", within(heaterWatt, 1, MOST_WATT), "rating of the heater, must be 1 to " + MOST_WATT + " W")
                .must("wattPerKelvin", within(wattPerKelvin, LEAST_WATT_PER_KELVIN, MOST_WATT_PER_KELVIN), "U·A of the walls, must be " + LEAST_WATT_PER_KELVIN
                        + " to " + MOST_WATT_PER_KELVIN + " W/K")
                .must("joulePerKelvin", within(joulePerKelvin, 1, MOST_JOULE_PER_KELVIN), "heat capacity, must be 1 to " + MOST_JOULE_PER_KELVIN + " J/K")
                .must("joulePerKelvin", joulePerKelvin.isPresent() || wattPerKelvin.isEmpty(), "heat capacity is empty, must be given together with the U·A of the walls")
                .must("wattPerKelvin", wattPerKelvin.isPresent() || joulePerKelvin.isEmpty(), "U·A of the walls is empty, must be given together with the heat capacity")
                .must("joulePerKelvin", wattPerKelvin.isEmpty() || joulePerKelvin.isEmpty() || joulePerKelvin.get() / wattPerKelvin.get() <= MOST_SECONDS,
                        "heat capacity over U·A, must be at most " + Enclosure.MOST_DAYS + " days: nothing outdoors keeps warm for longer by its walls")
                .must("coldest", within(coldest.map(Celsius::value), LEAST_COLDEST, MOST_SET_POINT), "coldest in winter, must be " + LEAST_COLDEST + " to "
                        + MOST_SET_POINT + " °C")
                .must("coldest", coldest.isEmpty() || setPoint.isEmpty() || coldest.get().value() < setPoint.get().value(),
                        "coldest in winter, must be below the set point of the heater")
                .must("surfaceCoefficient", within(body.surfaceCoefficient, ContentBody.FREE_LEAST, ContentBody.FORCED_MOST),
                        "heat transfer at the surface of the content, must be 2 to 25 W/m²K in still air, or up to 250 where a fan blows on it")
                .must("contentMillimetres", within(body.millimetres, LEAST_MILLIMETRES, MOST_MILLIMETRES), "volume over surface of the content, must be "
                        + LEAST_MILLIMETRES + " to " + MOST_MILLIMETRES + " mm")
                .must("contentConductivity", within(body.conductivity, ContentBody.LEAST_CONDUCTIVITY, ContentBody.MOST_CONDUCTIVITY),
                        "conductivity of the content, must be 0.01 to 500 W/mK")
                .must("surfaceCoefficient", body.given() == 0 || body.surfaceCoefficient.isPresent(), "heat transfer at the surface of the content" + TOGETHER)
                .must("contentMillimetres", body.given() == 0 || body.millimetres.isPresent(), "volume over surface of the content" + TOGETHER)
                .must("contentConductivity", body.given() == 0 || body.conductivity.isPresent(), "conductivity of the content" + TOGETHER)
                .must("slowerWhenWarm", !(needsSupply && slowerWhenWarm),
                        "people are told more slowly, must not be chosen for what does not work without supply")
                .list();
    }

    private static boolean within(Optional<Double> value, double least, double most) {
        return value.isEmpty() || (value.get() >= least && value.get() <= most);
    }
}
