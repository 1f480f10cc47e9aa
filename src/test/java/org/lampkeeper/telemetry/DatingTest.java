package org.lampkeeper.telemetry;

import java.time.Duration;
import java.time.Instant;
import java.util.Arrays;
import java.util.EnumSet;
import java.util.List;
import java.util.Optional;
import java.util.OptionalDouble;
import java.util.OptionalLong;
import java.util.Set;
import java.util.stream.Collectors;

import net.jqwik.api.ForAll;
import net.jqwik.api.Property;
import net.jqwik.api.constraints.LongRange;
import net.jqwik.api.constraints.Size;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

import org.lampkeeper.supply.Doubt;
import org.lampkeeper.supply.Finding;
import org.lampkeeper.supply.Reading;
import org.lampkeeper.supply.Report;
import org.lampkeeper.supply.SensorState;
import org.lampkeeper.supply.Tolerance;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;
import static org.lampkeeper.telemetry.TelemetryFixture.LIVE;
import static org.lampkeeper.telemetry.TelemetryFixture.MAY_HAVE_WAITED;
import static org.lampkeeper.telemetry.TelemetryFixture.NOON;
import static org.lampkeeper.telemetry.TelemetryFixture.ago;
import static org.lampkeeper.telemetry.TelemetryFixture.at;
import static org.lampkeeper.telemetry.TelemetryFixture.packOf;

class DatingTest {

    private static final DatingLimits LIMITS = DatingLimits.DEFAULTS;

    @ParameterizedTest
    @CsvSource({   // seconds told minus received, waited?, seconds dated minus received, doubts; 5 min: design §6; 2592000 s = 30 days
        "-2592001, false,        0, CLOCK_ANCIENT",
        "-2592001, true,         0, AGE_NOT_KNOWN",
        "-2592000, false, -2592000, ",
        "-2592000, true,  -2592000, ",
        "-60,      false,      -60, ",
        "-60,      true,       -60, ",
        "0,        false,        0, ",
        "0,        true,         0, ",
        "5,        false,        0, ",
        "5,        true,         0, ",
        "6,        false,        0, ",
        "6,        true,         0, AGE_NOT_KNOWN",
        "300,      false,        0, ",
        "300,      true,         0, AGE_NOT_KNOWN",
        "301,      false,        0, CLOCK_AHEAD",
        "301,      true,         0, CLOCK_AHEAD AGE_NOT_KNOWN",
        "86400000, false,        0, CLOCK_AHEAD"})
    void anAbsoluteTimeCountsUnlessTheClockIsWrong(long told, boolean waited, long expected, String doubts) {
        List<Dated> dated = Dating.date(packOf(at(NOON.plusSeconds(told), true)), NOON, waited, LIMITS);

        assertThat(reports(dated)).singleElement().satisfies(it -> {
            assertThat(it.observedAt()).isEqualTo(NOON.plusSeconds(expected));
            assertThat(it.doubts()).isEqualTo(doubts(doubts));
        });
    }

    @ParameterizedTest
    @CsvSource({   // seconds before sending, waited?, seconds dated minus received, doubts
        "0,        false,        0, ",
        "0,        true,         0, AGE_NOT_KNOWN",
        "60,       false,      -60, ",
        "60,       true,         0, AGE_NOT_KNOWN",
        "2592001,  false, -2592001, ",
        "-300,     false,        0, ",
        "-301,     false,        0, CLOCK_AHEAD",
        "-301,     true,         0, AGE_NOT_KNOWN"})
    void aRelativeTimeCountsWhileNothingCanHaveWaited(long ago, boolean waited, long expected, String doubts) {
        List<Dated> dated = Dating.date(packOf(ago(Duration.ofSeconds(ago), true)), NOON, waited, LIMITS);

        assertThat(reports(dated)).singleElement().satisfies(it -> {
            assertThat(it.observedAt()).isEqualTo(NOON.plusSeconds(expected));
            assertThat(it.doubts()).isEqualTo(doubts(doubts));
        });
    }

