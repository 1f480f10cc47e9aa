package org.lampkeeper.report;

import java.time.Duration;
import java.time.Instant;
import java.time.ZoneId;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Optional;

import net.jqwik.api.Arbitraries;
import net.jqwik.api.Arbitrary;
import net.jqwik.api.Combinators;
import net.jqwik.api.ForAll;
import net.jqwik.api.Property;
import net.jqwik.api.Provide;
import net.jqwik.api.constraints.IntRange;
import org.junit.jupiter.api.Test;

import org.lampkeeper.report.FitnessFact.CameBack;
import org.lampkeeper.report.FitnessFact.Dated;
import org.lampkeeper.report.FitnessFact.Found;
import org.lampkeeper.report.FitnessFact.Lapse;
import org.lampkeeper.report.FitnessFact.LeftUse;
import org.lampkeeper.report.FitnessFact.Lost;
import org.lampkeeper.report.FitnessFact.NotLost;
import org.lampkeeper.report.FitnessFact.Said;
import org.lampkeeper.report.FitnessFact.Settled;
import org.lampkeeper.report.FitnessFact.Verdict;
import org.lampkeeper.report.UnfitRecord.Reason;
import org.lampkeeper.report.UnfitRecord.Stretch;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.tuple;

/** Unfit is what somebody measured, forecast, found or said; until somebody says otherwise. No source: the rules are ours. */
class UnfitRecordTest {

    private static final Instant START = Instant.parse("2026-11-01T00:00:00Z");
    private static final Span MONTH = new Span(START, START.plus(Duration.ofDays(30)));
    private static final Instant LATER = START.plus(Duration.ofDays(40));
    private static final Span LOOKED_AT = new Span(minute(30), minute(270));

    @Test
    void ofACabinetOfWhichNothingIsOnRecordNothingIsSaid() {
        UnfitRecord record = of();

        assertThat(record.stretches()).isEmpty();
        assertThat(record.length()).isZero();
    }

    @Test
    void contentThatWasTooColdIsUnfitUntilItsOwnRuleIsMet() {
        UnfitRecord record = of(new Found(Reason.TOO_COLD, at(5)), said(1, Verdict.FIT, 6), new Settled(Reason.TOO_COLD, at(9)));

        assertThat(record.stretches()).containsExactly(new Stretch(Reason.TOO_COLD, "", at(5), Optional.of(at(9)), new Span(at(5), at(9))));
    }

    @Test
    void lossThatEndsBeforeTheForecastMakesNothingUnfit() {
        assertThat(of(new Lost(at(1), at(4)), new NotLost(at(4))).stretches()).isEmpty();
    }

    @Test
    void lossThatLastsLongerIsUnfitFromTheForecastUntilSomebodyWhoWasThereSaysFit() {
        assertThat(of(new Lost(at(1), at(4)), new NotLost(at(6)), said(1, Verdict.FIT, 9)).stretches()).extracting(Stretch::reason, Stretch::within)
                .containsExactly(tuple(Reason.WITHOUT_SUPPLY_TOO_LONG, new Span(at(4), at(9))));
        assertThat(of(new Lost(at(1), at(4)), said(1, Verdict.FIT, 3), new NotLost(at(6))).stretches()).as("whoever came before it had lasted so long").extracting(Stretch::ended)
                .containsExactly(Optional.empty());
        assertThat(of(new Lost(at(1), at(4))).stretches()).as("and goes on").extracting(Stretch::within).containsExactly(new Span(at(4), MONTH.until()));
    }

