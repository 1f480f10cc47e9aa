package org.lampkeeper.report;

import java.time.Duration;
import java.time.Instant;
import java.util.ArrayList;
import java.util.List;

import net.jqwik.api.Arbitraries;
import net.jqwik.api.Arbitrary;
import net.jqwik.api.Combinators;
import net.jqwik.api.ForAll;
import net.jqwik.api.Property;
import net.jqwik.api.Provide;
import org.assertj.core.data.Offset;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

import org.lampkeeper.report.SupplyFact.Dip;
import org.lampkeeper.report.SupplyFact.Heard;
import org.lampkeeper.report.SupplyFact.Lost;
import org.lampkeeper.report.SupplyFact.NotListening;
import org.lampkeeper.report.SupplyFact.Quiet;
import org.lampkeeper.report.SupplyFact.Returned;
import org.lampkeeper.report.SupplyFact.SensorGone;
import org.lampkeeper.report.SupplyRecord.Condition;

import static org.assertj.core.api.Assertions.assertThat;

/** What is not known counts as neither, what was announced not at all. */
class SupplyRecordTest {

    private static final Instant START = Instant.parse("2026-11-01T00:00:00Z");
    private static final Span MONTH = new Span(START, START.plus(Duration.ofDays(30)));

    @Test
    void cabinetThatWasNeverHeardIsNotKnown() {
        SupplyRecord record = SupplyRecord.of(List.of(), List.of(), MONTH);

        assertThat(record.of(Condition.UNKNOWN)).isEqualTo(Duration.ofDays(30));
        assertThat(record.availability()).isEmpty();
        assertThat(record.meanLoss()).isEmpty();
    }

    @Test
    void silenceIsNotKnownFromWhereItWasLastHeard() {
        SupplyRecord record = SupplyRecord.of(List.of(new Heard(START.minusSeconds(1)), new Quiet(at(10)), new Heard(at(16))), List.of(), MONTH);

        assertThat(record.of(Condition.UNKNOWN)).isEqualTo(Duration.ofHours(6));
        assertThat(record.availability()).contains(1.0);
    }

    @Test
    void lossThatGoesSilentStaysALoss() {
        SupplyRecord record = SupplyRecord.of(List.of(new Heard(START), new Lost(at(5)), new Quiet(at(6)), new Heard(at(20)), new Returned(at(20))), List.of(), MONTH);

        assertThat(record.losses()).containsExactly(new Span(at(5), at(20)));
        assertThat(record.of(Condition.UNKNOWN)).isZero();
    }

    @Test
    void announcedWorkIsLeftOutAndNothingElse() {
        List<SupplyFact> facts = List.of(new Heard(START), new Lost(at(5)), new Returned(at(9)));

        SupplyRecord record = SupplyRecord.of(facts, List.of(new Span(at(4), at(7)), new Span(at(6), at(8))), MONTH);

        assertThat(record.of(Condition.EXCLUDED)).isEqualTo(Duration.ofHours(4));
        assertThat(record.losses()).containsExactly(new Span(at(8), at(9)));
    }

    @Test
    void ownOutageIsNotKnownForWhoeverWasFineBeforeAndAfter() {
        SupplyRecord record = SupplyRecord.of(List.of(new Heard(START), new NotListening(new Span(at(2), at(3)))), List.of(), MONTH);

        assertThat(record.of(Condition.UNKNOWN)).isEqualTo(Duration.ofHours(1));
    }

    @Test
    void sensorThatIsTakenAwayEndsWhatIsKnown() {
        SupplyRecord record = SupplyRecord.of(List.of(new Heard(START), new Lost(at(1)), new SensorGone(at(2)), new Heard(at(4))), List.of(), MONTH);

        assertThat(record.losses()).containsExactly(new Span(at(1), at(2)));
        assertThat(record.of(Condition.UNKNOWN)).isEqualTo(Duration.ofHours(2));
    }

    @Test
    void dipIsALossOfItsLength() {
        SupplyRecord record = SupplyRecord.of(List.of(new Heard(START), new Dip(at(1), at(1).plusSeconds(8)), new Lost(at(3)), new Returned(at(3).plusSeconds(4))), List.of(), MONTH);

        assertThat(record.losses()).hasSize(2);
        assertThat(record.meanLoss()).contains(Duration.ofSeconds(6));
        assertThat(record.longestLoss()).contains(Duration.ofSeconds(8));
    }

    /**
     * A = MTBF / (MTBF + MTTR): 100 h and 5 h give 100/105 (gristprojectmanagement.us, Availability); 500,000 h and 4 h give 0.999992
     * (zeroimpactools.blogspot.com, 2011/08); 2,000 h and 2 h give 0.999001 (novacalculator.com).
     */
    @ParameterizedTest
    @CsvSource({"100, 5, 0.952381, 5e-7", "500000, 4, 0.999992, 5e-7", "2000, 2, 0.999001, 5e-7"})
    void availabilityIsTheShareOfTheTimeThatIsKnown(long up, long down, double expected, double within) {
        Instant lost = START.plus(Duration.ofHours(up));
        Instant back = lost.plus(Duration.ofHours(down));

        SupplyRecord record = SupplyRecord.of(List.of(new Heard(START), new Lost(lost), new Returned(back)), List.of(), new Span(START, back));

        assertThat(record.availability().orElseThrow()).isCloseTo(expected, Offset.offset(within));
    }

