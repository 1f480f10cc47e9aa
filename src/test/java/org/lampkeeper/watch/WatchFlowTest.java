package org.lampkeeper.watch;

import java.time.Duration;
import java.util.OptionalLong;

import jakarta.inject.Inject;

import io.quarkus.test.junit.QuarkusTest;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;

import org.lampkeeper.testing.MovedClock;
import org.lampkeeper.watch.AlarmDesk.HoldResult;
import org.lampkeeper.watch.AlarmDesk.PassResult;
import org.lampkeeper.watch.AlarmDesk.TakeResult;
import org.lampkeeper.watch.WatchFixture.Place;
import org.lampkeeper.watch.WatchFixture.Raised;
import org.lampkeeper.watch.WatchFixture.Told;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.groups.Tuple.tuple;

/** From a fact to the alarm, the message and the journal, in moved time: the rules of the design that never break. */
@QuarkusTest
class WatchFlowTest {

    @Inject
    WatchFixture fixture;

    @Inject
    AlarmDesk desk;

    @Inject
    MovedClock clock;

    @BeforeEach
    void noon() {
        fixture.atNoonListening();
    }

    @Test
    void confirmedLossRaisesOneAlarmAndTellsTheFirstPerson() {
        Place place = healthy(1);

        fixture.saysLost(place.first());
        fixture.passes(Duration.ofSeconds(19));

        assertThat(fixture.alarms(place)).isEmpty();

        fixture.passes(Duration.ofSeconds(1));

        assertThat(fixture.alarms(place)).extracting(Raised::kind, Raised::state, Raised::live)
                .containsExactly(tuple("SUPPLY_LOST", "UNACKNOWLEDGED", true));
        assertThat(fixture.called(place)).containsExactly(place.people().get(0));
        assertThat(fixture.journalKinds(place)).containsSubsequence("loss-suspected", "loss-confirmed", "alarm-raised", "call-out-opened");
    }

    @Test
    void theMessageNamesBoardWayAndFuse() {
        Place place = healthy(1);

        lose(place);

        Told message = fixture.told(place).get(0);
        assertThat(message.subject() + message.body()).contains("Board A", "way 3", "C16", "30 mA", "3 A", "key 7", "gate code 2468", "/a/");
    }

    @Test
    void dipThatRecoversIsWrittenDownAndNobodyIsTold() {
        Place place = healthy(1);

        fixture.saysLost(place.first());
        fixture.passes(Duration.ofSeconds(10));
        fixture.saysHealthy(place.first());
        fixture.passes(Duration.ofMinutes(2));

        assertThat(fixture.alarms(place)).isEmpty();
        assertThat(fixture.told(place)).isEmpty();
        assertThat(fixture.journalKinds(place)).contains("dip-ended");
    }

    @Test
    void dipBetweenTwoHealthyReportsOfOneBatchIsNotCoalescedAway() {
        Place place = healthy(1);
        fixture.passes(Duration.ofSeconds(30));

        fixture.take(fixture.arrival(place.first(), true, fixture.now().minusSeconds(20), false),
                fixture.arrival(place.first(), false, fixture.now().minusSeconds(10), false),
                fixture.arrival(place.first(), true, fixture.now(), false));

        assertThat(fixture.journalKinds(place)).containsSubsequence("loss-suspected", "dip-ended");
        assertThat(fixture.reading(place.first())).isEqualTo("HEALTHY");
    }

    @Test
    void retiredSensorIsRefusedThoughItWasHeardJustBefore() {
        Place place = healthy(1);
        fixture.retire(place.first());
        double before = fixture.refusedAsUnknown();

        fixture.saysLost(place.first());
        fixture.passes(Duration.ofMinutes(1));

        assertThat(fixture.refusedAsUnknown()).isEqualTo(before + 1);
        assertThat(fixture.alarms(place)).isEmpty();
    }

