package org.lampkeeper.thermal;

import java.time.Duration;
import java.time.Instant;
import java.util.Optional;

import org.junit.jupiter.api.Test;

import org.lampkeeper.quantity.Celsius;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.within;

/** What is drawn is what the forecast says. T(t) = T_out + (T_0 − T_out) · e^(−t/τ): Incropera, Fundamentals of Heat and Mass Transfer, ch. 5. */
class BandTest {

    private static final Instant NOON = Instant.parse("2026-12-01T12:00:00Z");
    private static final Duration STEP = Duration.ofMinutes(15);
    private static final TimeConstant TAU = new TimeConstant(Duration.ofHours(2), Duration.ofHours(3), Duration.ofHours(4), TimeConstant.Basis.LEARNED);

    @Test
    void likelyLineIsNewtonsLaw() {
        Band band = Band.of(situation(Leeway.NONE), STEP, Duration.ofHours(6), NOON).orElseThrow();

        assertThat(band.points()).hasSize(25).allSatisfy(each -> {
            double hours = Duration.between(NOON, each.at()).toSeconds() / 3600.0;
            assertThat(each.likely()).isCloseTo(-5 + 13 * Math.exp(-hours / 3), within(1e-9));
            assertThat(each.coldest()).isCloseTo(-5 + 13 * Math.exp(-hours / 2), within(1e-9));
            assertThat(each.warmest()).isCloseTo(-5 + 13 * Math.exp(-hours / 4), within(1e-9));
        });
    }

    @Test
    void edgesCrossTheLimitWhereTheForecastSaysSo() {
        Situation situation = situation(Leeway.USUAL);
        Outcome.Expected expected = (Outcome.Expected) Forecast.of(situation, Duration.ofHours(12), NOON).tooCold();
        Band band = Band.of(situation, Duration.ofMinutes(1), Duration.ofHours(12), NOON).orElseThrow();

        assertThat(Duration.between(expected.early(), band.points().stream().filter(each -> each.coldest() < 0).findFirst().orElseThrow().at())).isBetween(
                Duration.ofSeconds(-1), Duration.ofSeconds(61));
        assertThat(Duration.between(expected.late().orElseThrow(), band.points().stream().filter(each -> each.warmest() < 0).findFirst().orElseThrow().at()))
                .isBetween(Duration.ofSeconds(-1), Duration.ofSeconds(61));
    }

    @Test
    void nothingIsDrawnFromNothing() {
        Situation without = new Situation(Optional.empty(), Optional.of(new Outside.Constant(new Celsius(-5))), Optional.of(new Nodes.OneNode(TAU)),
                StorageLimits.NONE, Leeway.USUAL);

        assertThat(Band.of(without, STEP, Duration.ofHours(6), NOON)).isEmpty();
        assertThat(Band.of(situation(Leeway.NONE), STEP, Duration.ofHours(6), NOON.plus(Duration.ofHours(2)))).isEmpty();
    }

    private static Situation situation(Leeway leeway) {
        return new Situation(Optional.of(new Measured(NOON, new Celsius(8), Optional.empty())), Optional.of(new Outside.Constant(new Celsius(-5))),
                Optional.of(new Nodes.OneNode(TAU)), new StorageLimits(Optional.of(new Celsius(0)), Optional.empty()), leeway);
    }
}
