package org.lampkeeper.supply;

import java.time.Duration;
import java.time.Instant;
import java.util.List;
import java.util.Optional;
import java.util.OptionalLong;
import java.util.Set;

import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.EnumSource;

import org.lampkeeper.supply.Finding.ClockJudged;
import org.lampkeeper.supply.Finding.DipEnded;
import org.lampkeeper.supply.Finding.DoubtfulReport;
import org.lampkeeper.supply.Finding.FirstHeard;
import org.lampkeeper.supply.Finding.HeardAgain;
import org.lampkeeper.supply.Finding.LateReport;
import org.lampkeeper.supply.Finding.LinkCameUp;
import org.lampkeeper.supply.Finding.LinkWentDown;
import org.lampkeeper.supply.Finding.LossConfirmed;
import org.lampkeeper.supply.Finding.LossSuspected;
import org.lampkeeper.supply.Finding.SupplyReturned;
import org.lampkeeper.supply.Finding.Unsteady;
import org.lampkeeper.supply.Finding.WentSilent;
import org.lampkeeper.supply.SensorState.Step;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;
import static org.lampkeeper.supply.SupplyFixture.AT_ONCE;
import static org.lampkeeper.supply.SupplyFixture.CONFIRM;
import static org.lampkeeper.supply.SupplyFixture.GRACE;
import static org.lampkeeper.supply.SupplyFixture.NOON;
import static org.lampkeeper.supply.SupplyFixture.PROMISE;
import static org.lampkeeper.supply.SupplyFixture.TOLERANCE;
import static org.lampkeeper.supply.SupplyFixture.at;
import static org.lampkeeper.supply.SupplyFixture.counted;
import static org.lampkeeper.supply.SupplyFixture.found;
import static org.lampkeeper.supply.SupplyFixture.healthy;
import static org.lampkeeper.supply.SupplyFixture.heard;
import static org.lampkeeper.supply.SupplyFixture.lost;
import static org.lampkeeper.supply.SupplyFixture.lostSince;
import static org.lampkeeper.supply.SupplyFixture.silent;
import static org.lampkeeper.supply.SupplyFixture.step;
import static org.lampkeeper.supply.SupplyFixture.then;

class SensorStateTest {

    // ---- promise and silence

    @ParameterizedTest
    @CsvSource({"0, HEALTHY", "900, HEALTHY", "1020, HEALTHY", "1021, UNKNOWN"}) // seconds; limit 900 + 120, included
    void brokenPromiseIsUnknown(long age, Reading expected) {
        Report fed = healthy(0);

        SensorState inTime = heard(fed);
        SensorState late = SensorState.UNHEARD.heard(fed, TOLERANCE, at(age)).next();

        assertThat(inTime.readingAt(at(age))).isEqualTo(expected);
        assertThat(late.readingAt(at(age))).as("heard late: same answer").isEqualTo(expected);
    }

    @ParameterizedTest
    @CsvSource({"1020, false", "1021, true"}) // seconds; limit 900 + 120, included
    void silenceIsJudgedOnlyPastItsLimit(long age, boolean judged) {
        SensorState fed = heard(healthy(0));

        Step step = fed.silenceDue(at(age));

        assertThat(fed.isOverdue(at(age))).isEqualTo(judged);
        assertThat(step.next().silent()).isEqualTo(judged);
        assertThat(step.findings()).isEqualTo(judged ? List.of(new WentSilent(NOON, at(1020))) : List.of());
        assertThat(step.next().reading()).isEqualTo(judged ? Reading.UNKNOWN : Reading.HEALTHY);
    }

    @Test
    void silenceIsJudgedOnce() {
        Step again = silent().silenceDue(at(5000));

        assertThat(again.findings()).isEmpty();
        assertThat(again.next()).isEqualTo(silent());
    }

