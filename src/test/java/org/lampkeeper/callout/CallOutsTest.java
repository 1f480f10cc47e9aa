package org.lampkeeper.callout;

import java.time.Duration;
import java.util.ArrayList;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Optional;
import java.util.Set;
import java.util.stream.IntStream;

import net.jqwik.api.Arbitraries;
import net.jqwik.api.Arbitrary;
import net.jqwik.api.Combinators;
import net.jqwik.api.ForAll;
import net.jqwik.api.Property;
import net.jqwik.api.Provide;
import net.jqwik.api.constraints.IntRange;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

import org.lampkeeper.callout.Due.NobodyToTell;
import org.lampkeeper.callout.Due.Tell;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

class CallOutsTest {

    private static final Duration REPEAT = Duration.ofMinutes(30);

    /** Teal (1) and the stand-in Osk (2) at once, Wren (3) after 10 min, Marsh (4) after 5 more, Reed (5) together with Marsh. */
    private static final CallOutList LIST = list(turn(1, 2), turn(2, 0), turn(3, 10), turn(4, 5), turn(5, 0));

    @ParameterizedTest
    @CsvSource({
            // turns told; who is told now, turns told then, minutes to the next
            "0, '1 2', 2, 10",
            "1, '2', 2, 10",
            "2, '3', 3, 5",
            "3, '4 5', 5, 30",
            "4, '5', 5, 30",
            "5, '1 2', 7, 10",
            "7, '3', 8, 5",
            "1003, '4 5', 1005, 30"})
    void theNextTurnAndThoseThatFollowItWithoutDelayAreTold(int told, String people, int then, int minutes) {
        assertThat(CallOuts.due(LIST, told)).isEqualTo(new Tell(ids(people), then, Duration.ofMinutes(minutes)));
    }

    @Test
    void theFirstTurnOfALaterRoundIsNotToldTogetherWithTheLastOfThisOne() {
        CallOutList allAtOnce = list(turn(1, 0), turn(2, 0));

        assertThat(CallOuts.due(allAtOnce, 0)).isEqualTo(new Tell(List.of(1L, 2L), 2, REPEAT));
        assertThat(CallOuts.due(allAtOnce, 2)).isEqualTo(new Tell(List.of(1L, 2L), 4, REPEAT));
    }

    @Test
    void onePersonAloneIsToldAgainAndAgain() {
        CallOutList alone = list(turn(1, 5));

        assertThat(CallOuts.due(alone, 0)).isEqualTo(new Tell(List.of(1L), 1, REPEAT));
        assertThat(CallOuts.due(alone, 1)).isEqualTo(new Tell(List.of(1L), 2, REPEAT));
    }

    @Test
    void aPersonWithTwoTurnsAtOnceGetsOneMessage() {
        assertThat(CallOuts.due(list(turn(1, 0), turn(1, 0), turn(2, 5)), 0))
                .isEqualTo(new Tell(List.of(1L), 2, Duration.ofMinutes(5)));
    }

    @Test
    void anEmptyListHasNobodyToTell() {
        assertThat(CallOuts.due(list(), 0)).isEqualTo(new NobodyToTell());
        assertThat(CallOuts.upcoming(list(), 0)).isEmpty();
        assertThat(CallOuts.firstAfter(list())).isEmpty();
    }

    @Test
    void theFirstTurnHasItsOwnDelayFromTheStart() {
        assertThat(CallOuts.firstAfter(LIST)).contains(Duration.ofMinutes(2));
    }

    @Test
    void aListThatGrewShorterGoesOnWithinItsNewLength() {
        assertThat(CallOuts.due(list(turn(1, 0), turn(2, 5)), 3)).isEqualTo(new Tell(List.of(2L), 4, REPEAT));
    }

    @Test
    void whatCannotBeIsRefused() {
        assertThatThrownBy(() -> turn(7, -1)).isInstanceOf(IllegalArgumentException.class).hasMessageContaining("person 7");
        assertThatThrownBy(() -> new CallOutList(List.of(), Duration.ZERO)).isInstanceOf(IllegalArgumentException.class);
        assertThatThrownBy(() -> new CallOutList(List.of(), Duration.ofSeconds(-1))).isInstanceOf(IllegalArgumentException.class);
        assertThatThrownBy(() -> CallOuts.due(LIST, -1)).isInstanceOf(IllegalArgumentException.class).hasMessageContaining("-1");
        assertThatThrownBy(() -> CallOuts.due(list(), -1)).isInstanceOf(IllegalArgumentException.class);
        assertThatThrownBy(() -> CallOuts.upcoming(list(), -1)).isInstanceOf(IllegalArgumentException.class);
    }

