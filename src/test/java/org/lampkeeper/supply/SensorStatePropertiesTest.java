package org.lampkeeper.supply;

import java.time.Duration;
import java.time.Instant;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.OptionalLong;
import java.util.Set;

import net.jqwik.api.Arbitraries;
import net.jqwik.api.Arbitrary;
import net.jqwik.api.Combinators;
import net.jqwik.api.ForAll;
import net.jqwik.api.Property;
import net.jqwik.api.Provide;
import net.jqwik.api.Tuple;
import net.jqwik.api.constraints.IntRange;

import org.lampkeeper.supply.Finding.DoubtfulReport;
import org.lampkeeper.supply.Finding.LateReport;
import org.lampkeeper.supply.SensorState.Step;

import static org.assertj.core.api.Assertions.assertThat;
import static org.lampkeeper.supply.SupplyFixture.AT_ONCE;
import static org.lampkeeper.supply.SupplyFixture.NOON;
import static org.lampkeeper.supply.SupplyFixture.TOLERANCE;

/** What holds whatever happens to a sensor, in whatever order. */
class SensorStatePropertiesTest {

    /** Something that happened, {@code pause} after what happened before it. */
    private sealed interface Happening {
        Step to(SensorState state, Tolerance tolerance, Instant now);

        record Heard(boolean supplied, int age, OptionalLong seq, int promise, Set<Doubt> doubts) implements Happening {
            @Override
            public Step to(SensorState state, Tolerance tolerance, Instant now) {
                return state.heard(at(now), tolerance, now);
            }

            /** An odd clock is replaced by the receive time; a good one may be a little ahead. */
            Report at(Instant now) {
                Instant observed = doubts.isEmpty() ? now.minusSeconds(age) : now;
                return new Report(supplied, observed, seq, Duration.ofSeconds(promise), doubts);
            }
        }

        record Waited() implements Happening {
            @Override
            public Step to(SensorState state, Tolerance tolerance, Instant now) {
                Step confirmed = state.confirmationDue(now);
                Step silent = confirmed.next().silenceDue(now);
                List<Finding> all = new ArrayList<>(confirmed.findings());
                all.addAll(silent.findings());
                return new Step(silent.next(), all);
            }
        }

        record LinkBroke() implements Happening {
            @Override
            public Step to(SensorState state, Tolerance tolerance, Instant now) {
                return state.linkDown(tolerance, now);
            }
        }

        record LinkMade() implements Happening {
            @Override
            public Step to(SensorState state, Tolerance tolerance, Instant now) {
                return state.linkUp(now);
            }
        }
    }

    record Event(int pause, Happening happening) {
    }

    /** One event of a history with the states around it; {@code now} is when it happened. */
    private record Moment(SensorState before, Happening happening, Instant now, Step step) {
        Optional<Report> report() {
            return happening instanceof Happening.Heard heard ? Optional.of(heard.at(now)) : Optional.empty();
        }
    }

    @Provide
    Arbitrary<List<Event>> histories() {
        Arbitrary<Set<Doubt>> doubts = Arbitraries.frequencyOf(
                Tuple.of(4, Arbitraries.just(Set.of())),
                Tuple.of(1, Arbitraries.of(Doubt.class).set().ofMinSize(1)));
        // Few counters and few ages, so that reports of the same moment and repeats are frequent; -3: a clock that is a little ahead.
        Arbitrary<OptionalLong> seqs = Arbitraries.frequencyOf(
                Tuple.of(1, Arbitraries.just(OptionalLong.empty())),
                Tuple.of(2, Arbitraries.longs().between(1, 4).map(OptionalLong::of)));
        Arbitrary<Happening> heard = Combinators.combine(Arbitraries.of(true, false), Arbitraries.of(-3, 0, 0, 1, 2, 30, 400, 5000), seqs,
                Arbitraries.of(10, 300, 900), doubts).as(Happening.Heard::new);
        Arbitrary<Happening> happenings = Arbitraries.frequencyOf(
                Tuple.of(6, heard),
                Tuple.of(2, Arbitraries.just(new Happening.Waited())),
                Tuple.of(1, Arbitraries.just(new Happening.LinkBroke())),
                Tuple.of(1, Arbitraries.just(new Happening.LinkMade())));
        Arbitrary<Integer> pauses = Arbitraries.of(0, 0, 1, 3, 20, 61, 300, 1021, 4000);
        return Combinators.combine(pauses, happenings).as(Event::new).list().ofMaxSize(14);
    }

    @Provide
    Arbitrary<Tolerance> tolerances() {
        return Arbitraries.of(TOLERANCE, AT_ONCE);
    }