    @Test
    void aSensorThatNeverReportedIsUnknownAndNotOverdue() {
        assertThat(SensorState.UNHEARD.readingAt(at(100_000))).isEqualTo(Reading.UNKNOWN);
        assertThat(SensorState.UNHEARD.isOverdue(at(100_000))).isFalse();
        assertThat(SensorState.UNHEARD.isSettled()).isFalse();
    }

    @Test
    void theFirstReportIsFoundOnce() {
        assertThat(found(SensorState.UNHEARD, healthy(0))).containsExactly(new FirstHeard(NOON));
        assertThat(found(heard(healthy(0)), healthy(1))).isEmpty();
    }

    @Test
    void aReportAfterSilenceEndsIt() {
        Step step = step(silent(), healthy(2000));

        assertThat(step.findings()).containsExactly(new HeardAgain(at(1020), at(2000)));
        assertThat(step.next().reading()).isEqualTo(Reading.HEALTHY);
        assertThat(step.next().isSettled()).isTrue();
    }

    @Test
    void silenceAfterALossKeepsTheLossLive() {
        SensorState later = lostSince(60).silenceDue(at(60 + 1021)).next();

        assertThat(later.lostSince()).contains(at(60));
        assertThat(later.reading()).isEqualTo(Reading.UNKNOWN);
        assertThat(found(later, healthy(3000))).containsExactly(new HeardAgain(at(60 + 1020), at(3000)),
                new SupplyReturned(at(60), at(3000)));
    }

    @Test
    void silenceDuringAConfirmationDoesNotStopIt() {
        Report brief = new Report(false, at(60), OptionalLong.empty(), Duration.ofSeconds(1), Set.of());
        Tolerance noGrace = new Tolerance(CONFIRM, Duration.ZERO, Duration.ZERO, 3, Duration.ofHours(1));
        SensorState quiet = heard(healthy(0)).heard(brief, noGrace, at(60)).next().silenceDue(at(62)).next();

        Step due = quiet.confirmationDue(at(80));

        assertThat(due.findings()).containsExactly(new LossConfirmed(at(60)));
        assertThat(due.next().reading()).isEqualTo(Reading.UNKNOWN);
    }

    @Test
    void aLossThatIsReportedInSilenceIsSuspectedAndSoundsAgain() {
        Step step = step(silent(), lost(2000));

        assertThat(step.findings()).containsExactly(new HeardAgain(at(1020), at(2000)), new LossSuspected(at(2000), at(2020)));
        assertThat(step.next().reading()).isEqualTo(Reading.LOST);
    }

    // ---- loss, confirmation, dip

    @ParameterizedTest
    @CsvSource({"79, false", "80, true", "81, true"}) // lost at 60, confirmed 20 s later, included
    void aLossIsConfirmedOnceItLasted(long second, boolean confirmed) {
        SensorState suspected = heard(healthy(0), lost(60));

        Step step = suspected.confirmationDue(at(second));

        assertThat(step.findings()).isEqualTo(confirmed ? List.of(new LossConfirmed(at(60))) : List.of());
        assertThat(step.next().lostSince()).isEqualTo(confirmed ? Optional.of(at(60)) : Optional.empty());
        assertThat(step.next().isSettled()).isEqualTo(confirmed);
    }

    @Test
    void confirmationCountsFromTheReceiveTime() {
        Step step = heard(healthy(0)).heard(lost(60), TOLERANCE, at(300));

        assertThat(step.findings()).containsExactly(new LossSuspected(at(60), at(320)));
    }

    @Test
    void confirmationOfALossIsDueAtOnceWhereItIsOff() {
        Step heard = heard(healthy(0)).heard(lost(60), AT_ONCE, at(60));
        Step due = heard.next().confirmationDue(at(60));

        assertThat(heard.findings()).containsExactly(new LossSuspected(at(60), at(60)));
        assertThat(due.findings()).containsExactly(new LossConfirmed(at(60)));
        assertThat(due.next().isSettled()).isTrue();
    }

