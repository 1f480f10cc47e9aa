package org.lampkeeper.callout;

import java.time.Duration;
import java.time.Instant;
import java.util.List;
import java.util.Optional;

import net.jqwik.api.ForAll;
import net.jqwik.api.Property;
import net.jqwik.api.constraints.IntRange;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

import static org.assertj.core.api.Assertions.assertThat;

/** How fast a list is climbed, by how long the content has left. The figures are ours; the two rules that bind them are the properties. */
class ClimbRulesTest {

    private static final Instant NOON = Instant.parse("2026-12-01T12:00:00Z");
    private static final Duration TURN = Duration.ofMinutes(10);
    private static final CallOutList LIST = new CallOutList(List.of(new Turn(1, Duration.ZERO), new Turn(2, TURN), new Turn(3, TURN)),
            Duration.ofMinutes(30));

    @ParameterizedTest
    @CsvSource({
            // too cold in so many minutes (empty: no forecast, or not expected); the next is told after so many seconds
            ", 600", "600, 600", "40, 600", "39, 585", "28, 420", "10, 150", "4, 60", "0, 60", "-20, 60"})
    void nextIsToldSoonerWhereTheTimeLeftIsShort(Integer cold, long seconds) {
        ClimbRules rules = rules(Optional.ofNullable(cold));

        assertThat(Climb.NEW.on(new Fact.Needed(), rules, NOON).next().nextAt()).hasValue(NOON.plusSeconds(seconds));
    }

    @ParameterizedTest
    @CsvSource({", 1800", "600, 1800", "80, 1800", "240, 1800", "16, 600"})
    void ownersChoiceMakesItSlowerOnlyWhereThereIsTime(Integer cold, long seconds) {
        ClimbRules rules = rules(Optional.ofNullable(cold)).takingTime();
        Instant next = Climb.NEW.on(new Fact.Needed(), rules, NOON).next().nextAt().orElseThrow();

        if (cold == null || cold >= 240) {
            assertThat(next).isEqualTo(NOON.plusSeconds(seconds));
        } else {
            assertThat(next).isBeforeOrEqualTo(NOON.plusSeconds(600));
        }
    }

    @Test
    void forecastThatComesNearerTellsTheNextSooner() {
        Climb climb = Climb.NEW.on(new Fact.Needed(), rules(Optional.empty()), NOON).next();

        Climb hurried = climb.on(new Fact.ForecastMade(), rules(Optional.of(20)), NOON.plusSeconds(60)).next();

        assertThat(hurried.nextAt().orElseThrow()).isBetween(NOON.plusSeconds(120), NOON.plusSeconds(600));
        assertThat(hurried.version()).isGreaterThan(climb.version());
        assertThat(climb.on(new Fact.ForecastMade(), rules(Optional.of(600)), NOON.plusSeconds(60)).next()).isEqualTo(climb);
    }

    @Test
    void forecastThatComesNearerCallsWhoeverHasItAgainSooner() {
        Climb taken = Climb.NEW.on(new Fact.Needed(), rules(Optional.empty()), NOON).next().on(new Fact.Taken(1, Optional.empty()), rules(Optional.empty()),
                NOON).next();

        Climb nearer = taken.on(new Fact.ForecastMade(), rules(Optional.of(90)), NOON.plusSeconds(60)).next();

        assertThat(taken.nextAt()).hasValue(NOON.plus(Duration.ofHours(4)));
        assertThat(nearer.nextAt()).hasValue(NOON.plus(Duration.ofMinutes(60)));
    }

    /** Looked at each minute with the same early end, it comes at its moment and does not run away. */
    @Test
    void forecastThatStaysTheSameDoesNotPutOffTheCall() {
        ClimbRules rules = rules(Optional.of(50));
        Climb climb = Climb.NEW.on(new Fact.Needed(), rules, NOON).next().on(new Fact.Taken(1, Optional.empty()), rules, NOON).next();

        for (int minute = 1; minute < 25; minute++) {
            climb = climb.on(new Fact.ForecastMade(), rules, NOON.plusSeconds(minute * 60L)).next();
        }

        assertThat(climb.nextAt()).hasValue(NOON.plus(Duration.ofMinutes(25)));
    }

    @Property
    void forecastNeverMakesAListSlower(@ForAll @IntRange(min = -60, max = 600) int cold, @ForAll @IntRange(min = 1, max = 40) int wait,
            @ForAll @IntRange(max = 60) int more, @ForAll boolean isRepeat, @ForAll @IntRange(max = 3) int round) {
        Duration said = Duration.ofMinutes(wait);

        Duration paced = rules(Optional.of(cold)).paced(said, said.plusMinutes(more), isRepeat, round, NOON);

        assertThat(paced).isLessThanOrEqualTo(said).isGreaterThan(Duration.ZERO);
    }

    @Property
    void slowerStaysWellBeforeTheEarlyEnd(@ForAll @IntRange(min = 1, max = 600) int cold, @ForAll @IntRange(min = 1, max = 40) int wait) {
        Duration said = Duration.ofMinutes(wait);

        Duration paced = rules(Optional.of(cold)).takingTime().paced(said, said, false, 0, NOON);

        assertThat(paced.compareTo(said) <= 0 || paced.compareTo(Duration.ofMinutes(cold).dividedBy(8)) <= 0).isTrue();
    }

    private static ClimbRules rules(Optional<Integer> cold) {
        return new ClimbRules(LIST, Duration.ofHours(4), Duration.ofMinutes(15), cold.map(minutes -> NOON.plus(Duration.ofMinutes(minutes))));
    }
}