    @Test
    void climbsInOrderUntilSomebodyTakesIt() {
        Place place = healthy(1);
        lose(place);
        fixture.passesWhileAllSay(place, false, Duration.ofMinutes(10));

        assertThat(fixture.called(place)).containsExactly(place.people().get(0), place.people().get(1));

        TakeResult taken = desk.take(onlyAlarm(place).id(), place.people().get(1));
        fixture.passesWhileAllSay(place, false, Duration.ofHours(2));

        assertThat(taken).isInstanceOf(TakeResult.Yours.class);
        assertThat(fixture.called(place)).containsExactly(place.people().get(0), place.people().get(1));
        assertThat(onlyAlarm(place).state()).isEqualTo("ACKNOWLEDGED");
    }

    @Test
    void listBeginsAgainWhenEverybodyWasTold() {
        Place place = healthy(1);

        lose(place);
        fixture.passesWhileAllSay(place, false, Duration.ofMinutes(51));

        assertThat(fixture.called(place)).containsExactly(place.people().get(0), place.people().get(1), place.people().get(2),
                place.people().get(0));
    }

    @Test
    void acknowledgementClearsNothingAndBearsARepeat() {
        Place place = healthy(1);
        lose(place);

        TakeResult first = desk.take(onlyAlarm(place).id(), place.people().get(0));
        fixture.passes(Duration.ofMinutes(3));
        TakeResult again = desk.take(onlyAlarm(place).id(), place.people().get(0));
        TakeResult other = desk.take(onlyAlarm(place).id(), place.people().get(1));

        assertThat(again).isEqualTo(first);
        assertThat(other).isInstanceOfSatisfying(TakeResult.AlreadyTaken.class, taken -> assertThat(taken.byName()).isEqualTo("M. Teal"));
        assertThat(onlyAlarm(place).live()).isTrue();
    }

    @Test
    void recoveryAcknowledgesNothingAndRestsTheClimb() {
        Place place = healthy(1);
        lose(place);

        fixture.passes(Duration.ofMinutes(1));
        fixture.saysHealthy(place.first());
        fixture.passesWhileAllSay(place, true, Duration.ofHours(1));

        assertThat(onlyAlarm(place)).extracting(Raised::state, Raised::live, Raised::open)
                .containsExactly("RETURNED_UNACKNOWLEDGED", false, true);
        assertThat(fixture.called(place)).containsExactly(place.people().get(0));
        assertThat(fixture.told(place)).filteredOn(each -> each.purpose().equals("NOTICE")).extracting(Told::personId)
                .containsExactly(place.people().get(0));

        desk.take(onlyAlarm(place).id(), place.people().get(0));

        assertThat(onlyAlarm(place).open()).isFalse();
    }

    @Test
    void secondLossOnTheOpenAlarmGoesOnWhereTheClimbHadGot() {
        Place place = healthy(1);
        lose(place);
        fixture.passes(Duration.ofMinutes(1));
        fixture.saysHealthy(place.first());
        fixture.passes(Duration.ofMinutes(1));

        lose(place);

        assertThat(fixture.alarms(place)).hasSize(1);
        assertThat(onlyAlarm(place).state()).isEqualTo("UNACKNOWLEDGED");
        assertThat(fixture.called(place)).containsExactly(place.people().get(0), place.people().get(0), place.people().get(1));
    }

    @Test
    void recoveryOfATakenAlarmClosesIt() {
        Place place = healthy(1);
        lose(place);
        desk.take(onlyAlarm(place).id(), place.people().get(0));

        fixture.passes(Duration.ofMinutes(5));
        fixture.saysHealthy(place.first());

        assertThat(onlyAlarm(place).open()).isFalse();
        assertThat(fixture.journalKinds(place)).containsSubsequence("alarm-acknowledged", "alarm-returned", "call-out-ended");
    }

    @Test
    void silenceAfterALossClearsNothing() {
        Place place = healthy(1);
        lose(place);

        fixture.passes(Duration.ofHours(1));

        assertThat(fixture.openAlarms(place)).extracting(Raised::kind, Raised::live)
                .containsExactlyInAnyOrder(tuple("SUPPLY_LOST", true), tuple("NOT_HEARD", true));
        assertThat(fixture.reading(place.first())).isEqualTo("UNKNOWN");
    }

