package org.lampkeeper.thermal;

import java.time.Duration;
import java.util.List;
import java.util.Optional;

import net.jqwik.api.ForAll;
import net.jqwik.api.Property;
import net.jqwik.api.constraints.DoubleRange;
import net.jqwik.api.constraints.Size;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

import org.lampkeeper.quantity.Celsius;
import org.lampkeeper.thermal.Enclosure.Layer;
import org.lampkeeper.thermal.Nodes.OneNode;
import org.lampkeeper.thermal.Nodes.TwoNodes;
import org.lampkeeper.thermal.Outcome.AlreadyPast;
import org.lampkeeper.thermal.Outcome.Expected;
import org.lampkeeper.thermal.Outcome.NoForecast;
import org.lampkeeper.thermal.Outcome.NotExpected;
import org.lampkeeper.thermal.Outcome.Reason;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;
import static org.assertj.core.api.Assertions.within;
import static org.lampkeeper.thermal.ThermalFixture.FROST_TO_50;
import static org.lampkeeper.thermal.ThermalFixture.HORIZON;
import static org.lampkeeper.thermal.ThermalFixture.START;
import static org.lampkeeper.thermal.ThermalFixture.between;
import static org.lampkeeper.thermal.ThermalFixture.exactly;
import static org.lampkeeper.thermal.ThermalFixture.forecast;
import static org.lampkeeper.thermal.ThermalFixture.hourly;
import static org.lampkeeper.thermal.ThermalFixture.hours;
import static org.lampkeeper.thermal.ThermalFixture.hoursTo;
import static org.lampkeeper.thermal.ThermalFixture.inside;
import static org.lampkeeper.thermal.ThermalFixture.situation;

class ForecastTest {

    /** t = τ · ln((T0 − Tout) / (Tlim − Tout)), Incropera ch. 5; the factors from 8 to 0 °C recomputed, -2 °C is ln 5. */
    @ParameterizedTest
    @CsvSource({"-1, 2.19722", "-2, 1.60944", "-5, 0.95551", "-10, 0.58779", "-15, 0.42744"})
    void timeIsTheTimeConstantTimesALogarithm(double outside, double factor) {
        assertThat(hoursTo(forecast(situation(8, outside, exactly(1))).tooCold())).isCloseTo(factor, within(1e-5));
        assertThat(hoursTo(forecast(situation(8, outside, exactly(10))).tooCold())).isCloseTo(10 * factor, within(1e-4));
    }

    /** The same law: a limit that the outside does not pass is never passed; at exactly the limit it is only approached. */
    @ParameterizedTest
    @CsvSource({"0", "0.1", "5", "20"})
    void outsideAtOrAboveTheLimitIsNeverTooCold(double outside) {
        assertThat(forecast(situation(8, outside, exactly(0.5))).tooCold())
                .isEqualTo(new NotExpected(Bound.below(new Celsius(0)), START.plus(HORIZON)));
    }

    /**
     * Incropera, Fundamentals of Heat and Mass Transfer, Ex. 5.1: a thermocouple junction with h 400 W/m²K, k 20 W/mK, c 400 J/kgK,
     * ρ 8,500 kg/m³ and a time constant of 1 s is 0.706 mm thick and goes from 25 to 199 °C in gas of 200 °C in 5.16 s.
     */
    @Test
    void thermocoupleOfIncroperasExample() {
        double diameter = 6 * 400 * 1.0 / (8500 * 400);
        double biot = 400 * (diameter / 6) / 20;
        StorageLimits to199 = new StorageLimits(Optional.empty(), Optional.of(new Celsius(199)));
        Situation junction = new Situation(Optional.of(inside(25)), Optional.of(new Outside.Constant(new Celsius(200))),
                Optional.of(new OneNode(exactly(1 / 3600.0))), to199, Leeway.NONE);

        assertThat(diameter).isCloseTo(7.06e-4, within(5e-7));
        assertThat(biot).isCloseTo(2.35e-3, within(5e-6)).isLessThan(0.1);
        assertThat(hoursTo(forecast(junction).tooHot()) * 3600).isCloseTo(5.1648, within(0.001));
    }

