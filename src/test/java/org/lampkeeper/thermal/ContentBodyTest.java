package org.lampkeeper.thermal;

import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

import org.lampkeeper.thermal.TimeConstant.Basis;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;
import static org.assertj.core.api.Assertions.within;

class ContentBodyTest {

    private static final Enclosure CABINET = new Enclosure(0.737, 7490);

    /**
     * Bi = h·Lc / k: Incropera, Fundamentals of Heat and Mass Transfer, Ex. 5.1, a sphere of 0.706 mm, h 400, k 20: 2.35e-3; Çengel, Heat Transfer, Ex. 4-1,
     * of 1 mm, h 210, k 35: 0.001. Lc of a sphere is a sixth of its diameter.
     */
    @ParameterizedTest
    @CsvSource({"400, 7.06e-4, 20, 2.35e-3, 5e-6", "210, 0.001, 35, 0.001, 1e-9"})
    void biotNumbersOfTheTextbooks(double h, double diameter, double k, double biot, double near) {
        assertThat(ContentBody.biot(h, diameter / 6, k)).isCloseTo(biot, within(near));
    }

    /** Under 0.1 one temperature stands for all of it: Incropera, ch. 5. Both sides, and the bound itself. */
    @ParameterizedTest
    @CsvSource({"9.9, true", "10, false", "10.1, false"})
    void lumpedCapacitanceNeedsABiotNumberUnderATenth(double h, boolean isLumped) {
        ContentBody body = new ContentBody(h, 0.01, 1);

        assertThat(body.isLumped()).isEqualTo(isLumped);
        assertThat(CABINET.timeConstant(body).basis()).isEqualTo(isLumped ? Basis.NOMINAL : Basis.NOMINAL_OF_THICK_CONTENT);
        assertThat(CABINET.timeConstant(body).likely()).as("said, and not reckoned otherwise").isEqualTo(CABINET.timeConstant().likely());
    }

    /** Çengel, Convection Heat Transfer, notes at mhhe.com, table of h: gases 2 to 25 W/m²K in free convection, 25 to 250 in forced. */
    @ParameterizedTest
    @CsvSource({"1.99, false, false", "2, true, true", "25, true, true", "25.1, true, false", "250, true, false", "250.1, false, false"})
    void heatTransferOfAGasIsWithinTheTextbooksRange(double h, boolean isTaken, boolean isInStillAir) {
        if (isTaken) {
            assertThat(new ContentBody(h, 0.03, 0.25).isInStillAir()).isEqualTo(isInStillAir);
        } else {
            assertThatThrownBy(() -> new ContentBody(h, 0.03, 0.25)).hasMessageContaining("must be 2.0 to 250.0");
        }
    }

    /** Of EN ISO 6946 as far as lignatur.ch shows it, Rsi 0.13 and Rse 0.04 m²K/W: within the range of free gases of Çengel's table, its upper end included. */
    @Test
    void surfacesThatAWallIsReckonedWithAreThoseOfStillAir() {
        assertThat(Enclosure.innerSurfaceCoefficient()).isCloseTo(1 / 0.13, within(1e-12)).isBetween(ContentBody.FREE_LEAST, ContentBody.FREE_MOST);
        assertThat(Enclosure.outerSurfaceCoefficient()).isEqualTo(25.0).isBetween(ContentBody.FREE_LEAST, ContentBody.FREE_MOST);
    }

    /** Ours, by hand: a case of 300 by 250 by 100 mm is 7.5 l over 0.26 m², 28.8 mm; of plastic it has no one temperature, of steel it would. */
    @Test
    void caseOfPlasticIsNoLumpAndOneOfSteelIs() {
        double metres = 0.3 * 0.25 * 0.1 / (2 * (0.3 * 0.25 + 0.3 * 0.1 + 0.25 * 0.1));

        assertThat(metres).isCloseTo(0.0288, within(5e-5));
        assertThat(new ContentBody(7.7, metres, Material.GRP.conductivity()).biot()).isCloseTo(0.888, within(0.001));
        assertThat(new ContentBody(7.7, metres, Material.GRP.conductivity()).isLumped()).isFalse();
        assertThat(new ContentBody(7.7, metres, Material.STEEL.conductivity()).isLumped()).isTrue();
    }

    @Test
    void whatNoContentIsLikeIsRefused() {
        assertThatThrownBy(() -> new ContentBody(8, 0, 0.25)).hasMessageContaining("volume over surface");
        assertThatThrownBy(() -> new ContentBody(8, 1.1, 0.25)).hasMessageContaining("volume over surface");
        assertThatThrownBy(() -> new ContentBody(8, 0.03, 0)).hasMessageContaining("conductivity");
        assertThatThrownBy(() -> new ContentBody(Double.NaN, 0.03, 0.25)).hasMessageContaining("heat transfer");
    }
}
