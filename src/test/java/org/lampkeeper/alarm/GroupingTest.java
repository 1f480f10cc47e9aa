package org.lampkeeper.alarm;

import java.time.Duration;
import java.time.Instant;
import java.util.Comparator;
import java.util.List;
import java.util.Optional;
import java.util.OptionalLong;

import net.jqwik.api.Arbitraries;
import net.jqwik.api.Arbitrary;
import net.jqwik.api.Combinators;
import net.jqwik.api.ForAll;
import net.jqwik.api.Property;
import net.jqwik.api.Provide;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

import org.lampkeeper.alarm.Grouping.Open;
import org.lampkeeper.alarm.Grouping.Origin;
import org.lampkeeper.alarm.Grouping.Shared;

import static org.assertj.core.api.Assertions.assertThat;

class GroupingTest {

    private static final Instant NOON = Instant.parse("2026-12-01T12:00:00Z");
    private static final Duration WITHIN = Duration.ofMinutes(2);

    /** Board 1 and 2 hang at the intake of site 7, board 3 at that of site 8. */
    private static final List<Open> OPEN = List.of(open(11, 50, 1, 7), open(12, 40, 2, 7), open(13, 30, 3, 8), open(14, 20, 0, 7), open(15, 10, 0, 0));

    @ParameterizedTest
    @CsvSource({
            // the board, its intake; joins
            "1, 7, 11",
            "2, 7, 12",
            "3, 8, 13",
            // Of those that share the intake, the newest.
            "4, 7, 14",
            "4, 8, 13",
            // Of the same site and nothing else in common: the newest.
            "5, 9, 15"})
    void boardComesFirstThenItsIntakeThenTheSite(long board, long intake, long callOut) {
        assertThat(Grouping.joined(new Origin(board, intake), OPEN, WITHIN, NOON)).map(Open::callOutId).hasValue(callOut);
    }

    @ParameterizedTest
    @CsvSource({"119, true", "120, true", "121, false"})
    void whatWasLostLongBeforeIsAnotherMatter(long secondsAgo, boolean joins) {
        assertThat(Grouping.joined(new Origin(1, 7), List.of(open(11, secondsAgo, 1, 7)), WITHIN, NOON).isPresent()).isEqualTo(joins);
    }

    @Test
    void withNothingOpenItNeedsOneOfItsOwn() {
        assertThat(Grouping.joined(new Origin(1, 7), List.of(), WITHIN, NOON)).isEmpty();
    }

    @Property
    void inWhateverOrderTheyStandTheSameOneIsJoined(@ForAll("origins") Origin lost, @ForAll("opens") List<Open> open) {
        List<Open> turned = open.stream().sorted(Comparator.comparing(Open::joinedAt).thenComparing(Open::callOutId).reversed()).toList();

        Optional<Open> joined = Grouping.joined(lost, open, WITHIN, NOON);

        assertThat(Grouping.joined(lost, turned, WITHIN, NOON).map(Open::callOutId)).isEqualTo(joined.map(Open::callOutId));
        boolean anyNew = open.stream().anyMatch(each -> !each.joinedAt().isBefore(NOON.minus(WITHIN)));
        assertThat(joined.isPresent()).isEqualTo(anyNew);
        boolean anySharesTheBoard = open.stream().anyMatch(each -> !each.joinedAt().isBefore(NOON.minus(WITHIN)) && each.shared().hasBoard(lost));
        assertThat(joined.filter(it -> it.shared().hasBoard(lost)).isPresent()).isEqualTo(anySharesTheBoard);
    }

    @Property
    void whatIsSharedIsSharedByAll(@ForAll("origins") Origin first, @ForAll("manyOrigins") List<Origin> others) {
        Shared shared = Shared.of(first);
        for (Origin other : others) {
            shared = shared.with(other);
        }

        boolean oneBoard = others.stream().allMatch(other -> other.boardId() == first.boardId());
        boolean oneIntake = others.stream().allMatch(other -> other.intakeSiteId() == first.intakeSiteId());
        assertThat(shared.boardId()).isEqualTo(oneBoard ? OptionalLong.of(first.boardId()) : OptionalLong.empty());
        assertThat(shared.intakeSiteId()).isEqualTo(oneIntake ? OptionalLong.of(first.intakeSiteId()) : OptionalLong.empty());
    }

    @Provide
    Arbitrary<Origin> origins() {
        return Combinators.combine(Arbitraries.longs().between(1, 4), Arbitraries.longs().between(7, 9)).as(Origin::new);
    }

    @Provide
    Arbitrary<List<Origin>> manyOrigins() {
        return origins().list().ofMaxSize(4);
    }

    @Provide
    Arbitrary<List<Open>> opens() {
        return Combinators.combine(Arbitraries.longs().between(1, 99), Arbitraries.longs().between(0, 240), Arbitraries.longs().between(0, 4),
                Arbitraries.longs().between(7, 9)).as(GroupingTest::open).list().uniqueElements(Open::callOutId).ofMaxSize(6);
    }

    private static Open open(long id, long secondsAgo, long board, long intake) {
        return new Open(id, NOON.minusSeconds(secondsAgo), new Shared(board == 0 ? OptionalLong.empty() : OptionalLong.of(board),
                intake == 0 ? OptionalLong.empty() : OptionalLong.of(intake)));
    }
}