    @Property
    void everybodyIsToldInEveryRoundInTheOrderOfTheList(@ForAll("lists") CallOutList list, @ForAll @IntRange(min = 1, max = 4) int rounds) {
        Set<Long> firstTold = new LinkedHashSet<>();
        List<Long> order = new ArrayList<>();
        int size = list.turns().size();

        for (Tell tell : climb(list, rounds * size)) {
            firstTold.addAll(tell.personIds());
            order.addAll(tell.personIds());
        }

        List<Long> oneRound = list.turns().stream().map(Turn::personId).toList();
        assertThat(firstTold).containsExactlyElementsOf(oneRound);
        assertThat(order).isEqualTo(IntStream.range(0, rounds).boxed().flatMap(round -> oneRound.stream()).toList());
    }

    @Property
    void aRoundTakesTheSumOfItsDelaysAndTheRepeat(@ForAll("lists") CallOutList list, @ForAll @IntRange(min = 1, max = 4) int rounds) {
        int size = list.turns().size();

        Duration all = climb(list, rounds * size).stream().map(Tell::next).reduce(Duration.ZERO, Duration::plus);

        Duration between = list.turns().stream().skip(1).map(Turn::after).reduce(Duration.ZERO, Duration::plus);
        assertThat(all).isEqualTo(between.plus(list.repeatAfter()).multipliedBy(rounds));
    }

    @Property
    void eachTurnComesItsOwnDelayAfterTheTurnBefore(@ForAll("lists") CallOutList list) {
        Duration elapsed = Duration.ZERO;
        List<Duration> toldAt = new ArrayList<>();

        for (Tell tell : climb(list, list.turns().size())) {
            for (int person = 0; person < tell.personIds().size(); person++) {
                toldAt.add(elapsed);
            }
            elapsed = elapsed.plus(tell.next());
        }

        for (int turn = 1; turn < toldAt.size(); turn++) {
            assertThat(toldAt.get(turn).minus(toldAt.get(turn - 1))).isEqualTo(list.turns().get(turn).after());
        }
        assertThat(toldAt).hasSize(list.turns().size());
    }

    @Property
    void theClimbNeverStandsStillNorSpins(@ForAll("lists") CallOutList list, @ForAll @IntRange(max = 1000) int told) {
        Tell tell = (Tell) CallOuts.due(list, told);

        assertThat(tell.told()).isGreaterThan(told);
        assertThat(tell.next()).isPositive();
    }

    @Property
    void whoIsUpcomingIsWhoIsToldNext(@ForAll("lists") CallOutList list, @ForAll @IntRange(max = 1000) int told) {
        Tell tell = (Tell) CallOuts.due(list, told);

        assertThat(CallOuts.upcoming(list, told)).isEqualTo(Optional.of(tell.personIds().get(0)));
    }

    @Provide
    Arbitrary<CallOutList> lists() {
        Arbitrary<List<Duration>> delays = Arbitraries.of(0, 0, 1, 5, 10).map(Duration::ofMinutes).list().ofMinSize(1).ofMaxSize(8);
        Arbitrary<Duration> repeats = Arbitraries.integers().between(1, 90).map(Duration::ofMinutes);
        return Combinators.combine(delays, repeats).as((afters, repeat) -> new CallOutList(
                IntStream.range(0, afters.size()).mapToObj(each -> new Turn(100 - each, afters.get(each))).toList(), repeat));
    }

    private static List<Tell> climb(CallOutList list, int turns) {
        List<Tell> tells = new ArrayList<>();
        int told = 0;
        while (told < turns) {
            Tell tell = (Tell) CallOuts.due(list, told);
            tells.add(tell);
            told = tell.told();
        }
        return tells;
    }

    private static List<Long> ids(String people) {
        return List.of(people.split(" ")).stream().map(Long::valueOf).toList();
    }

    private static CallOutList list(Turn... turns) {
        return new CallOutList(List.of(turns), REPEAT);
    }

    private static Turn turn(long person, long minutes) {
        return new Turn(person, Duration.ofMinutes(minutes));
    }
}