    @ParameterizedTest
    @CsvSource({"3600, CLOCK_AHEAD", "120, ", "-40000000, CLOCK_ANCIENT"})
    void aPackOfAWrongClockMovesAsAWholeAndKeepsItsDistances(long off, String doubts) {
        Instant newest = NOON.plusSeconds(off);
        Pack pack = packOf(at(newest, true), at(newest.minusSeconds(2), false), at(newest.minusSeconds(7200), true));

        List<Dated> dated = Dating.date(pack, NOON, LIVE, LIMITS);

        assertThat(reports(dated)).extracting(Report::observedAt).containsExactly(NOON.minusSeconds(7200), NOON.minusSeconds(2), NOON);
        assertThat(reports(dated)).extracting(Report::supplied).containsExactly(true, false, true);
        assertThat(reports(dated)).allSatisfy(it -> assertThat(it.doubts()).isEqualTo(doubts(doubts)));
    }

    @Test
    void backlogKeepsItsTimesAsLongAsItsNewestIsRecent() {
        List<Dated> dated = Dating.date(packOf(at(NOON, true), at(NOON.minus(Duration.ofDays(31)), false)), NOON, MAY_HAVE_WAITED, LIMITS);

        assertThat(reports(dated)).extracting(Report::observedAt).containsExactly(NOON.minus(Duration.ofDays(31)), NOON);
        assertThat(reports(dated)).allMatch(Report::isClean);
    }

    @Test
    void relativeTimesThatMayHaveWaitedKeepTheirDistances() {
        Pack pack = packOf(ago(Duration.ofSeconds(90), false), ago(Duration.ofSeconds(30), true));

        List<Dated> dated = Dating.date(pack, NOON, MAY_HAVE_WAITED, LIMITS);

        assertThat(reports(dated)).extracting(Report::observedAt).containsExactly(NOON.minusSeconds(60), NOON);
        assertThat(reports(dated)).noneMatch(Report::isAgeKnown);
    }

    @Test
    void bothKindsOfTimeAreDatedForThemselvesAndPutInOrder() {
        List<Dated> dated = Dating.date(packOf(at(NOON.minusSeconds(10), true), ago(Duration.ofSeconds(20), false)), NOON, LIVE, LIMITS);

        assertThat(reports(dated)).extracting(Report::observedAt).containsExactly(NOON.minusSeconds(20), NOON.minusSeconds(10));
    }

    @ParameterizedTest
    @CsvSource(value = {"NULL, 900", "0.2, 1", "1, 1", "60, 60", "93600, 93600", "93601, 93600"}, nullValues = "NULL")   // 26 h = 93600 s
    void thePromiseIsTheSensorsWithinOurLimits(Double ut, long expected) {
        Optional<Duration> promise = Optional.ofNullable(ut).map(it -> Duration.ofMillis(Math.round(it * 1000)));
        Observation observation = new Observation(new SenmlTime.Absolute(NOON), true, promise, OptionalLong.of(7), Readings.NONE);

        assertThat(reports(Dating.date(packOf(observation), NOON, LIVE, LIMITS))).singleElement().satisfies(it -> {
            assertThat(it.nextWithin()).isEqualTo(Duration.ofSeconds(expected));
            assertThat(it.seq()).hasValue(7);
        });
    }

    @Test
    void readingsStayWithTheirMoment() {
        Readings warm = new Readings(OptionalDouble.of(9), OptionalDouble.empty(), OptionalDouble.empty(), OptionalDouble.empty(), Optional.empty(),
                Optional.empty());
        Observation observation = new Observation(new SenmlTime.Absolute(NOON), true, Optional.empty(), OptionalLong.empty(), warm);

        assertThat(Dating.date(packOf(at(NOON.minusSeconds(1), true), observation), NOON, LIVE, LIMITS)).extracting(Dated::readings)
                .containsExactly(Readings.NONE, warm);
    }

    @Test
    void theReceiveTimeIsUsedAsTheDatabaseKeepsIt() {
        Instant received = NOON.plusNanos(1_999);

        assertThat(reports(Dating.date(packOf(ago(Duration.ZERO, true)), received, LIVE, LIMITS))).singleElement()
                .extracting(Report::observedAt).isEqualTo(NOON.plusNanos(1_000));
    }

    @Test
    void aCorrectedClockDoesNotHideALoss() {   // four minutes ahead at noon, corrected, lost two minutes later
        SensorState healthy = hear(SensorState.UNHEARD, at(NOON.plusSeconds(240), true), NOON, LIVE);

        SensorState lost = hear(healthy, at(NOON.plusSeconds(120), false), NOON.plusSeconds(120), LIVE);

        assertThat(lost.reading()).isEqualTo(Reading.LOST);
        assertThat(lost.suspectedAt()).contains(NOON.plusSeconds(120));
    }