    @Test
    void whatWasSaidToBeUnfitStaysSoUntilTheRecordSaysOtherwise() {
        FitnessFact unfit = new Said(7, 1, Verdict.NOT_FIT, at(2), at(3));
        FitnessFact sameVisit = new Said(7, 1, Verdict.FIT, at(2), at(20));

        assertThat(of(unfit, sameVisit).stretches()).extracting(Stretch::within).containsExactly(new Span(at(2), at(20)));
        assertThat(of(unfit, new Said(7, 1, Verdict.OPEN, at(2), at(5))).stretches()).extracting(Stretch::ended).containsExactly(Optional.empty());
        assertThat(of(unfit, new Said(7, 2, Verdict.FIT, at(10), at(30))).stretches()).as("a visit of its own").extracting(Stretch::within).containsExactly(new Span(at(2), at(10)));
    }

    @Test
    void whatIsNotSettledIsNeither() {
        assertThat(of(said(1, Verdict.OPEN, 3)).stretches()).isEmpty();
    }

    @Test
    void takenOutOfUseEndsAllElseAndSaysWhy() {
        UnfitRecord record = of(new Found(Reason.DAMAGED, at(1)), new LeftUse("quay rebuilt", at(4)), new CameBack(at(7)));

        assertThat(record.stretches()).extracting(Stretch::reason, Stretch::because, Stretch::within).containsExactly(tuple(Reason.DAMAGED, "", new Span(at(1), at(4))),
                tuple(Reason.OUT_OF_USE, "quay rebuilt", new Span(at(4), at(7))));
        assertThat(record.length()).isEqualTo(Duration.ofHours(6));
    }

    /** Common practice, no source: the maker's date is the last day on which a part is good, on the clocks of where it is. */
    @Test
    void partIsPastItsDateFromTheMidnightAfterItOnTheClocksOfTheSiteUntilItIsReplaced() {
        Lapse pads = Lapse.of("Pads, adult, until 2026-11-02", ZoneId.of("America/St_Johns"));

        assertThat(pads).isEqualTo(new Lapse("Pads, adult, until 2026-11-02", Instant.parse("2026-11-03T03:30:00Z")));
        UnfitRecord record = of(new Dated(List.of(pads), at(1)), said(1, Verdict.FIT, 60), new Dated(List.of(Lapse.of("Pads, until 2028-11-30", ZoneId.of("UTC"))), at(80)));
        assertThat(record.stretches()).containsExactly(new Stretch(Reason.OUT_OF_DATE, "Pads, adult, until 2026-11-02", pads.at(), Optional.of(at(80)), new Span(pads.at(), at(80))));
        assertThat(UnfitWords.of(record.stretches().get(0), ZoneId.of("UTC")))
                .isEqualTo("From 3 Nov 2026 03:30 until 4 Nov 2026 08:00, 1 d 4 h: a part of its content was past its date (Pads, adult, until 2026-11-02).");
    }

    @Test
    void partThatIsReplacedInTimeOrThatWasPutInTooLateSaysSo() {
        assertThat(of(new Dated(List.of(new Lapse("pads", at(9))), at(1)), new Dated(List.of(), at(9))).stretches()).isEmpty();
        assertThat(of(new Dated(List.of(new Lapse("pads", at(2))), at(5))).stretches()).extracting(Stretch::began, Stretch::ended).containsExactly(tuple(at(5), Optional.empty()));
        assertThat(of(new Dated(List.of(new Lapse("pads", at(2))), at(1)), new LeftUse("painted", at(4)), new CameBack(at(7))).stretches()).extracting(Stretch::reason, Stretch::began)
                .containsExactly(tuple(Reason.OUT_OF_DATE, at(2)), tuple(Reason.OUT_OF_USE, at(4)), tuple(Reason.OUT_OF_DATE, at(7)));
    }

    @Test
    void whatTwoReasonsHaveIsCountedOnce() {
        UnfitRecord record = of(new Found(Reason.TOO_COLD, at(1)), new Found(Reason.DAMAGED, at(3)), new Settled(Reason.TOO_COLD, at(5)), new Settled(Reason.DAMAGED, at(6)));

        assertThat(record.length()).isEqualTo(Duration.ofHours(5));
    }