    /** Çengel, Heat Transfer, Ex. 4-1: a 1 mm sphere with h 210, k 35, ρ 8,500, cp 320 has come 99 % of the way after 9.94 s. */
    @Test
    void thermocoupleOfCengelsExample() {
        double length = 0.001 / 6;
        double perSecond = 210 / (8500 * 320 * length);
        StorageLimits to1 = new StorageLimits(Optional.of(new Celsius(1)), Optional.empty());
        Situation junction = new Situation(Optional.of(inside(100)), Optional.of(new Outside.Constant(new Celsius(0))),
                Optional.of(new OneNode(exactly(1 / perSecond / 3600))), to1, Leeway.NONE);

        assertThat(210 * length / 35).isCloseTo(0.001, within(1e-9));
        assertThat(perSecond).isCloseTo(0.4632, within(5e-5));
        assertThat(hoursTo(forecast(junction).tooCold()) * 3600).isCloseTo(9.94, within(0.005));
    }

    /** Ours, no published figures: 0.45 × 0.35 × 0.25 m, 0.715 m², 7,490 J/K; walls of steel, 10 mm PE foam and 20 mm PU. Recomputed. */
    @ParameterizedTest
    @CsvSource({"4.205, 0.495, 0.80, 0.47, 0.29", "1.651, 1.261, 2.03, 1.20, 0.74", "0.737, 2.823, 4.54, 2.70, 1.66"})
    void illustrativeCabinet(double wattPerKelvin, double tau, double at2, double at5, double at10) {
        TimeConstant nominal = new Enclosure(wattPerKelvin, 7490).timeConstant();

        assertThat(nominal.basis()).isEqualTo(TimeConstant.Basis.NOMINAL);
        assertThat(nominal.likely().toMillis() / 3.6e6).isCloseTo(tau, within(0.001));
        assertThat(hoursTo(((Expected) forecast(situation(8, -2, nominal)).tooCold()).likely().orElseThrow())).isCloseTo(at2, within(0.006));
        assertThat(hoursTo(((Expected) forecast(situation(8, -5, nominal)).tooCold()).likely().orElseThrow())).isCloseTo(at5, within(0.006));
        assertThat(hoursTo(((Expected) forecast(situation(8, -10, nominal)).tooCold()).likely().orElseThrow())).isCloseTo(at10, within(0.006));
    }

    /** U = 1 / (0.13 + d/λ + 0.04), EN ISO 6946; λ from memory: steel 50, PE foam 0.038, PU 0.025; U·A over our 0.715 m². */
    @ParameterizedTest
    @CsvSource({"0.002, 50, 5.881, 4.205", "0.010, 0.038, 2.308, 1.651", "0.020, 0.025, 1.031, 0.737"})
    void wallsOfTheIllustrativeCabinet(double metres, double lambda, double u, double ua) {
        assertThat(Enclosure.ofWall(metres, lambda)).isCloseTo(u, within(0.001));
        assertThat(Enclosure.ofWall(metres, lambda) * 0.715).isCloseTo(ua, within(0.001));
    }

    /** dow.com, insulated sandwich panel: 51 mm of XPS with λ 0.029 alone is 1.759 m²K/W; both surfaces are ours to add. */
    @Test
    void sandwichPanel() {
        assertThat(1 / Enclosure.ofWall(0.051, 0.029) - 0.13 - 0.04).isCloseTo(1.759, within(0.0005));
    }

    /** The same page: 1 mm of aluminium, 2 mm of board, 51 mm of XPS and 1 mm of aluminium are 1.774 m²K/W. λ of aluminium and board are from memory. */
    @Test
    void sandwichPanelWithItsSkins() {
        double u = Enclosure.ofLayers(List.of(Layer.of(0.001, Material.ALUMINIUM), Layer.of(0.002, Material.STRAND_BOARD), Layer.of(0.051, Material.XPS),
                Layer.of(0.001, Material.ALUMINIUM)));

        assertThat(1 / u - 0.13 - 0.04).isCloseTo(1.774, within(0.0005));
        assertThatThrownBy(() -> new Layer(0, 0.03)).hasMessageContaining("more than 0");
        assertThatThrownBy(() -> new Layer(0.05, 0)).hasMessageContaining("more than 0");
    }

    /** From memory, in the manner of ISO 10456; that of XPS as dow.com has it. W/mK. */
    @ParameterizedTest
    @CsvSource({"PU_FOAM, 0.022, 0.028", "EPS, 0.033, 0.038", "XPS, 0.029, 0.029", "PE_FOAM, 0.038, 0.038", "STEEL, 50, 50", "STAINLESS_STEEL, 15, 17",
        "GRP, 0.2, 0.3"})
    void conductivityThatIsTakenIsTheMiddleOfWhatIsMet(Material material, double least, double most) {
        assertThat(material.leastConductivity()).isEqualTo(least);
        assertThat(material.mostConductivity()).isEqualTo(most);
        assertThat(material.conductivity()).isCloseTo((least + most) / 2, within(1e-12));
    }

