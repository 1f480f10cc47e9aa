package org.lampkeeper.report;

import java.time.Duration;
import java.time.Instant;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.List;
import java.util.Optional;

import net.jqwik.api.Arbitraries;
import net.jqwik.api.Arbitrary;
import net.jqwik.api.Combinators;
import net.jqwik.api.ForAll;
import net.jqwik.api.Property;
import net.jqwik.api.Provide;
import net.jqwik.api.Tuple;
import net.jqwik.api.Tuple.Tuple2;
import org.junit.jupiter.api.Test;

import org.lampkeeper.report.Met.Fact;

import static org.assertj.core.api.Assertions.assertThat;

/** How losses were met, against a walk through every minute with what was known in it. */
class MetTest {

    private static final Instant START = Instant.parse("2026-11-01T00:00:00Z");
    private static final int MINUTES = 240;
    private static final Span ALL = new Span(START, START.plus(Duration.ofMinutes(MINUTES)));

    /** As the walk keeps it; -1: it has not come. */
    private static final class Walked {
        private final int began;
        private final int[] first = {-1, -1, -1, -1};

        private Walked(int began) {
            this.began = began;
        }

        private void came(int step, int minute) {
            if (first[step] < 0) {
                first[step] = minute;
            }
        }

        private Optional<Duration> after(int step) {
            return first[step] < 0 ? Optional.empty() : Optional.of(Duration.ofMinutes(first[step] - began));
        }
    }

    @Property(tries = 500)
    void eachLossIsMetByWhatCameFirstUntilTheNext(@ForAll("losses") List<Tuple2<Integer, Integer>> gaps, @ForAll("steps") List<Tuple2<Integer, Integer>> steps) {
        List<Fact> facts = new ArrayList<>();
        List<int[]> losses = new ArrayList<>();
        int minute = 0;
        for (Tuple2<Integer, Integer> gap : gaps) {
            int began = minute + gap.get1();
            minute = began + gap.get2();
            losses.add(new int[] {began, minute});
            facts.add(new Fact.Began(at(began), at(minute)));
        }
        steps.forEach(step -> facts.add(fact(step.get1(), at(step.get2()))));
        facts.sort(Comparator.comparing(Fact::at).reversed());

        List<Met> met = Met.of(7, facts, ALL);

        assertThat(met).isEqualTo(walk(losses, steps).stream().map(each -> new Met(7, each.after(0), each.after(1), each.after(2), each.after(3))).toList());
    }

    private static List<Walked> walk(List<int[]> losses, List<Tuple2<Integer, Integer>> steps) {
        List<Walked> walked = new ArrayList<>();
        int known = -1;
        for (int minute = 0; minute < MINUTES; minute++) {
            int now = minute;
            // The supply comes back before it is lost again in the same minute.
            if (!walked.isEmpty() && steps.contains(Tuple.of(3, now))) {
                walked.get(walked.size() - 1).came(3, now);
            }
            if (losses.stream().anyMatch(loss -> loss[0] == now)) {
                walked.add(new Walked(now));
            }
            known += losses.stream().anyMatch(loss -> loss[1] == now) ? 1 : 0;
            if (!walked.isEmpty() && steps.contains(Tuple.of(2, now))) {
                walked.get(walked.size() - 1).came(2, now);
            }
            for (int step = 0; step < 2; step++) {
                if (known >= 0 && steps.contains(Tuple.of(step, now))) {
                    walked.get(known).came(step, now);
                }
            }
        }
        return walked;
    }

    /** By the definition of a quantile by nearest rank: the least of the times that so many do not exceed. */
    @Property(tries = 500)
    void medianAndNineInTenAreTheLeastTimesThatSoManyDoNotExceed(@ForAll("lengths") List<Integer> minutes) {
        List<Met> met = minutes.stream().map(each -> new Met(1, Optional.of(Duration.ofMinutes(each)), Optional.empty(), Optional.empty(), Optional.of(Duration.ofMinutes(2L * each)))).toList();

        MetTotal total = MetTotal.of(met);

        assertThat(total.losses()).isEqualTo(minutes.size());
        assertThat(total.taken()).isEmpty();
        assertThat(total.told()).isEqualTo(minutes.isEmpty() ? Optional.empty()
                : Optional.of(new Spread(minutes.size(), least(minutes, 5), least(minutes, 9), least(minutes, 10))));
        assertThat(total.restored().map(Spread::ninetieth)).isEqualTo(total.told().map(told -> told.ninetieth().multipliedBy(2)));
    }

    private static Duration least(List<Integer> minutes, int tenths) {
        for (int limit = 0;; limit++) {
            int most = limit;
            if (minutes.stream().filter(each -> each <= most).count() * 10 >= (long) minutes.size() * tenths) {
                return Duration.ofMinutes(limit);
            }
        }
    }

    @Test
    void lossesBeforeAndAfterTheTimeAskedForAreNotInIt() {
        List<Fact> facts = List.of(new Fact.Began(at(1), at(2)), new Fact.Restored(at(9)), new Fact.Began(at(10), at(11)), new Fact.Told(at(12)), new Fact.Restored(at(40)),
                new Fact.Began(at(30), at(31)));

        assertThat(Met.of(3, facts, new Span(at(10), at(30)))).containsExactly(new Met(3, Optional.of(Duration.ofMinutes(2)), Optional.empty(), Optional.empty(), Optional.empty()));
    }

    private static Instant at(int minute) {
        return START.plus(Duration.ofMinutes(minute));
    }

    private static Fact fact(int step, Instant at) {
        return switch (step) {
            case 0 -> new Fact.Told(at);
            case 1 -> new Fact.Taken(at);
            case 2 -> new Fact.Arrived(at);
            case 3 -> new Fact.Restored(at);
            default -> throw new IllegalArgumentException("no step " + step);
        };
    }

    /** Minutes from when the loss before was written down until the next begins, and from there until that is written down. */
    @Provide
    Arbitrary<List<Tuple2<Integer, Integer>>> losses() {
        return Combinators.combine(Arbitraries.integers().between(1, 40), Arbitraries.integers().between(0, 6)).as(Tuple::of).list().ofMaxSize(5);
    }

    @Provide
    Arbitrary<List<Tuple2<Integer, Integer>>> steps() {
        return Combinators.combine(Arbitraries.integers().between(0, 3), Arbitraries.integers().between(0, MINUTES - 1)).as(Tuple::of).list().ofMaxSize(40);
    }

    @Provide
    Arbitrary<List<Integer>> lengths() {
        return Arbitraries.integers().between(0, 60).list().ofMaxSize(40);
    }
}