    @Test
    void confirmationIsNotDueTwice() {
        Step again = lostSince(60).confirmationDue(at(200));

        assertThat(again.findings()).isEmpty();
        assertThat(again.next()).isEqualTo(lostSince(60));
    }

    @Test
    void aFurtherReportOfTheSameLossDoesNotStartAgain() {
        assertThat(found(heard(healthy(0), lost(60)), lost(65))).isEmpty();
        assertThat(then(heard(healthy(0), lost(60)), lost(65)).confirmAt()).contains(at(80));
        assertThat(found(lostSince(60), lost(960))).isEmpty();
        assertThat(then(lostSince(60), lost(960)).lostSince()).contains(at(60));
    }

    @Test
    void aLossThatRecoversBeforeItIsConfirmedIsADip() {
        Step step = step(heard(healthy(0), lost(60)), healthy(70));

        assertThat(step.findings()).containsExactly(new DipEnded(at(60), at(70)));
        assertThat(step.next().suspectedAt()).isEmpty();
        assertThat(step.next().dips()).isEqualTo(1);
        assertThat(step.next().confirmationDue(at(100)).findings()).isEmpty();
    }

    @Test
    void aFreshCleanReportEndsALoss() {
        Step step = step(lostSince(60), healthy(600));

        assertThat(step.findings()).containsExactly(new SupplyReturned(at(60), at(600)));
        assertThat(step.next().lostSince()).isEmpty();
        assertThat(step.next().isSettled()).isTrue();
    }

    @Test
    void aLossAsTheFirstReportIsALoss() {
        assertThat(found(SensorState.UNHEARD, lost(0))).containsExactly(new FirstHeard(NOON), new LossSuspected(NOON, at(20)));
    }

    // ---- unsteady

    @Test
    void theThirdDipInTheWindowIsUnsteadyAndTheFourthIsNotToldAgain() {
        SensorState two = heard(healthy(0), lost(60), healthy(65), lost(120), healthy(125), lost(180));

        Step third = step(two, healthy(185));
        Step fourth = step(then(third.next(), lost(240)), healthy(245));

        assertThat(third.findings()).containsExactly(new DipEnded(at(180), at(185)), new Unsteady(3, at(60)));
        assertThat(fourth.findings()).containsExactly(new DipEnded(at(240), at(245)));
        assertThat(fourth.next().dips()).isEqualTo(4);
    }

    @ParameterizedTest
    @CsvSource({"3659, 2, 60", "3660, 1, 3660"}) // the window of one hour begins with the dip at 60 and does not include its end
    void aDipAfterTheWindowCountsFromOne(long second, int dips, long since) {
        SensorState state = heard(healthy(0), lost(60), healthy(65), healthy(900), healthy(1800), healthy(2700), healthy(3600));

        SensorState after = then(state, lost(second), healthy(second + 5));

        assertThat(after.dips()).isEqualTo(dips);
        assertThat(after.dipsSince()).contains(at(since));
    }

    @Test
    void aConfirmedLossIsNotADip() {
        assertThat(then(lostSince(60), healthy(600)).dips()).isZero();
    }

    // ---- order

    @Test
    void aLateReportChangesNothing() {
        SensorState state = lostSince(60);

        assertThat(step(state, healthy(59)).next()).isEqualTo(state);
        assertThat(found(state, healthy(59))).containsExactly(new LateReport(at(59), true));
        assertThat(step(heard(healthy(100)), lost(99)).next()).isEqualTo(heard(healthy(100)));
        assertThat(found(heard(healthy(100)), lost(99))).containsExactly(new LateReport(at(99), false));
    }