    /** From memory, no source. J/kgK. */
    @ParameterizedTest
    @CsvSource({"STEEL, 480, 500", "PLASTICS_AND_ELECTRONICS, 1000, 1400", "AIR, 1006, 1006"})
    void heatThatIsTakenIsTheMiddleOfWhatIsMet(Substance substance, double least, double most) {
        assertThat(substance.leastHeat()).isEqualTo(least);
        assertThat(substance.mostHeat()).isEqualTo(most);
        assertThat(substance.heat()).isCloseTo((least + most) / 2, within(1e-9));
    }

    /** Ours, no published figures: 0.45 × 0.35 × 0.25 m, 0.715 m², 8 kg of steel, 3 kg of content and its air at 1.27 kg/m³ are 7,490 J/K. */
    @Test
    void heatCapacityOfTheIllustrativeCabinet() {
        double air = 0.45 * 0.35 * 0.25 * 1.27;

        assertThat(2 * (0.45 * 0.35 + 0.45 * 0.25 + 0.35 * 0.25)).isCloseTo(0.715, within(1e-9));
        assertThat(8 * Substance.STEEL.leastHeat() + 3 * Substance.PLASTICS_AND_ELECTRONICS.heat() + air * Substance.AIR.heat()).isCloseTo(7490, within(0.5));
    }

    @Test
    void rangeComesFromTheRangeOfTheTimeConstant() {
        Expected tooCold = (Expected) forecast(situation(8, -2, between(1, 2, 3))).tooCold();

        assertThat(hoursTo(tooCold.early())).isCloseTo(1.609, within(0.001));
        assertThat(hoursTo(tooCold.likely().orElseThrow())).isCloseTo(3.219, within(0.001));
        assertThat(hoursTo(tooCold.late().orElseThrow())).isCloseTo(4.828, within(0.001));
    }

    /** The same law, recomputed: early from 7.5 °C in -4, late from 8.5 °C in 0, which is never. */
    @Test
    void leewayOfTheTemperaturesWidensTheRange() {
        Situation exact = situation(8, -2, between(1, 2, 3));
        Expected tooCold = (Expected) forecast(with(exact, new Leeway(0.5, 2))).tooCold();

        assertThat(hoursTo(tooCold.early())).isCloseTo(Math.log(11.5 / 4), within(1e-5));
        assertThat(hoursTo(tooCold.likely().orElseThrow())).isCloseTo(2 * Math.log(5), within(1e-5));
        assertThat(tooCold.late()).isEmpty();
        assertThat(hoursTo(((Expected) forecast(with(exact, new Leeway(0.5, 1))).tooCold()).late().orElseThrow()))
                .isCloseTo(3 * Math.log(9.5), within(1e-5));
    }

    @Test
    void leewayOfSummerGoesTheOtherWay() {
        Situation exact = situation(30, 60, exactly(2));
        Expected tooHot = (Expected) forecast(with(exact, new Leeway(1, 5))).tooHot();

        assertThat(hoursTo(tooHot.early())).isCloseTo(2 * Math.log(34.0 / 15), within(1e-5));
        assertThat(hoursTo(tooHot.late().orElseThrow())).isCloseTo(2 * Math.log(26.0 / 5), within(1e-5));
    }

    /** 0.3 °C may as well be below 0 already: the early end is now. */
    @Test
    void contentNearItsBoundMayBePastIt() {
        Expected tooCold = (Expected) forecast(with(situation(0.3, 5, exactly(2)), Leeway.USUAL)).tooCold();

        assertThat(tooCold.early()).isEqualTo(START);
        assertThat(tooCold.likely()).isEmpty();
    }

    @Test
    void lateEndThatIsNotReachedHasNoTime() {
        Expected tooCold = (Expected) Forecast.of(situation(8, -2, between(1, 2, 30)), Duration.ofHours(10), START).tooCold();

        assertThat(tooCold.likely()).isPresent();
        assertThat(tooCold.late()).isEmpty();
        assertThat(tooCold.until()).isEqualTo(START.plus(Duration.ofHours(10)));
    }

