package org.lampkeeper.register;

import java.util.List;
import java.util.Optional;

import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

import org.lampkeeper.quantity.Celsius;
import org.lampkeeper.register.NewWarmth.Body;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.within;

class NewWarmthTest {

    @Test
    void nothingAtAllMayBeSaid() {
        assertThat(NewWarmth.NOTHING.problems()).isEmpty();
    }

    /** Both sides of each bound; those of the walls are those of {@code thermal.Enclosure}. */
    @ParameterizedTest
    @CsvSource({"-20, 1, 0.01, 1, true", "40, 5000, 1000, 10000000, true", "-21, 1, 0.01, 1, false", "41, 1, 0.01, 1, false", "8, 0.9, 0.01, 1, false",
        "8, 5001, 0.01, 1, false", "8, 30, 0.009, 1, false", "8, 30, 1001, 1, false", "8, 30, 1, 0.9, false", "8, 30, 1, 10000001, false", "8, 30, 1, 2592000, true", "8, 30, 1, 2592001, false",
        "8, 30, 0.01, 10000000, false"})
    void figuresHaveBounds(double setPoint, double watt, double loss, double capacity, boolean isFine) {
        NewWarmth said = new NewWarmth(Optional.of(new Celsius(setPoint)), Optional.of(watt), Optional.of(loss), Optional.of(capacity), Optional.empty(), false,
                false);

        assertThat(said.problems().isEmpty()).isEqualTo(isFine);
    }

    @Test
    void wallsAndMassesAreGivenTogether() {
        assertThat(fields(new NewWarmth(Optional.empty(), Optional.empty(), Optional.of(0.7), Optional.empty(), Optional.empty(), false, false)))
                .containsExactly("joulePerKelvin");
        assertThat(fields(new NewWarmth(Optional.empty(), Optional.empty(), Optional.empty(), Optional.of(7490.0), Optional.empty(), false, false)))
                .containsExactly("wattPerKelvin");
    }

    @Test
    void winterIsColderThanTheSetPoint() {
        assertThat(fields(new NewWarmth(Optional.of(new Celsius(8)), Optional.empty(), Optional.empty(), Optional.empty(), Optional.of(new Celsius(8)), false,
                false))).containsExactly("coldest");
    }

    @Test
    void whatNeedsSupplyIsNeverToldOfMoreSlowly() {
        assertThat(fields(new NewWarmth(Optional.empty(), Optional.empty(), Optional.empty(), Optional.empty(), Optional.empty(), true, true)))
                .containsExactly("slowerWhenWarm");
    }

    /** h of gases is 2 to 250 W/m²K: Y. A. Çengel, notes at mhhe.com. The other bounds are ours. Both sides of each. */
    @ParameterizedTest
    @CsvSource({"2, 0.1, 0.01,", "25, 29, 0.25,", "250, 1000, 500,", "1.9, 29, 0.25, surfaceCoefficient", "251, 29, 0.25, surfaceCoefficient",
        "8, 0.09, 0.25, contentMillimetres", "8, 1001, 0.25, contentMillimetres", "8, 29, 0.009, contentConductivity", "8, 29, 501, contentConductivity"})
    void figuresOfAContentHaveBounds(double h, double millimetres, double conductivity, String field) {
        NewWarmth said = of(new Body(Optional.of(h), Optional.of(millimetres), Optional.of(conductivity)));

        assertThat(fields(said)).isEqualTo(field == null ? List.of() : List.of(field));
        if (field == null) {
            assertThat(said.body().content().orElseThrow().biot()).isCloseTo(h * millimetres / 1000 / conductivity, within(1e-9));
        }
    }

    @Test
    void figuresOfAContentAreGivenTogether() {
        Body two = new Body(Optional.of(8.0), Optional.empty(), Optional.of(0.25));

        assertThat(fields(of(two))).containsExactly("contentMillimetres");
        assertThat(fields(of(new Body(Optional.empty(), Optional.of(29.0), Optional.empty())))).containsExactly("surfaceCoefficient", "contentConductivity");
        assertThat(two.content()).isEmpty();
        assertThat(Body.UNKNOWN.content()).isEmpty();
    }

    private static NewWarmth of(Body body) {
        return new NewWarmth(Optional.empty(), Optional.empty(), Optional.empty(), Optional.empty(), Optional.empty(), false, false, body);
    }

    private static List<String> fields(NewWarmth said) {
        return said.problems().stream().map(Problem::field).toList();
    }
}