    @Test
    void aDuplicateChangesNothing() {
        assertThat(step(heard(healthy(0)), healthy(0))).isEqualTo(new Step(heard(healthy(0)), List.of()));
        assertThat(step(lostSince(60), lost(60))).isEqualTo(new Step(lostSince(60), List.of()));
        Report numbered = counted(lost(60), 8);
        SensorState suspected = heard(counted(healthy(0), 7), numbered);
        assertThat(step(suspected, numbered)).isEqualTo(new Step(suspected, List.of()));
    }

    @Test
    void aDuplicateDoesNotEndSilence() {
        assertThat(silent().heard(healthy(0), TOLERANCE, at(1100)).next()).isEqualTo(silent());
    }

    @ParameterizedTest
    @CsvSource({
            // counter of the healthy report, of the loss in the same second; is the loss taken?
            "7, 8, true",  // after it by its counter
            "7, 6, false", // before it by its counter: late
            "7, 7, true",  // one counter says both: in doubt, so it counts
            "7,  , true",  // no counter orders them: in doubt, so it counts
            " , 7, true",
            " ,  , true"})
    void aLossOfTheSameSecondCountsUnlessItsCounterIsOlder(Long ofHealthy, Long ofLost, boolean taken) {
        Report fed = ofHealthy == null ? healthy(0) : counted(healthy(0), ofHealthy);
        Report cut = ofLost == null ? lost(0) : counted(lost(0), ofLost);

        Step step = step(heard(fed), cut);

        assertThat(step.findings()).containsExactly(taken ? new LossSuspected(NOON, at(20)) : new LateReport(NOON, false));
        assertThat(step.next().reading()).isEqualTo(taken ? Reading.LOST : Reading.HEALTHY);
    }

    @ParameterizedTest
    @CsvSource({
            // counter of the loss, of the healthy report in the same second; does it end the loss?
            "7, 8, true",
            "7, 6, false",
            "7, 7, false",
            "7,  , false",
            " , 7, false",
            " ,  , false"})
    void aHealthyReportOfTheSameSecondEndsALossOnlyByALaterCounter(Long ofLost, Long ofHealthy, boolean ends) {
        Report cut = ofLost == null ? lost(60) : counted(lost(60), ofLost);
        Report fed = ofHealthy == null ? healthy(60) : counted(healthy(60), ofHealthy);
        SensorState confirmed = heard(healthy(0), cut).confirmationDue(at(80)).next();

        SensorState after = then(confirmed, fed);

        assertThat(after.lostSince().isEmpty()).isEqualTo(ends);
        assertThat(after.reading()).isEqualTo(ends ? Reading.HEALTHY : Reading.LOST);
    }

    @Test
    void anUncountedLossIsNotEndedByAHigherCounterOfItsOwnSecond() {
        SensorState suspected = heard(counted(healthy(60), 5), lost(60));

        Step step = step(suspected, counted(healthy(60), 6));

        assertThat(step.findings()).containsExactly(new DoubtfulReport(at(60), true));
        assertThat(step.next()).isEqualTo(suspected);
    }

    @Test
    void aRepeatedHealthyReportDoesNotEndTheDoubtfulLossOfItsSecond() {
        SensorState suspected = heard(counted(healthy(60), 2), counted(lost(60, Doubt.CLOCK_AHEAD), 1));

        assertThat(step(suspected, counted(healthy(60), 2)).next()).isEqualTo(suspected);
        assertThat(suspected.suspectedAt()).contains(at(60));
    }

    @Test
    void aDipWithinOneSecondIsSeenByItsCounters() {
        SensorState state = heard(counted(healthy(60), 5), counted(lost(60), 6));

        assertThat(found(state, counted(healthy(60), 7))).containsExactly(new DipEnded(at(60), at(60)));
        assertThat(found(then(state, counted(healthy(60), 7)), counted(lost(60), 6))).containsExactly(new LateReport(at(60), false));
    }

    @Test
    void aLossOfTheSameSecondAlwaysWaitsForADoubtfulConfirmation() {
        Step step = heard(healthy(0)).heard(lost(0), AT_ONCE, NOON);

        assertThat(step.findings()).containsExactly(new LossSuspected(NOON, at(20)));
    }