    /** The other side: 30 °C inside, 60 outside, too hot above 50: ln 3. */
    @Test
    void summerSunIsTooHot() {
        Forecast forecast = forecast(situation(30, 60, exactly(2)));

        assertThat(hoursTo(forecast.tooHot())).isCloseTo(2 * Math.log(3), within(1e-5));
        assertThat(forecast.tooCold()).isInstanceOf(NotExpected.class);
    }

    @Test
    void alreadyTooColdIsNoForecast() {
        assertThat(forecast(situation(-0.1, -5, exactly(2))).tooCold())
                .isEqualTo(new AlreadyPast(Bound.below(new Celsius(0)), new Celsius(-0.1), START));
        assertThat(hoursTo(forecast(situation(0, -5, exactly(2))).tooCold())).isCloseTo(0, within(1e-5));
    }

    @Test
    void whatIsMissingIsSaidAndNeverMadeUp() {
        Situation whole = situation(8, -5, exactly(2));
        Situation noInside = new Situation(Optional.empty(), whole.outside(), whole.nodes(), FROST_TO_50, Leeway.NONE);
        Situation noOutside = new Situation(whole.inside(), Optional.empty(), whole.nodes(), FROST_TO_50, Leeway.NONE);
        Situation noNodes = new Situation(whole.inside(), whole.outside(), Optional.empty(), FROST_TO_50, Leeway.NONE);
        Situation noLimits = new Situation(whole.inside(), whole.outside(), whole.nodes(), StorageLimits.NONE, Leeway.NONE);

        assertThat(forecast(noInside).tooCold()).isEqualTo(new NoForecast(Reason.NO_TEMPERATURE));
        assertThat(forecast(noOutside).tooCold()).isEqualTo(new NoForecast(Reason.NO_OUTSIDE));
        assertThat(forecast(noNodes).tooCold()).isEqualTo(new NoForecast(Reason.NO_TIME_CONSTANT));
        assertThat(forecast(noLimits)).isEqualTo(new Forecast(new NoForecast(Reason.NO_LIMIT), new NoForecast(Reason.NO_LIMIT)));
        assertThat(Forecast.of(whole, HORIZON, START.plus(Forecast.OLDEST).plusMillis(1)).tooCold()).isEqualTo(new NoForecast(Reason.OLD_TEMPERATURE));
        assertThat(Forecast.of(whole, HORIZON, START.plus(Forecast.OLDEST)).tooCold()).isInstanceOf(Expected.class);
    }

    @Test
    void deviceThatIsNotMeasuredIsNotGuessedFromTheAir() {
        Nodes two = new TwoNodes(exactly(0.3), hours(0.1), hours(2));

        assertThat(forecast(situation(8, new Outside.Constant(new Celsius(-5)), two)).tooCold()).isEqualTo(new NoForecast(Reason.NO_TEMPERATURE));
    }

    @Test
    void nothingIsReckonedBeyondTheHourlyList() {
        assertThat(forecast(situation(8, hourly(2, 1, 1), new OneNode(exactly(2)))).tooCold())
                .isEqualTo(new NotExpected(Bound.below(new Celsius(0)), START.plus(Duration.ofHours(2))));
        assertThat(forecast(situation(8, new Outside.Hourly(START.minus(Duration.ofHours(1)), ThermalFixture.celsius(-9, -9)), new OneNode(exactly(2)))).tooCold())
                .as("its last value alone says nothing of later").isEqualTo(new NoForecast(Reason.NO_OUTSIDE));
        assertThat(forecast(situation(8, new Outside.Hourly(START.plusSeconds(1), ThermalFixture.celsius(-9, -9)), new OneNode(exactly(2)))).tooCold())
                .isEqualTo(new NoForecast(Reason.NO_OUTSIDE));
    }

    /** Within the hour it falls below 0 and is back: no step may jump over it. */
    @Test
    void shortDipWithinOneHourIsFound() {
        Forecast forecast = forecast(situation(0.2, hourly(-3, 9, 9), new OneNode(exactly(1))));

        assertThat(hoursTo(forecast.tooCold())).isBetween(0.05, 0.2);
    }

    /** Air at 4 °C, content at 8: as one body it begins at 6, as if each had half of the heat capacity. */
    @Test
    void oneBodyBeginsBetweenWhatIsMeasured() {
        Situation both = new Situation(Optional.of(new Measured(START, new Celsius(4), Optional.of(new Celsius(8)))), Optional.of(new Outside.Constant(new Celsius(-5))),
                Optional.of(new OneNode(exactly(2))), FROST_TO_50, Leeway.NONE);

        assertThat(hoursTo(forecast(both).tooCold())).isCloseTo(2 * Math.log(11.0 / 5), within(1e-5));
    }