    @ParameterizedTest
    @CsvSource({"120", "7200"})
    void aKeptReportOfAClockAheadIsNotFresh(long ahead) {
        Observation kept = at(NOON.plusSeconds(ahead), true);

        SensorState state = hear(SensorState.UNHEARD, kept, NOON, MAY_HAVE_WAITED);

        assertThat(state).isEqualTo(SensorState.UNHEARD);
    }

    @Test
    void aLossOfUnknownAgeStartsAConfirmation() {
        SensorState healthy = hear(SensorState.UNHEARD, at(NOON, true), NOON, LIVE);

        Dated lost = Dating.date(packOf(ago(Duration.ofSeconds(90), false)), NOON.plusSeconds(10), MAY_HAVE_WAITED, LIMITS).get(0);

        assertThat(healthy.heard(lost.report(), tolerance(), NOON.plusSeconds(10)).findings()).singleElement()
                .isInstanceOf(Finding.LossSuspected.class);
    }

    @Property(tries = 500)
    void nothingIsDatedAfterItsReceiveTimeAndOrderAndDistancesStay(
            @ForAll @Size(min = 1, max = 6) List<@LongRange(min = -5_000_000, max = 5_000_000) Long> offsets, @ForAll boolean waited) {
        List<Long> distinct = offsets.stream().distinct().sorted().toList();
        Pack absolute = packOf(distinct.stream().map(it -> at(NOON.plusSeconds(it), true)).toArray(Observation[]::new));
        Pack relative = packOf(distinct.stream().map(it -> ago(Duration.ofSeconds(-it), true)).toArray(Observation[]::new));

        for (Pack pack : List.of(absolute, relative)) {
            List<Report> reports = reports(Dating.date(pack, NOON, waited, LIMITS));

            assertThat(reports).hasSameSizeAs(distinct).allSatisfy(it -> assertThat(it.observedAt()).isBeforeOrEqualTo(NOON));
            for (int i = 1; i < reports.size(); i++) {
                assertThat(Duration.between(reports.get(i - 1).observedAt(), reports.get(i).observedAt()))
                        .isEqualTo(Duration.ofSeconds(distinct.get(i) - distinct.get(i - 1)));
            }
        }
    }

    @ParameterizedTest
    @CsvSource({"PT24H, PT1S, PT1S, true", "PT23H59M, PT15M, PT26H, false", "PT24H, PT0.9S, PT26H, false", "PT24H, PT26H, PT26H, true",
        "PT24H, PT26H1S, PT26H, false", "PT24H, PT0.5S, PT0.5S, false"})
    void limitsThatCannotWorkAreRefusedAtTheStart(Duration ancientAfter, Duration defaultPromise, Duration maxPromise, boolean valid) {
        if (valid) {
            assertThat(new DatingLimits(ancientAfter, defaultPromise, maxPromise).defaultPromise()).isEqualTo(defaultPromise);
        } else {
            assertThatThrownBy(() -> new DatingLimits(ancientAfter, defaultPromise, maxPromise))
                    .isInstanceOf(IllegalArgumentException.class).hasMessageContaining(", must be ");
        }
    }

    private static SensorState hear(SensorState state, Observation observation, Instant received, boolean waited) {
        for (Dated dated : Dating.date(packOf(observation), received, waited, LIMITS)) {
            state = state.heard(dated.report(), tolerance(), received).next();
        }
        return state;
    }

    private static Tolerance tolerance() {
        return new Tolerance(Duration.ofSeconds(20), Duration.ofSeconds(120), Duration.ofSeconds(60), 3, Duration.ofHours(1));
    }

    private static List<Report> reports(List<Dated> dated) {
        return dated.stream().map(Dated::report).toList();
    }

    private static Set<Doubt> doubts(String words) {
        return words == null ? EnumSet.noneOf(Doubt.class)
                : Arrays.stream(words.split(" ")).map(Doubt::valueOf).collect(Collectors.toCollection(() -> EnumSet.noneOf(Doubt.class)));
    }
}