    @Test
    void brokenPromiseIsUnknownAndAnAlarmOfItsOwn() {
        Place place = healthy(1);

        fixture.passes(Duration.ofSeconds(WatchFixture.PROMISE_SECONDS + 120 - 5));

        assertThat(fixture.alarms(place)).isEmpty();

        fixture.passes(Duration.ofSeconds(5));

        assertThat(onlyAlarm(place)).extracting(Raised::kind, Raised::state).containsExactly("NOT_HEARD", "UNACKNOWLEDGED");
        assertThat(fixture.called(place)).containsExactly(place.people().get(0));
    }

    @Test
    void steadyReportsPutTheLookForSilenceOff() {
        Place place = healthy(1);
        for (int i = 0; i < 4; i++) {
            fixture.passes(Duration.ofSeconds(WatchFixture.PROMISE_SECONDS));
            fixture.saysHealthy(place.first());
        }

        fixture.passes(Duration.ofSeconds(WatchFixture.PROMISE_SECONDS + 60));

        assertThat(fixture.alarms(place)).isEmpty();
        assertThat(fixture.journalKinds(place)).filteredOn(kind -> !kind.endsWith("-registered") && !kind.equals("call-out-list-changed"))
                .containsExactly("first-report-heard");
    }

    @Test
    void retainedOldReportIsNoFreshOne() {
        Place place = healthy(1);
        fixture.passes(Duration.ofSeconds(WatchFixture.PROMISE_SECONDS + 125));

        fixture.take(fixture.arrival(place.first(), true, WatchFixture.NOON.plusSeconds(1), true));

        assertThat(fixture.reading(place.first())).isEqualTo("UNKNOWN");
        assertThat(onlyAlarm(place).live()).isTrue();
    }

    @Test
    void twoSensorsOfASiteThatFallQuietTogetherAreOneCallOut() {
        Place place = healthy(3);

        fixture.link(place.first(), "down");
        fixture.passes(Duration.ofSeconds(20));
        fixture.link(place.second(), "down");
        fixture.passes(Duration.ofSeconds(55));

        assertThat(fixture.alarms(place)).isEmpty();

        fixture.passes(Duration.ofMinutes(5));

        assertThat(fixture.openAlarms(place)).extracting(Raised::kind)
                .containsExactlyInAnyOrder("PROBABLE_SITE_LOSS", "NOT_HEARD", "NOT_HEARD");
        assertThat(fixture.called(place)).containsExactly(place.people().get(0));

        fixture.passes(Duration.ofMinutes(6));

        assertThat(fixture.called(place)).containsExactly(place.people().get(0), place.people().get(1));
    }

    @Test
    void twoSensorsThatFallQuietFarApartAreNoSiteLoss() {
        Place place = healthy(2);

        fixture.link(place.first(), "down");
        fixture.passes(Duration.ofSeconds(61));
        fixture.link(place.second(), "down");
        fixture.passes(Duration.ofMinutes(3));

        assertThat(fixture.openAlarms(place)).extracting(Raised::kind).containsExactly("NOT_HEARD", "NOT_HEARD");
    }

    @Test
    void routerThatRestartsWithinAMinuteTroublesNobody() {
        Place place = healthy(2);

        fixture.link(place.first(), "down");
        fixture.link(place.second(), "down");
        fixture.passes(Duration.ofSeconds(40));
        fixture.link(place.first(), "up");
        fixture.saysHealthy(place.first());
        fixture.link(place.second(), "up");
        fixture.saysHealthy(place.second());
        fixture.passes(Duration.ofMinutes(10));

        assertThat(fixture.alarms(place)).isEmpty();
    }