    /** All three times are stretched alike: twice the likely one is a cabinet of which everything takes twice as long. */
    @Test
    void endsOfTwoNodesAreStretchedAlike() {
        Optional<Measured> measured = Optional.of(new Measured(START, new Celsius(8), Optional.of(new Celsius(7))));
        Outside frost = new Outside.Constant(new Celsius(-5));
        Expected range = (Expected) forecast(new Situation(measured, Optional.of(frost), Optional.of(new TwoNodes(between(0.5, 1, 2), hours(0.4), hours(1.2))), FROST_TO_50,
                Leeway.NONE)).tooCold();
        Expected slow = (Expected) forecast(new Situation(measured, Optional.of(frost), Optional.of(new TwoNodes(exactly(2), hours(0.8), hours(2.4))), FROST_TO_50, Leeway.NONE))
                .tooCold();

        assertThat(hoursTo(range.late().orElseThrow())).isCloseTo(hoursTo(slow.early()), within(1e-5)).isCloseTo(4 * hoursTo(range.early()), within(1e-5));
    }

    /** Warm air first, then frost, and warm again, all in one hour: the device rises, falls below 0 and is back, though it rises at both ends. */
    @Test
    void dipBetweenTwoTurnsOfADeviceIsFound() {
        Situation both = new Situation(Optional.of(new Measured(START, new Celsius(3), Optional.of(new Celsius(0.3)))), Optional.of(hourly(-10, 10, 10, 10)),
                Optional.of(new TwoNodes(exactly(1 / 12.0), hours(1), hours(1 / 6.0))), FROST_TO_50, Leeway.NONE);

        assertThat(hoursTo(forecast(both).tooCold())).isBetween(0.05, 0.25);
    }

    @Test
    void deviceLagsBehindItsAir() {
        Situation air = situation(8, -5, exactly(0.5));
        Situation both = new Situation(Optional.of(new Measured(START, new Celsius(8), Optional.of(new Celsius(8)))), air.outside(),
                Optional.of(new TwoNodes(exactly(0.5), hours(0.2), hours(1.5))), FROST_TO_50, Leeway.NONE);

        assertThat(hoursTo(forecast(both).tooCold())).isGreaterThan(2 * hoursTo(forecast(air).tooCold()));
    }

    /** Optimistic: the heater has just warmed the air, the content is colder than it, and one node does not see that. */
    @Test
    void oneNodeIsOptimisticWhereTheContentIsColderThanItsAir() {
        Situation air = situation(15, -5, exactly(2));
        Situation both = new Situation(Optional.of(new Measured(START, new Celsius(15), Optional.of(new Celsius(1)))), air.outside(),
                Optional.of(new TwoNodes(exactly(0.5), hours(0.2), hours(1.5))), FROST_TO_50, Leeway.NONE);

        assertThat(hoursTo(forecast(both).tooCold())).isLessThan(hoursTo(forecast(air).tooCold()));
    }

    /** Ours: half a kelvin of the sensor and two of the weather; docs/thermal.md says so. */
    @Test
    void usualLeeway() {
        assertThat(Leeway.USUAL).isEqualTo(new Leeway(0.5, 2));
    }

    @Test
    void limitsLeaveSomethingBetweenThem() {
        assertThatThrownBy(() -> new StorageLimits(Optional.of(new Celsius(5)), Optional.of(new Celsius(5)))).hasMessageContaining("must be below the highest");
    }

    @Test
    void timeConstantOfACellarIsRefused() {
        assertThat(new TimeConstant(hours(1), hours(2), Duration.ofDays(60), TimeConstant.Basis.LEARNED).late()).isEqualTo(Duration.ofDays(60));
        assertThatThrownBy(() -> new TimeConstant(hours(1), hours(2), Duration.ofDays(60).plusMillis(1), TimeConstant.Basis.LEARNED)).hasMessageContaining("at most 60 days");
    }

    @Test
    void orderOfATimeConstantIsKept() {
        assertThatThrownBy(() -> between(2, 1, 3)).hasMessageContaining("must be in order");
        assertThatThrownBy(() -> between(0, 1, 3)).hasMessageContaining("more than 0");
    }