    /** Poisson, exact, 95 %: handbook table, e.g. Garwood 1936; 0 gives 0 to 3.689, 1 gives 0.0253 to 5.572, 3 0.619 to 8.767, 10 4.795 to 18.390. */
    @ParameterizedTest
    @CsvSource({"0, 0, 3.689", "1, 0.0253, 5.572", "3, 0.619, 8.767", "10, 4.795, 18.390"})
    void numberOfLossesHasAnInterval(int losses, double low, double high) {
        assertThat(new Rate(losses).low()).isCloseTo(low, Offset.offset(5e-4));
        assertThat(new Rate(losses).high()).isCloseTo(high, Offset.offset(5e-4));
    }

    @Test
    void spreadIsOfTimesThatHappened() {
        List<Duration> times = java.util.stream.IntStream.rangeClosed(1, 10).mapToObj(Duration::ofMinutes).toList();

        assertThat(Spread.of(times)).contains(new Spread(10, Duration.ofMinutes(5), Duration.ofMinutes(9), Duration.ofMinutes(10)));
        assertThat(Spread.of(List.of(Duration.ofHours(1)))).contains(new Spread(1, Duration.ofHours(1), Duration.ofHours(1), Duration.ofHours(1)));
        assertThat(Spread.of(List.of())).isEmpty();
    }

    /** A slow walk, minute by minute, that only looks at what was said before: another way to the same answer. */
    @Property(tries = 400)
    void everyMinuteIsWhatASlowWalkSays(@ForAll("histories") List<SupplyFact> facts, @ForAll("holds") List<Span> excluded) {
        Span span = new Span(minute(30), minute(270));

        SupplyRecord record = SupplyRecord.of(facts, excluded, span);

        assertThat(record.stretches().stream().map(each -> each.span().length()).reduce(Duration.ZERO, Duration::plus)).isEqualTo(span.length());
        for (int i = 30; i < 270; i++) {
            Instant at = minute(i);
            Condition found = record.stretches().stream().filter(each -> each.span().holds(at)).findFirst().orElseThrow().condition();
            assertThat(found).as("minute %d of %s without %s", i, facts, excluded).isEqualTo(slowly(facts, excluded, at));
        }
    }

    @Provide
    Arbitrary<List<Span>> holds() {
        return Combinators.combine(Arbitraries.integers().between(0, 280), Arbitraries.integers().between(1, 60))
                .as((from, length) -> new Span(minute(from), minute(from + length))).list().ofMaxSize(3);
    }

    /** In the order of time, as one sensor would have it: what a report cannot say twice, it does not. */
    @Provide
    Arbitrary<List<SupplyFact>> histories() {
        return Combinators.combine(Arbitraries.integers().between(0, 6), Arbitraries.integers().between(1, 20)).as((kind, wait) -> new int[] {kind, wait})
                .list().ofMaxSize(25).map(SupplyRecordTest::history);
    }

    private static List<SupplyFact> history(List<int[]> steps) {
        List<SupplyFact> facts = new ArrayList<>();
        boolean heard = false;
        boolean lost = false;
        int minute = 0;
        for (int[] step : steps) {
            minute += step[1];
            Instant at = minute(minute);
            switch (step[0]) {
                case 0 -> {
                    if (!heard) {
                        facts.add(new Heard(at));
                        heard = true;
                    }
                }
                case 1 -> {
                    if (heard && !lost) {
                        facts.add(new Lost(at));
                        lost = true;
                    }
                }
                case 2 -> {
                    if (heard && lost) {
                        facts.add(new Returned(at));
                        lost = false;
                    }
                }
                case 3 -> {
                    if (heard) {
                        facts.add(new Quiet(at));
                        heard = false;
                    }
                }
                case 4 -> facts.add(new NotListening(new Span(at.minusSeconds(180), at)));
                case 5 -> {
                    if (heard && !lost) {
                        facts.add(new Dip(at.minusSeconds(60), at));
                    }
                }
                default -> {
                    facts.add(new SensorGone(at));
                    heard = false;
                    lost = false;
                }
            }
        }
        return facts;
    }

    private static Condition slowly(List<SupplyFact> facts, List<Span> excluded, Instant at) {
        boolean heard = false;
        boolean lost = false;
        boolean dip = false;
        boolean deaf = false;
        for (SupplyFact fact : facts) {
            if (fact instanceof Heard it && !it.at().isAfter(at)) {
                heard = true;
            } else if (fact instanceof Quiet it && !it.since().isAfter(at)) {
                heard = false;
            } else if (fact instanceof SensorGone it && !it.at().isAfter(at)) {
                heard = false;
                lost = false;
            } else if (fact instanceof Lost it && !it.since().isAfter(at)) {
                lost = true;
            } else if (fact instanceof Returned it && !it.at().isAfter(at)) {
                lost = false;
            } else if (fact instanceof Dip it) {
                dip |= it.from().equals(at);
            } else if (fact instanceof NotListening it) {
                deaf |= it.span().holds(at);
            }
        }
        if (excluded.stream().anyMatch(each -> each.holds(at))) {
            return Condition.EXCLUDED;
        }
        return lost || dip ? Condition.LOST : !heard || deaf ? Condition.UNKNOWN : Condition.SUPPLIED;
    }

    private static Instant at(long hours) {
        return START.plus(Duration.ofHours(hours));
    }

    private static Instant minute(int minute) {
        return START.plus(Duration.ofMinutes(minute));
    }
}