    @Property
    void aNewerCleanEqualReportOfASettledStateOnlyMovesTimes(@ForAll("histories") List<Event> history,
            @ForAll("tolerances") Tolerance tolerance, @ForAll @IntRange(min = 1, max = 5000) int later,
            @ForAll @IntRange(max = 3000) int delay) {
        for (Moment moment : play(history, tolerance)) {
            SensorState settled = moment.step().next();
            if (!settled.isSettled()) {
                continue;
            }
            Instant observed = settled.observedAt().orElseThrow().plusSeconds(later);
            Report equal = new Report(settled.reading() == Reading.HEALTHY, observed, OptionalLong.of(9),
                    Duration.ofSeconds(900), Set.of());

            Step step = settled.heard(equal, tolerance, observed.plusSeconds(delay));

            assertThat(step.findings()).isEmpty();
            assertThat(step.next()).isEqualTo(new SensorState(settled.reading(), Optional.of(observed), OptionalLong.of(9),
                    Optional.of(observed.plusSeconds(900).plus(tolerance.grace())), settled.suspectedAt(), settled.confirmAt(),
                    settled.lostSince(), settled.quietSince(), settled.silent(), settled.linkDown(), settled.clockOdd(), settled.dips(),
                    settled.dipsSince()));
            assertThat(step.next().isSettled()).isTrue();
        }
    }

    @Property
    void nothingIsHealthyLongerThanAHealthyReportPromised(@ForAll("histories") List<Event> history,
            @ForAll("tolerances") Tolerance tolerance, @ForAll @IntRange(max = 6000) int later) {
        Instant believable = Instant.MIN;
        for (Moment moment : play(history, tolerance)) {
            if (moment.report().filter(report -> report.supplied() && report.isAgeKnown()).isPresent()) {
                Report report = moment.report().get();
                Instant limit = report.observedAt().plus(report.nextWithin()).plus(tolerance.grace());
                believable = limit.isAfter(believable) ? limit : believable;
            }
            for (Instant when : List.of(moment.now(), moment.now().plusSeconds(later))) {
                if (moment.step().next().readingAt(when) == Reading.HEALTHY) {
                    assertThat(when).isBeforeOrEqualTo(believable);
                }
            }
        }
    }

    @Property
    void afterTheNewestReportItsOwnPromiseCounts(@ForAll("histories") List<Event> history, @ForAll("tolerances") Tolerance tolerance,
            @ForAll @IntRange(max = 6000) int later) {
        SensorState state = last(history, tolerance);
        Instant newest = state.observedAt().filter(NOON::isBefore).orElse(NOON).plusSeconds(6000);
        Report report = new Report(true, newest, OptionalLong.empty(), Duration.ofSeconds(300), Set.of());

        SensorState heard = state.heard(report, tolerance, newest).next();

        Instant limit = newest.plusSeconds(300).plus(tolerance.grace());
        Instant when = newest.plusSeconds(later);
        if (when.isAfter(limit)) {
            assertThat(heard.readingAt(when)).isEqualTo(Reading.UNKNOWN);
        }
    }

    @Property
    void aRepeatOfAReportChangesNothing(@ForAll("histories") List<Event> history, @ForAll("tolerances") Tolerance tolerance,
            @ForAll @IntRange(max = 6000) int later) {
        List<Report> heard = new ArrayList<>();
        for (Moment moment : play(history, tolerance)) {
            // A report of doubtful time has no time of its own by which its repeat could be told from a new one; see the next property.
            moment.report().filter(Report::isClean).ifPresent(heard::add);
            SensorState state = moment.step().next();
            for (Report report : heard) {
                Step repeat = state.heard(report, tolerance, moment.now().plusSeconds(later));

                assertThat(repeat.next()).isEqualTo(state);
                assertThat(repeat.findings()).allMatch(each -> each instanceof LateReport || each instanceof DoubtfulReport);
            }
        }
    }

    @Property
    void anUndatedHealthyReportNeverChangesAnything(@ForAll("histories") List<Event> history, @ForAll("tolerances") Tolerance tolerance,
            @ForAll @IntRange(max = 6000) int later) {
        for (Moment moment : play(history, tolerance)) {
            Instant when = moment.now().plusSeconds(later);
            Report kept = new Report(true, when, OptionalLong.empty(), Duration.ofSeconds(900), Set.of(Doubt.AGE_NOT_KNOWN));

            assertThat(moment.step().next().heard(kept, tolerance, when).next()).isEqualTo(moment.step().next());
        }
    }

    @Property
    void anImmediateRepeatOfAnyReportChangesNothing(@ForAll("histories") List<Event> history, @ForAll("tolerances") Tolerance tolerance) {
        for (Moment moment : play(history, tolerance)) {
            moment.report().ifPresent(report -> assertThat(moment.step().next().heard(report, tolerance, moment.now()).next())
                    .isEqualTo(moment.step().next()));
        }
    }