    // ---- doubt

    @ParameterizedTest
    @EnumSource(Doubt.class)
    void aDoubtfulLossStartsAConfirmationEvenWhereConfirmationIsOff(Doubt doubt) {
        Step step = heard(healthy(0)).heard(lost(60, doubt), AT_ONCE, at(60));

        assertThat(step.findings()).contains(new LossSuspected(at(60), at(80)));
        assertThat(step.next().confirmationDue(at(80)).findings()).containsExactly(new LossConfirmed(at(60)));
    }

    @ParameterizedTest
    @EnumSource(Doubt.class)
    void aDoubtfulLossWaitsAsLongAsACleanOneWhereThatIsLonger(Doubt doubt) {
        Tolerance patient = new Tolerance(Duration.ofSeconds(90), GRACE, GRACE, 3, Duration.ofHours(1));

        Step step = heard(healthy(0)).heard(lost(60, doubt), patient, at(60));

        assertThat(step.findings()).contains(new LossSuspected(at(60), at(150)));
    }

    @ParameterizedTest
    @EnumSource(Doubt.class)
    void aDoubtfulHealthyReportEndsNoLoss(Doubt doubt) {
        SensorState confirmed = then(lostSince(60), healthy(600, doubt));
        SensorState suspected = then(heard(healthy(0), lost(60)), healthy(70, doubt));

        assertThat(confirmed.lostSince()).contains(at(60));
        assertThat(confirmed.reading()).isEqualTo(Reading.LOST);
        assertThat(found(lostSince(60), healthy(600, doubt))).contains(new DoubtfulReport(at(600), true));
        assertThat(suspected.confirmationDue(at(80)).findings()).containsExactly(new LossConfirmed(at(60)));
    }

    @ParameterizedTest
    @EnumSource(Doubt.class)
    void aConfirmedLossIsNeverShownAsHealthy(Doubt doubt) {
        SensorState confirmed = heard(healthy(0), lost(60, doubt)).confirmationDue(at(80)).next();

        assertThat(confirmed.reading()).isEqualTo(Reading.LOST);
    }

    @ParameterizedTest
    @EnumSource(value = Doubt.class, names = {"CLOCK_AHEAD", "CLOCK_ANCIENT"})
    void anOddClockIsFlaggedOnceAndUnflaggedOnce(Doubt doubt) {
        SensorState odd = heard(healthy(0), healthy(10, doubt));

        assertThat(found(heard(healthy(0)), healthy(10, doubt))).containsExactly(new ClockJudged(true));
        assertThat(found(odd, healthy(20, doubt))).isEmpty();
        assertThat(found(odd, healthy(20))).containsExactly(new ClockJudged(false));
        assertThat(found(then(odd, healthy(20)), healthy(30))).isEmpty();
        assertThat(odd.isSettled()).isFalse();
    }

    @ParameterizedTest
    @EnumSource(value = Doubt.class, names = {"CLOCK_AHEAD", "CLOCK_ANCIENT"})
    void anOddHealthyReportDuringALossShowsThatTheSensorLives(Doubt doubt) {
        SensorState state = then(lostSince(60), healthy(600, doubt));

        assertThat(state.isOverdue(at(60 + 1021))).isFalse();
        assertThat(state.isOverdue(at(600 + 1021))).isTrue();
    }

    @ParameterizedTest
    @EnumSource(Doubt.class)
    void aDoubtfulLossIsNeverTooLate(Doubt doubt) {
        // The newest report is dated three minutes ahead, within what is let pass; then the sensor restarts without its clock.
        SensorState ahead = SensorState.UNHEARD.heard(healthy(180), TOLERANCE, NOON).next();

        Step step = ahead.heard(lost(60, doubt), TOLERANCE, at(60));

        assertThat(step.findings()).contains(new LossSuspected(at(60), at(80)));
        assertThat(step.next().observedAt()).as("moves forward only").contains(at(180));
        assertThat(step.next().confirmationDue(at(80)).next().reading()).isEqualTo(Reading.LOST);
    }