    @Test
    void whatBeganBeforeAndEndedAfterIsOfTheMonthWithWhatIsInIt() {
        UnfitRecord record = of(new Found(Reason.DAMAGED, START.minus(Duration.ofDays(2))), new Settled(Reason.DAMAGED, START.plus(Duration.ofDays(33))));

        assertThat(record.length()).isEqualTo(Duration.ofDays(30));
        assertThat(record.stretches()).singleElement().satisfies(stretch -> assertThat(UnfitWords.of(stretch, ZoneId.of("UTC")))
                .isEqualTo("From 30 Oct 2026 00:00 until 4 Dec 2026 00:00, of which in this time 30 d: somebody found it damaged, or something missing."));
    }

    @Test
    void whatHasNotHappenedYetIsNotCounted() {
        UnfitRecord record = UnfitRecord.of(List.of(new Lost(at(1), at(10))), MONTH, at(9));

        assertThat(record.stretches()).isEmpty();
        assertThat(UnfitRecord.of(List.of(new Found(Reason.TOO_HOT, at(1))), MONTH, at(9)).length()).isEqualTo(Duration.ofHours(8));
    }

    /** Minute by minute, by looking back for what was said last: another way to the same answer. */
    @Property(tries = 1_000)
    void everyMinuteIsWhatASlowLookBackSays(@ForAll("histories") List<FitnessFact> facts, @ForAll @IntRange(min = 60, max = 400) int now) {
        UnfitRecord record = UnfitRecord.of(facts, LOOKED_AT, minute(now));

        long any = 0;
        for (int i = 30; i < Math.min(270, now); i++) {
            Instant at = minute(i);
            boolean isAny = false;
            for (Reason reason : Reason.values()) {
                boolean found = record.stretches().stream().anyMatch(each -> each.reason() == reason && each.within().holds(at));
                assertThat(found).as("%s in minute %d of %s", reason, i, facts).isEqualTo(slowly(facts, reason, at));
                isAny |= found;
            }
            any += isAny ? 1 : 0;
        }
        assertThat(record.length()).isEqualTo(Duration.ofMinutes(any));
    }

    @Property(tries = 1_000)
    void stretchesOfOneReasonLieInWhatWasAskedForAndDoNotOverlap(@ForAll("histories") List<FitnessFact> facts, @ForAll @IntRange(min = 0, max = 400) int now) {
        UnfitRecord record = UnfitRecord.of(facts, LOOKED_AT, minute(now));

        for (Reason reason : Reason.values()) {
            List<Span> own = record.stretches().stream().filter(each -> each.reason() == reason).map(Stretch::within).toList();
            for (int i = 0; i < own.size(); i++) {
                assertThat(own.get(i).from()).isAfterOrEqualTo(i == 0 ? LOOKED_AT.from() : own.get(i - 1).until());
                assertThat(own.get(i).until()).isAfter(own.get(i).from()).isBeforeOrEqualTo(LOOKED_AT.until());
            }
        }
        assertThat(record.length()).isLessThanOrEqualTo(LOOKED_AT.length());
        assertThat(record.length()).isLessThanOrEqualTo(record.stretches().stream().map(each -> each.within().length()).reduce(Duration.ZERO, Duration::plus));
    }

    @Provide
    Arbitrary<List<FitnessFact>> histories() {
        return Combinators.combine(Arbitraries.integers().between(0, 14), Arbitraries.integers().between(1, 25), Arbitraries.integers().between(1, 90))
                .as((kind, wait, more) -> new int[] {kind, wait, more}).list().ofMaxSize(30).map(UnfitRecordTest::history);
    }