    @Property
    void aLossDisappearsOnlyOnAFreshCleanHealthyReportNewerThanIt(@ForAll("histories") List<Event> history,
            @ForAll("tolerances") Tolerance tolerance) {
        for (Moment moment : play(history, tolerance)) {
            SensorState before = moment.before();
            SensorState after = moment.step().next();
            if (before.lostSince().isEmpty() || before.lostSince().equals(after.lostSince())) {
                continue;
            }
            Report report = moment.report().orElseThrow(() -> new AssertionError("only a report ends a loss, not " + moment.happening()));
            assertThat(after.lostSince()).isEmpty();
            assertThat(report.supplied()).isTrue();
            assertThat(report.isClean()).isTrue();
            assertThat(moment.now()).isBeforeOrEqualTo(report.observedAt().plus(report.nextWithin()).plus(tolerance.grace()));
            assertThat(isAfter(report, before.lostSince().get(), before.seq())).isTrue();
        }
    }

    @Property
    void aSuspicionEndsOnlyByConfirmationOrACleanHealthyReport(@ForAll("histories") List<Event> history,
            @ForAll("tolerances") Tolerance tolerance) {
        for (Moment moment : play(history, tolerance)) {
            SensorState before = moment.before();
            SensorState after = moment.step().next();
            if (before.suspectedAt().isEmpty() || before.suspectedAt().equals(after.suspectedAt())) {
                continue;
            }
            if (after.lostSince().isPresent()) {
                assertThat(after.lostSince()).isEqualTo(before.suspectedAt());
                assertThat(moment.now()).isAfterOrEqualTo(before.confirmAt().orElseThrow());
            } else {
                assertThat(moment.report()).hasValueSatisfying(report -> assertThat(report.supplied() && report.isClean()).isTrue());
            }
        }
    }

    @Property
    void aKnownLossIsNeverForgottenNorShownAsHealthyOnceConfirmed(@ForAll("histories") List<Event> history,
            @ForAll("tolerances") Tolerance tolerance) {
        for (Moment moment : play(history, tolerance)) {
            SensorState after = moment.step().next();
            if (after.lostSince().isPresent()) {
                assertThat(after.reading()).isNotEqualTo(Reading.HEALTHY);
            }
            if (after.silent() || after.linkDown()) {
                assertThat(after.reading()).isEqualTo(Reading.UNKNOWN);
            }
        }
    }

    @Property
    void everyLossThatIsNotLateIsKnownAfterwards(@ForAll("histories") List<Event> history, @ForAll("tolerances") Tolerance tolerance) {
        for (Moment moment : play(history, tolerance)) {
            boolean late = moment.step().findings().stream().anyMatch(LateReport.class::isInstance);
            if (moment.report().filter(report -> !report.supplied()).isPresent() && !late) {
                SensorState after = moment.step().next();
                assertThat(after.suspectedAt().isPresent() || after.lostSince().isPresent()).isTrue();
            }
        }
    }

    @Property
    void theNewestTimeOnlyMovesForward(@ForAll("histories") List<Event> history, @ForAll("tolerances") Tolerance tolerance) {
        for (Moment moment : play(history, tolerance)) {
            moment.before().observedAt().ifPresent(before -> assertThat(moment.step().next().observedAt().orElseThrow())
                    .isAfterOrEqualTo(before));
        }
    }

    @Property
    void aLateCleanReportChangesNothing(@ForAll("histories") List<Event> history, @ForAll("tolerances") Tolerance tolerance,
            @ForAll boolean supplied, @ForAll @IntRange(min = 1, max = 9000) int earlier) {
        SensorState state = last(history, tolerance);
        state.observedAt().ifPresent(newest -> {
            Report late = new Report(supplied, newest.minusSeconds(earlier), OptionalLong.of(9), Duration.ofSeconds(900), Set.of());

            Step step = state.heard(late, tolerance, newest.plusSeconds(10));

            assertThat(step).isEqualTo(new Step(state, List.of(new LateReport(late.observedAt(), supplied))));
        });
    }

    private static boolean isAfter(Report report, Instant loss, OptionalLong newestSeq) {
        boolean laterCounter = report.seq().isPresent() && newestSeq.isPresent() && report.seq().getAsLong() > newestSeq.getAsLong();
        return report.observedAt().isAfter(loss) || (report.observedAt().equals(loss) && laterCounter);
    }

    private static SensorState last(List<Event> history, Tolerance tolerance) {
        List<Moment> moments = play(history, tolerance);
        return moments.isEmpty() ? SensorState.UNHEARD : moments.get(moments.size() - 1).step().next();
    }

    private static List<Moment> play(List<Event> history, Tolerance tolerance) {
        List<Moment> moments = new ArrayList<>();
        SensorState state = SensorState.UNHEARD;
        Instant now = NOON;
        for (Event event : history) {
            now = now.plusSeconds(event.pause());
            Step step = event.happening().to(state, tolerance, now);
            moments.add(new Moment(state, event.happening(), now, step));
            state = step.next();
        }
        return moments;
    }
}