    @ParameterizedTest
    @EnumSource(Doubt.class)
    void aDoubtfulHealthyReportBeforeTheNewestIsLate(Doubt doubt) {
        assertThat(step(heard(healthy(180)), healthy(60, doubt)))
                .isEqualTo(new Step(heard(healthy(180)), List.of(new LateReport(at(60), true))));
    }

    @Test
    void anUndatedHealthyReportNeverRefreshes() {
        SensorState fed = heard(healthy(0));

        assertThat(step(fed, healthy(800, Doubt.AGE_NOT_KNOWN)).next()).isEqualTo(fed);
        assertThat(then(silent(), healthy(2000, Doubt.AGE_NOT_KNOWN))).isEqualTo(silent());
        assertThat(heard(healthy(0, Doubt.AGE_NOT_KNOWN))).isEqualTo(SensorState.UNHEARD);
        assertThat(found(fed, healthy(800, Doubt.AGE_NOT_KNOWN))).containsExactly(new DoubtfulReport(at(800), true));
    }

    @Test
    void anUndatedHealthyReportOfTheSameMomentIsStillInDoubt() {
        assertThat(step(heard(healthy(0)), healthy(0, Doubt.AGE_NOT_KNOWN)))
                .isEqualTo(new Step(heard(healthy(0)), List.of(new DoubtfulReport(NOON, true))));
    }

    @Test
    void anUndatedLossMovesNothingButTheSuspicion() {
        SensorState state = then(heard(healthy(0)), lost(60, Doubt.AGE_NOT_KNOWN));

        assertThat(state.observedAt()).contains(NOON);
        assertThat(state.silentAfter()).contains(at(1020));
        assertThat(state.suspectedAt()).contains(at(60));
        assertThat(found(state, lost(70, Doubt.AGE_NOT_KNOWN))).containsExactly(new DoubtfulReport(at(70), false));
    }

    @ParameterizedTest
    @CsvSource({"59, false", "60, false", "61, true"}) // the undated loss was received at 60 and may be as late as that
    void anUndatedLossIsEndedOnlyByWhatCameAfterIt(long second, boolean ends) {
        SensorState suspected = then(heard(healthy(0)), lost(60, Doubt.AGE_NOT_KNOWN));
        SensorState confirmed = suspected.confirmationDue(at(80)).next();

        SensorState afterSuspicion = suspected.heard(healthy(second), TOLERANCE, at(70)).next();
        SensorState afterLoss = confirmed.heard(healthy(second), TOLERANCE, at(90)).next();

        assertThat(afterSuspicion.suspectedAt().isEmpty()).isEqualTo(ends);
        assertThat(afterLoss.lostSince().isEmpty()).isEqualTo(ends);
    }

    @Test
    void noCounterEndsAnUndatedLossOfItsOwnMoment() {
        SensorState suspected = then(heard(healthy(0)), lost(60, Doubt.AGE_NOT_KNOWN));

        assertThat(then(suspected, counted(healthy(60), 1), counted(healthy(60), 2)).suspectedAt()).contains(at(60));
    }

    @Test
    void anUndatedLossAsTheFirstFactIsConfirmedWithoutEverClaimingHealth() {
        SensorState state = heard(lost(60, Doubt.AGE_NOT_KNOWN)).confirmationDue(at(80)).next();

        assertThat(state.lostSince()).contains(at(60));
        assertThat(state.reading()).isEqualTo(Reading.UNKNOWN);
        assertThat(found(state, healthy(100))).containsExactly(new FirstHeard(at(100)), new SupplyReturned(at(60), at(100)));
    }

    // ---- back-filled