    @Property(tries = 200)
    void largerTimeConstantNeverShortensTheTime(@ForAll @DoubleRange(min = 0.1, max = 40) double inside,
            @ForAll @DoubleRange(min = 0.05, max = 40) double tau, @ForAll @DoubleRange(min = 1, max = 3) double larger,
            @ForAll @Size(30) List<@DoubleRange(min = -20, max = 25) Double> outside) {
        Outcome one = forecast(situation(inside, hourly(outside), new OneNode(exactly(tau)))).tooCold();
        Outcome other = forecast(situation(inside, hourly(outside), new OneNode(exactly(tau * larger)))).tooCold();

        assertThat(isNoEarlier(other, one)).isTrue();
    }

    @Property(tries = 200)
    void lowerOutsideNeverLengthensTheTime(@ForAll @DoubleRange(min = 0.1, max = 40) double inside,
            @ForAll @DoubleRange(min = 0.05, max = 40) double tau, @ForAll @DoubleRange(min = 0, max = 10) double lower,
            @ForAll @Size(30) List<@DoubleRange(min = -20, max = 25) Double> outside) {
        Outcome warm = forecast(situation(inside, hourly(outside), new OneNode(exactly(tau)))).tooCold();
        Outcome cold = forecast(situation(inside, hourly(outside.stream().map(each -> each - lower).toList()), new OneNode(exactly(tau)))).tooCold();

        assertThat(isNoEarlier(warm, cold)).isTrue();
    }

    @Property(tries = 200)
    void earlyIsNotAfterLikelyAndLikelyNotAfterLate(@ForAll @DoubleRange(min = 0.1, max = 40) double inside,
            @ForAll @DoubleRange(min = 0.1, max = 40) double device, @ForAll @DoubleRange(min = 0.05, max = 10) double tau,
            @ForAll @DoubleRange(min = 0.05, max = 5) double exchange, @ForAll boolean hasTwoNodes,
            @ForAll @Size(30) List<@DoubleRange(min = -20, max = 25) Double> outside) {
        TimeConstant range = between(tau / 2, tau, tau * 3);
        Nodes nodes = hasTwoNodes ? new TwoNodes(range, hours(exchange / 5), hours(exchange)) : new OneNode(range);
        Measured measured = new Measured(START, new Celsius(inside), hasTwoNodes ? Optional.of(new Celsius(device)) : Optional.empty());
        Outcome tooCold = forecast(new Situation(Optional.of(measured), Optional.of(hourly(outside)), Optional.of(nodes), FROST_TO_50, Leeway.NONE)).tooCold();

        if (tooCold instanceof Expected expected) {
            assertThat(expected.likely().orElse(expected.until())).isBetween(expected.early(), expected.late().orElse(expected.until()));
            assertThat(expected.late().isEmpty() || expected.likely().isPresent()).isTrue();
        }
    }

    @Property(tries = 200)
    void shiftingAllTemperaturesShiftsNothing(@ForAll @DoubleRange(min = 0.1, max = 40) double inside,
            @ForAll @DoubleRange(min = 0.05, max = 40) double tau, @ForAll @DoubleRange(min = -30, max = 30) double shift,
            @ForAll @Size(30) List<@DoubleRange(min = -20, max = 25) Double> outside) {
        StorageLimits shifted = new StorageLimits(Optional.of(new Celsius(shift)), Optional.empty());
        Outcome here = forecast(situation(inside, hourly(outside), new OneNode(exactly(tau)))).tooCold();
        Outcome there = forecast(new Situation(Optional.of(inside(inside + shift)), Optional.of(hourly(outside.stream().map(each -> each + shift).toList())),
                Optional.of(new OneNode(exactly(tau))), shifted, Leeway.NONE)).tooCold();

        assertThat(there.getClass()).isEqualTo(here.getClass());
        if (here instanceof Expected) {
            assertThat(hoursTo(there)).isCloseTo(hoursTo(here), within(1e-4));
        }
    }

    private static Situation with(Situation exact, Leeway leeway) {
        return new Situation(exact.inside(), exact.outside(), exact.nodes(), exact.limits(), leeway);
    }

    /** One millisecond is what is cut off. */
    private static boolean isNoEarlier(Outcome one, Outcome than) {
        return one instanceof NotExpected || than instanceof Expected && hoursTo(one) >= hoursTo(than) - 1e-6;
    }
}