    /** In the order of time, as they are written down; a loss is told once until it is over. */
    private static List<FitnessFact> history(List<int[]> steps) {
        List<FitnessFact> facts = new ArrayList<>();
        boolean lost = false;
        int minute = 0;
        for (int[] step : steps) {
            minute += step[1];
            Instant at = minute(minute);
            switch (step[0]) {
                case 0 -> facts.add(new Found(Reason.TOO_COLD, at));
                case 1 -> facts.add(new Settled(Reason.TOO_COLD, at));
                case 2 -> facts.add(new Found(Reason.DAMAGED, at));
                case 3 -> facts.add(new Settled(Reason.DAMAGED, at));
                case 4 -> {
                    if (!lost) {
                        facts.add(new Lost(at, minute(minute + step[2])));
                        lost = true;
                    }
                }
                case 5 -> {
                    facts.add(new NotLost(at));
                    lost = false;
                }
                case 6, 7 -> facts.add(new Said(step[2] % 3, 1, Verdict.NOT_FIT, at, at));
                case 8, 9 -> facts.add(new Said(step[2] % 3, 1, Verdict.FIT, at, at));
                case 10 -> {
                    facts.add(new LeftUse("painted", at));
                    lost = false;
                }
                case 11 -> facts.add(new CameBack(at));
                // One that was past its date before it was put in, one that will be, none.
                case 12 -> facts.add(new Dated(List.of(new Lapse("pads", minute(minute + step[2] - 30)), new Lapse("battery", minute(minute + 2 * step[2]))), at));
                case 13 -> facts.add(new Dated(List.of(new Lapse("pads", minute(minute + step[2]))), at));
                default -> facts.add(new Dated(List.of(), at));
            }
        }
        return facts;
    }

    private static boolean slowly(List<FitnessFact> facts, Reason reason, Instant at) {
        if (reason == Reason.WITHOUT_SUPPLY_TOO_LONG) {
            return facts.stream().filter(Lost.class::isInstance).map(Lost.class::cast).anyMatch(lost -> !lost.pastLimit().isAfter(at)
                    && facts.stream().noneMatch(each -> (each instanceof NotLost || each instanceof LeftUse) && each.at().isAfter(lost.at()) && !each.at().isAfter(lost.pastLimit()))
                    && facts.stream().noneMatch(each -> (isFit(each) || each instanceof LeftUse) && each.at().isAfter(lost.pastLimit()) && !each.at().isAfter(at)));
        }
        if (reason == Reason.OUT_OF_DATE) {
            boolean isInUse = true;
            List<Lapse> parts = List.of();
            for (FitnessFact fact : facts) {
                if (!fact.at().isAfter(at)) {
                    isInUse = fact instanceof CameBack || isInUse && !(fact instanceof LeftUse);
                    parts = fact instanceof Dated dated ? dated.parts() : parts;
                }
            }
            return isInUse && parts.stream().anyMatch(each -> !each.at().isAfter(at));
        }
        for (int i = facts.size() - 1; i >= 0; i--) {
            FitnessFact fact = facts.get(i);
            if (fact.at().isAfter(at)) {
                continue;
            }
            if (fact instanceof LeftUse) {
                return reason == Reason.OUT_OF_USE;
            }
            if (fact instanceof CameBack && reason == Reason.OUT_OF_USE || fact instanceof Settled settled && settled.reason() == reason
                    || isFit(fact) && (reason == Reason.DAMAGED || reason == Reason.SAID_NOT_FIT)) {
                return false;
            }
            if (fact instanceof Found found && found.reason() == reason || reason == Reason.SAID_NOT_FIT && fact instanceof Said said && said.verdict() == Verdict.NOT_FIT) {
                return true;
            }
        }
        return false;
    }

    private static boolean isFit(FitnessFact fact) {
        return fact instanceof Said said && said.verdict() == Verdict.FIT;
    }

    private static UnfitRecord of(FitnessFact... facts) {
        return UnfitRecord.of(Arrays.asList(facts), MONTH, LATER);
    }

    private static Said said(int visit, Verdict verdict, long hours) {
        return new Said(7, visit, verdict, at(hours), at(hours));
    }

    private static Instant at(long hours) {
        return START.plus(Duration.ofHours(hours));
    }

    private static Instant minute(int minute) {
        return START.plus(Duration.ofMinutes(minute));
    }
}