    @ParameterizedTest
    @CsvSource({"1620, true", "1621, false"}) // observed at 600, fresh until 600 + 900 + 120, included
    void aBackFilledHealthyReportEndsALossOnlyWhileItIsFresh(long heardAt, boolean ends) {
        Step step = lostSince(60).heard(healthy(600), TOLERANCE, at(heardAt));

        assertThat(step.next().lostSince().isEmpty()).isEqualTo(ends);
        assertThat(step.findings()).containsExactly(ends ? new SupplyReturned(at(60), at(600)) : new DoubtfulReport(at(600), true));
    }

    @Test
    void aBackFilledStaleReportDoesNotEndSilence() {
        Step step = silent().heard(healthy(1100), TOLERANCE, at(9000));

        assertThat(step.findings()).isEmpty();
        assertThat(step.next().reading()).isEqualTo(Reading.UNKNOWN);
        assertThat(step.next().silent()).isTrue();
        assertThat(step.next().observedAt()).as("the present still moves forward in observed time").contains(at(1100));
    }

    @Test
    void aBackFilledStaleLossIsALossAndTheReadingStaysUnknown() {
        Step step = silent().heard(lost(1100), TOLERANCE, at(9000));

        assertThat(step.findings()).containsExactly(new LossSuspected(at(1100), at(9020)));
        assertThat(step.next().reading()).isEqualTo(Reading.UNKNOWN);
    }

    @Test
    void aDipInABacklogEndsInTheBacklog() {
        SensorState state = silent().heard(lost(1100), TOLERANCE, at(9000)).next();

        assertThat(state.heard(healthy(1105), TOLERANCE, at(9000)).findings()).containsExactly(new DipEnded(at(1100), at(1105)));
    }

    // ---- link

    @Test
    void aBrokenLinkMakesTheReadingUnknownAtOnce() {
        Step step = heard(healthy(0)).linkDown(TOLERANCE, at(30));

        assertThat(step.findings()).containsExactly(new LinkWentDown(at(30)));
        assertThat(step.next().readingAt(at(30))).isEqualTo(Reading.UNKNOWN);
        assertThat(step.next().linkDown(TOLERANCE, at(40))).isEqualTo(new Step(step.next(), List.of()));
    }

    @ParameterizedTest
    @CsvSource({
            // link down at, silence judged after: the link's own grace of 60 s or the promise, whichever is first
            "30, 90",
            "959, 1019",
            "960, 1020",
            "1000, 1020"})
    void silenceOfABrokenLinkCountsFromTheBreak(long down, long limit) {
        SensorState state = heard(healthy(0)).linkDown(TOLERANCE, at(down)).next();

        assertThat(state.isOverdue(at(limit))).isFalse();
        assertThat(state.silenceDue(at(limit + 1)).findings()).containsExactly(new WentSilent(NOON, at(down)));
    }

    @Test
    void aLinkThatIsUpAgainSaysNothingAboutTheSupply() {
        SensorState down = heard(healthy(0)).linkDown(TOLERANCE, at(30)).next();

        Step up = down.linkUp(at(40));

        assertThat(up.findings()).containsExactly(new LinkCameUp(at(40)));
        assertThat(up.next().readingAt(at(40))).isEqualTo(Reading.UNKNOWN);
        assertThat(up.next().linkUp(at(41))).isEqualTo(new Step(up.next(), List.of()));
        assertThat(found(up.next(), healthy(45))).containsExactly(new HeardAgain(at(30), at(45)));
    }

    @Test
    void aReportWithoutABirthShowsThatTheLinkIsUp() {
        SensorState down = heard(healthy(0)).linkDown(TOLERANCE, at(30)).next();

        Step step = step(down, healthy(50));

        assertThat(step.findings()).containsExactly(new HeardAgain(at(30), at(50)));
        assertThat(step.next().linkDown()).isFalse();
        assertThat(step.next().isSettled()).isTrue();
    }