    @Test
    void ownOutageIsOneAlarmAndSilenceIsJudgedOnlyAfterAGrace() {
        Place place = healthy(2);

        fixture.passesDeaf(Duration.ofHours(1));

        assertThat(fixture.alarms(SiteWatches.INSTALLATION)).filteredOn(Raised::open).extracting(Raised::kind, Raised::live)
                .containsExactly(tuple("NOT_LISTENING", true));
        assertThat(fixture.alarms(place)).isEmpty();

        fixture.passes(Duration.ofSeconds(115));

        assertThat(fixture.alarms(SiteWatches.INSTALLATION)).filteredOn(Raised::open).extracting(Raised::live).containsExactly(false);
        assertThat(fixture.alarms(place)).isEmpty();

        fixture.passes(Duration.ofSeconds(15));

        assertThat(fixture.openAlarms(place)).extracting(Raised::kind).contains("NOT_HEARD");
    }

    @Test
    void acknowledgedOutageIsNotRaisedAgainWhileItLastsNorWhenItEnds() {
        Place place = healthy(1);
        fixture.passesDeaf(Duration.ofHours(1));
        long alarm = fixture.alarms(SiteWatches.INSTALLATION).stream().filter(Raised::open).findFirst().orElseThrow().id();
        desk.take(alarm, place.people().get(0));

        fixture.passesDeaf(Duration.ofHours(1));
        fixture.listened();
        fixture.work();

        assertThat(fixture.alarms(SiteWatches.INSTALLATION)).filteredOn(Raised::open).isEmpty();
    }

    @Test
    void outageOfTheWholeProcessIsFoundWhenItListensAgain() {
        fixture.passesDeaf(Duration.ZERO);
        clock.advance(Duration.ofMinutes(30));

        fixture.listened();
        fixture.work();

        assertThat(fixture.alarms(SiteWatches.INSTALLATION)).filteredOn(Raised::open).extracting(Raised::kind, Raised::state)
                .containsExactly(tuple("NOT_LISTENING", "RETURNED_UNACKNOWLEDGED"));
    }

    @Test
    void shelvedAlarmTellsNobodyAndCountsAtOnceWhenTheShelfEnds() {
        Place place = healthy(1);
        lose(place);

        HoldResult held = desk.shelve(onlyAlarm(place).id(), fixture.now().plusSeconds(3600), "painter at work", OptionalLong.empty());
        fixture.passesWhileAllSay(place, false, Duration.ofMinutes(59));

        assertThat(held).isInstanceOf(HoldResult.Held.class);
        assertThat(onlyAlarm(place).state()).isEqualTo("SHELVED");
        assertThat(fixture.called(place)).hasSize(1);

        fixture.passes(Duration.ofMinutes(2));

        assertThat(onlyAlarm(place).state()).isEqualTo("UNACKNOWLEDGED");
        assertThat(fixture.called(place)).hasSizeGreaterThan(1);
    }

    @Test
    void shelfThatEndsOnAHealthySupplyClosesTheAlarm() {
        Place place = healthy(1);
        lose(place);
        desk.shelve(onlyAlarm(place).id(), fixture.now().plusSeconds(600), "painter at work", OptionalLong.empty());

        fixture.passes(Duration.ofMinutes(5));
        fixture.saysHealthy(place.first());
        fixture.passes(Duration.ofMinutes(6));

        assertThat(onlyAlarm(place)).extracting(Raised::state, Raised::open).containsExactly("NORMAL", false);
        assertThat(desk.shelve(onlyAlarm(place).id(), fixture.now().plusSeconds(600), "once more", OptionalLong.empty()))
                .isInstanceOf(HoldResult.Refused.class);
        assertThat(onlyAlarm(place)).extracting(Raised::state, Raised::open).containsExactly("NORMAL", false);
    }

    @Test
    void announcedWorkHoldsALossBackUntilItsEnd() {
        Place place = healthy(1);
        desk.suppress(SuppressionKind.ANNOUNCED_WORK, place.siteId(), OptionalLong.of(place.boardId()), OptionalLong.empty(),
                fixture.now().plusSeconds(1800), "new board", OptionalLong.empty());

        lose(place);

        assertThat(onlyAlarm(place)).extracting(Raised::state, Raised::live).containsExactly("SUPPRESSED_BY_DESIGN", true);
        assertThat(fixture.told(place)).isEmpty();

        fixture.passesWhileAllSay(place, false, Duration.ofMinutes(30));

        assertThat(onlyAlarm(place).state()).isEqualTo("UNACKNOWLEDGED");
        assertThat(fixture.called(place)).containsExactly(place.people().get(0));
    }

    @Test
    void testPressHoldsBackForTwoMinutesWhateverWasAskedFor() {
        Place place = healthy(1);
        desk.suppress(SuppressionKind.TEST_PRESS, place.siteId(), OptionalLong.empty(), OptionalLong.of(place.first().cabinetId()),
                fixture.now().plusSeconds(86_400), "test button", OptionalLong.empty());

        lose(place);
        fixture.passes(Duration.ofSeconds(95));

        assertThat(onlyAlarm(place).state()).isEqualTo("SUPPRESSED_BY_DESIGN");

        fixture.passes(Duration.ofSeconds(10));

        assertThat(onlyAlarm(place).state()).isEqualTo("UNACKNOWLEDGED");
    }

    @Test
    void holdsNeedAnEndAheadAndAReason() {
        Place place = healthy(1);
        lose(place);
        long alarm = onlyAlarm(place).id();

        assertThat(desk.shelve(alarm, fixture.now(), "why", OptionalLong.empty())).isInstanceOf(HoldResult.Refused.class);
        assertThat(desk.shelve(alarm, fixture.now().plus(Duration.ofDays(15)), "why", OptionalLong.empty()))
                .isInstanceOf(HoldResult.Refused.class);
        assertThat(desk.shelve(alarm, fixture.now().plusSeconds(60), " ", OptionalLong.empty())).isInstanceOf(HoldResult.Refused.class);
        assertThat(onlyAlarm(place).state()).isEqualTo("UNACKNOWLEDGED");
    }

    @Test
    void whoeverCannotComeMakesTheNextBeToldNow() {
        Place place = healthy(1);
        lose(place);

        PassResult passed = desk.cannot(onlyAlarm(place).id(), place.people().get(0));

        assertThat(passed).isInstanceOf(PassResult.PassedOn.class);
        assertThat(fixture.called(place)).containsExactly(place.people().get(0), place.people().get(1));
    }

    @Test
    void unsteadySupplyIsNotedAndNobodyIsCalled() {
        Place place = healthy(1);
        for (int i = 0; i < 3; i++) {
            fixture.passes(Duration.ofSeconds(60));
            fixture.saysLost(place.first());
            fixture.passes(Duration.ofSeconds(5));
            fixture.saysHealthy(place.first());
        }

        assertThat(onlyAlarm(place)).extracting(Raised::kind, Raised::state).containsExactly("UNSTEADY", "RETURNED_UNACKNOWLEDGED");
        assertThat(fixture.told(place)).isEmpty();
    }

    @Test
    void aBatchDeliveredTwiceChangesNothingTheSecondTime() {
        Place place = healthy(2);
        fixture.passes(Duration.ofSeconds(30));
        var lost = fixture.arrival(place.first(), false, fixture.now(), false);
        var fine = fixture.arrival(place.second(), true, fixture.now(), false);
        fixture.take(lost, fine);
        var before = fixture.journalKinds(place);

        fixture.take(lost, fine);

        assertThat(fixture.journalKinds(place)).isEqualTo(before);
    }

    private Place healthy(int cabinets) {
        Place place = fixture.place(cabinets);
        place.sensors().forEach(fixture::saysHealthy);
        fixture.passes(Duration.ofSeconds(5));
        return place;
    }

    private void lose(Place place) {
        fixture.saysLost(place.first());
        fixture.passes(Duration.ofSeconds(20));
    }

    private Raised onlyAlarm(Place place) {
        assertThat(fixture.alarms(place)).hasSize(1);
        return fixture.alarms(place).get(0);
    }
}