    @ParameterizedTest
    @CsvSource({"29, UNKNOWN, true", "30, HEALTHY, false"}) // the link broke at 30
    void aReportFromBeforeTheBreakDoesNotMendTheLink(long observed, Reading reading, boolean down) {
        SensorState broken = heard(healthy(0)).linkDown(TOLERANCE, at(30)).next();

        SensorState state = broken.heard(healthy(observed), TOLERANCE, at(31)).next();

        assertThat(state.readingAt(at(31))).isEqualTo(reading);
        assertThat(state.linkDown()).isEqualTo(down);
        assertThat(state.isOverdue(at(91))).isEqualTo(down);
    }

    @Test
    void aBrokenLinkKeepsALossLive() {
        SensorState state = lostSince(60).linkDown(TOLERANCE, at(100)).next().silenceDue(at(161)).next().linkUp(at(200)).next();

        assertThat(state.lostSince()).contains(at(60));
    }

    @Test
    void theLinkOfASensorThatNeverReportedBreaksWithoutSilence() {
        SensorState state = SensorState.UNHEARD.linkDown(TOLERANCE, at(30)).next();

        assertThat(state.isOverdue(at(100_000))).isFalse();
        assertThat(found(state, healthy(40))).containsExactly(new FirstHeard(at(40)));
    }

    // ---- settled, and what cannot exist

    @Test
    void aStateWithSomethingPendingIsNotSettled() {
        assertThat(heard(healthy(0)).isSettled()).isTrue();
        assertThat(lostSince(60).isSettled()).isTrue();
        assertThat(heard(healthy(0), lost(60)).isSettled()).as("suspected").isFalse();
        assertThat(silent().isSettled()).as("silent").isFalse();
        assertThat(heard(healthy(0)).linkDown(TOLERANCE, at(1)).next().isSettled()).as("link down").isFalse();
        assertThat(heard(healthy(0)).linkDown(TOLERANCE, at(1)).next().linkUp(at(2)).next().isSettled()).as("link up, not heard").isFalse();
    }

    @Test
    void whatCannotExistIsRefused() {
        Optional<Instant> none = Optional.empty();
        Optional<Instant> noon = Optional.of(NOON);

        assertThatThrownBy(() -> new SensorState(Reading.LOST, noon, OptionalLong.empty(), noon, noon, none, none, none, false, false,
                false, 0, none)).isInstanceOf(IllegalArgumentException.class).hasMessageContaining("go together");
        assertThatThrownBy(() -> new SensorState(Reading.LOST, noon, OptionalLong.empty(), noon, noon, noon, noon, none, false, false,
                false, 0, none)).isInstanceOf(IllegalArgumentException.class).hasMessageContaining("not both");
        assertThatThrownBy(() -> new Report(true, NOON, OptionalLong.empty(), Duration.ZERO, Set.of()))
                .isInstanceOf(IllegalArgumentException.class).hasMessageContaining("PT0S");
    }

    @ParameterizedTest
    @CsvSource({"-1, 0, 0, 3, 1, confirm", "0, -1, 0, 3, 1, grace", "0, 0, -1, 3, 1, link grace",
            "0, 0, 0, 1, 1, dips", "0, 0, 0, 2, 0, window"})
    void aToleranceOutOfRangeIsRefused(long confirm, long grace, long linkGrace, int dips, long window, String named) {
        assertThatThrownBy(() -> new Tolerance(Duration.ofSeconds(confirm), Duration.ofSeconds(grace), Duration.ofSeconds(linkGrace), dips,
                Duration.ofSeconds(window))).isInstanceOf(IllegalArgumentException.class).hasMessageContaining(named);
    }

    @Test
    void theLimitIsPromisePlusGrace() {
        assertThat(heard(healthy(0)).silentAfter()).contains(NOON.plus(PROMISE).plus(GRACE));
    }
}
