package org.lampkeeper.watch;

import java.io.IOException;
import java.io.UncheckedIOException;
import java.time.Duration;
import java.time.Instant;
import java.time.LocalDate;
import java.time.LocalTime;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.UUID;
import java.util.regex.Matcher;
import java.util.regex.Pattern;

import jakarta.inject.Inject;
import jakarta.persistence.EntityManager;

import io.quarkus.narayana.jta.QuarkusTransaction;
import io.quarkus.test.junit.QuarkusTest;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;

import org.lampkeeper.callout.CallOutList;
import org.lampkeeper.callout.DutyRole;
import org.lampkeeper.callout.Turn;
import org.lampkeeper.callout.Whom;
import org.lampkeeper.check.Answer;
import org.lampkeeper.check.CheckKind;
import org.lampkeeper.check.WhenClosed;
import org.lampkeeper.message.LinkTokens;
import org.lampkeeper.register.By;
import org.lampkeeper.register.CheckPlanSheet;
import org.lampkeeper.register.CheckPlans;
import org.lampkeeper.register.DutyBook;
import org.lampkeeper.register.Labels;
import org.lampkeeper.register.NewCheckPlan;
import org.lampkeeper.register.NewPerson;
import org.lampkeeper.register.Register;
import org.lampkeeper.register.Registration;
import org.lampkeeper.register.Rows;
import org.lampkeeper.testing.MovedClock;
import org.lampkeeper.watch.CheckDesk.Behind;
import org.lampkeeper.watch.CheckDesk.Earlier;
import org.lampkeeper.watch.CheckDesk.Taken;
import org.lampkeeper.watch.WatchFixture.Place;
import org.lampkeeper.watch.WatchFixture.Raised;

import static org.assertj.core.api.Assertions.assertThat;
import static org.lampkeeper.watch.WatchFixture.NOON;

/** From opening to the end: who is asked when, what their answers raise and end, and that nothing that was said is lost. */
@QuarkusTest
class CheckFlowTest {

    private static final LocalDate TUESDAY = LocalDate.parse("2026-12-01");
    private static final Instant OPENS = Instant.parse("2026-12-01T13:00:00Z");
    private static final Instant HALF_WAY = Instant.parse("2026-12-01T14:00:00Z");
    private static final Instant SHORTLY_BEFORE = Instant.parse("2026-12-01T14:40:00Z");
    private static final Instant CLOSES = Instant.parse("2026-12-01T15:00:00Z");
    private static final Instant MISSED = Instant.parse("2026-12-01T15:30:00Z");

    @Inject
    WatchFixture fixture;
    @Inject
    CheckPlans plans;
    @Inject
    CheckPlanner planner;
    @Inject
    CheckDesk desk;
    @Inject
    DeadlineHandler handler;
    @Inject
    Deadlines deadlines;
    @Inject
    DutyBook duties;
    @Inject
    Registration registration;
    @Inject
    Register register;
    @Inject
    Labels labels;
    @Inject
    LinkTokens tokens;
    @Inject
    EntityManager entities;
    @Inject
    MovedClock clock;

    private Place place;
    private long staff;

    @BeforeEach
    void noon() {
        fixture.atNoonListening();
        place = fixture.place(1);
        staff = place.people().get(1);
    }

    @Test
    void theyAreAskedThreeTimesAndMissingItIsAnAlarmThatCallsOut() {
        plan(lamp());
        goTo(OPENS.minusSeconds(1));
        assertThat(asked()).isEmpty();

        goTo(MISSED.minusSeconds(1));
        assertThat(asked()).containsExactly(staff + " " + OPENS, staff + " " + HALF_WAY, staff + " " + SHORTLY_BEFORE);
        assertThat(open()).isEmpty();

        goTo(MISSED);
        assertThat(open()).containsExactly("LOOK_MISSED");
        assertThat(fixture.called(place)).containsExactly(place.people().get(0));
        assertThat(fixture.journalKinds(place)).contains("check-missed");
        assertThat(states()).containsExactly("MISSED");
    }

    @Test
    void messageNamesThePlaceAndTheTimeAndSaysThatOpeningRecordsNothing() {
        plan(lamp());
        goTo(OPENS);

        assertThat(messages()).singleElement().satisfies(body -> assertThat(body).contains("please look at the lamp of " + cabinetName(), "by 15:00 (Europe/London)",
                "The lamp: below the door.", "/c/", "Opening it records nothing"));
        assertThat(text("SELECT brief FROM outgoing_message WHERE purpose = 'LOOK' AND person_id = " + staff)).hasSizeLessThanOrEqualTo(160).contains("by 15:00", "/s/");
    }

    /** Where many open at once: first all of them do, then people are asked, as they would have been. */
    @Test
    void whatWasOpenedFirstIsAskedForOnceAfterItAndGoesOnAsAnyOther() {
        plan(lamp());
        clock.stopAt(OPENS.plusSeconds(5));
        assertThat(openAll()).isPositive();
        assertThat(openAll()).as("each opens once").isZero();

        assertThat(asked()).isEmpty();
        assertThat(number("SELECT COUNT(*) FROM check_due WHERE opened_at IS NOT NULL AND to_ask = TRUE AND site_id = " + place.siteId())).isOne();

        fixture.work();
        assertThat(asked()).containsExactly(staff + " " + OPENS.plusSeconds(5));
        assertThat(messages()).singleElement().satisfies(body -> assertThat(body).contains("please look at the lamp of " + cabinetName()));
        assertThat(number("SELECT COUNT(*) FROM check_due WHERE to_ask = TRUE AND site_id = " + place.siteId())).isZero();

        goTo(MISSED);
        assertThat(asked()).containsExactly(staff + " " + OPENS.plusSeconds(5), staff + " " + HALF_WAY, staff + " " + SHORTLY_BEFORE);
        assertThat(open()).containsExactly("LOOK_MISSED");
    }

    @Test
    void whatSomebodySaysBeforeAnybodyWasAskedCountsAndNobodyIsAsked() {
        plan(lamp());
        clock.stopAt(OPENS.plusSeconds(5));
        openAll();
        long look = number("SELECT MAX(id) FROM check_due WHERE opened_at IS NOT NULL AND site_id = " + place.siteId());
        say(tokens.issueForLook(look, staff, MISSED), Answer.LIT);

        goTo(MISSED);
        assertThat(asked()).isEmpty();
        assertThat(states()).containsExactly("DONE");
        assertThat(open()).isEmpty();
    }

    @Test
    void whatIsOverOrStandsByASensorOrHasNotComeIsNotOpenedWithTheOthers() {
        plan(new NewCheckPlan(CheckKind.LAMP, "FREQ=DAILY", TUESDAY, LocalTime.of(13, 0), LocalTime.of(15, 0), 30, WhenClosed.SKIP, new Whom.Person(staff),
                Optional.empty(), true));
        String opened = "SELECT COUNT(*) FROM check_due WHERE opened_at IS NOT NULL AND site_id = " + place.siteId();
        clock.stopAt(OPENS);
        openAll();
        assertThat(number(opened)).as("a sensor may stand in").isZero();

        plan(new NewCheckPlan(CheckKind.CABINET, "FREQ=DAILY", TUESDAY, LocalTime.of(14, 0), LocalTime.of(15, 0), 30, WhenClosed.SKIP, new Whom.Person(staff),
                Optional.empty(), false));
        openAll();
        assertThat(number(opened)).as("not before its time").isZero();

        clock.stopAt(MISSED);
        openAll();
        assertThat(number(opened)).as("it was missed").isZero();
        fixture.work();
        assertThat(states()).containsOnly("MISSED");
    }

    @Test
    void answerOnTimeEndsTheAskingAndIsRecordedOnce() {
        plan(lamp());
        goTo(OPENS.plusSeconds(600));
        String token = token();

        assertThat(desk.behind(token)).isInstanceOf(Behind.Open.class);
        assertThat(records()).as("opening records nothing").isEmpty();
        say(token, Answer.LIT);
        say(token, Answer.LIT);
        goTo(MISSED.plusSeconds(600));

        assertThat(records()).containsExactly("LIT counted");
        assertThat(states()).containsExactly("DONE");
        assertThat(asked()).hasSize(1);
        assertThat(open()).isEmpty();
        assertThat(fixture.journalKinds(place).stream().filter("check-recorded"::equals)).hasSize(1);
    }

    @Test
    void lampThatIsOutIsAnAlarmAtOnceAndWhatWasTappedWrongIsKept() {
        plan(lamp());
        goTo(OPENS.plusSeconds(600));
        String token = token();

        say(token, Answer.OUT);
        assertThat(open()).containsExactly("LAMP_OUT");
        assertThat(fixture.called(place)).containsExactly(place.people().get(0));
        assertThat(fixture.told(place).get(0).body()).contains("WHERE TO LOOK FIRST", "CAUTIONS", "saw the lamp out");

        say(token, Answer.LIT);
        assertThat(states("LAMP_OUT")).containsExactly("RETURNED_UNACKNOWLEDGED");
        assertThat(records()).containsExactly("OUT counted", "LIT counted corrects");
        assertThat(desk.behind(token)).isInstanceOfSatisfying(Behind.Open.class,
                behind -> assertThat(behind.look().answers()).extracting(CheckDesk.Given::isWrong).containsExactly(true, false));
    }

    @Test
    void answerThatAPhoneKeptCountsOnceAndByTheTimeOfLooking() {
        plan(lamp());
        goTo(MISSED.plusSeconds(600));
        Earlier kept = kept(Answer.LIT, OPENS.plusSeconds(600));

        assertThat(desk.sayEarlier(staff, kept, clock.instant()).taken()).isEqualTo(Taken.RECORDED);
        assertThat(desk.sayEarlier(staff, kept, clock.instant()).taken()).isEqualTo(Taken.REPEATED);

        assertThat(records()).containsExactly("LIT counted");
        assertThat(states()).containsExactly("DONE");
        assertThat(states("LOOK_MISSED")).containsExactly("RETURNED_UNACKNOWLEDGED");
        assertThat(rows("SELECT looked_at, clock_wrong_by_ms FROM check_record WHERE site_id = " + place.siteId())).singleElement()
                .satisfies(row -> assertThat(row[1]).as("its clock is right").isNull());
    }

    @Test
    void wrongClockOfAPhoneIsNoticedAndPutRight() {
        plan(lamp());
        goTo(OPENS.plusSeconds(1800));
        Duration behind = Duration.ofHours(3);

        desk.sayEarlier(staff, kept(Answer.LIT, OPENS.plusSeconds(600).minus(behind)), clock.instant().minus(behind));

        assertThat(records()).containsExactly("LIT counted");
        assertThat(rows("SELECT clock_wrong_by_ms, id FROM check_record WHERE site_id = " + place.siteId()).get(0)[0]).isEqualTo(behind.toMillis());
    }

    @Test
    void whatAPhoneTellsLaterPutsNothingRightThatWasSaidSince() {
        plan(lamp());
        goTo(OPENS.plusSeconds(1800));
        say(token(), Answer.LIT);

        desk.sayEarlier(staff, kept(Answer.OUT, OPENS.plusSeconds(60)), clock.instant());

        assertThat(records()).containsExactly("LIT counted", "OUT counted");
        assertThat(open()).as("the newest look counts").isEmpty();
    }

    @Test
    void phoneOfSomebodyWhoIsNotAskedTellsNothing() {
        plan(lamp());
        goTo(OPENS);

        assertThat(desk.sayEarlier(place.people().get(2), kept(Answer.LIT, OPENS), clock.instant()).taken()).isEqualTo(Taken.NOT_ASKED);
        assertThat(desk.sayEarlier(staff, new Earlier(UUID.randomUUID(), 999_999_999, Answer.LIT, Optional.empty(), OPENS), OPENS).taken()).isEqualTo(Taken.NOT_ASKED);
        assertThat(records()).isEmpty();
    }

    @Test
    void whatOpensTodayIsKnownAheadToWhoeverWillBeAskedAndToNobodyElse() {
        plan(lamp());

        assertThat(desk.ahead(staff)).isNotEmpty().allSatisfy(id -> assertThat(rows("SELECT opens_at, opened_at FROM check_due WHERE id = " + id)).singleElement()
                .satisfies(row -> assertThat(Rows.instant(row[0])).isBefore(clock.instant().plus(Duration.ofHours(36)))));
        assertThat(desk.ahead(place.people().get(2))).isEmpty();
        goTo(OPENS);
        assertThat(desk.ahead(staff)).as("what is open is not ahead any more").noneMatch(id -> rows("SELECT opened_at, id FROM check_due WHERE id = " + id).get(0)[0] != null);
    }

    @Test
    void photoIsKeptWithWhatWasSaidAndTheJournalSaysWhichItWas() {
        plan(lamp());
        goTo(OPENS);
        Photo photo = photo(40);

        desk.say(token(), Answer.DAMAGED, Optional.of("cracked"), "", Optional.of(photo));
        desk.say(token(), Answer.DAMAGED, Optional.of("cracked"), "", Optional.of(photo));

        assertThat(records()).containsExactly("DAMAGED counted");
        assertThat(rows("SELECT p.picture, p.sha256 FROM check_photo p JOIN check_record r ON r.id = p.record_id WHERE r.site_id = " + place.siteId())).singleElement()
                .satisfies(row -> {
                    assertThat((byte[]) row[0]).isEqualTo(photo.jpeg());
                    assertThat(row[1]).isEqualTo(photo.sha256());
                });
        assertThat(text("SELECT body FROM journal_entry WHERE kind = 'check-recorded' AND site_id = " + place.siteId())).contains(photo.sha256());

        desk.say(token(), Answer.DAMAGED, Optional.of("cracked"), "", Optional.of(photo(60)));
        assertThat(records()).as("another photo is something new").hasSize(2);
    }

    @Test
    void photoThatAPhoneSendsAfterItsAnswerIsKeptOnce() {
        plan(lamp());
        goTo(OPENS.plusSeconds(60));
        Earlier kept = kept(Answer.OUT, OPENS);
        Photo photo = photo(40);

        assertThat(desk.addPhoto(staff, kept.id(), photo)).as("nothing was said by that id yet").isFalse();
        desk.sayEarlier(staff, kept, clock.instant());
        assertThat(desk.addPhoto(place.people().get(2), kept.id(), photo)).as("it is not theirs").isFalse();
        assertThat(desk.addPhoto(staff, kept.id(), photo)).isTrue();
        assertThat(desk.addPhoto(staff, kept.id(), photo(60))).isTrue();

        assertThat(text("SELECT p.sha256 FROM check_photo p JOIN check_record r ON r.id = p.record_id WHERE r.site_id = " + place.siteId())).isEqualTo(photo.sha256());
        assertThat(text("SELECT body FROM journal_entry WHERE kind = 'check-photo' AND site_id = " + place.siteId())).contains(photo.sha256());
    }

    private static Photo photo(int width) {
        try {
            return ((Photo.Read.Fine) Photo.read(PhotoTest.jpeg(width, 30))).photo();
        } catch (IOException e) {
            throw new UncheckedIOException(e);
        }
    }

    private Earlier kept(Answer answer, Instant lookedAt) {
        long look = ((Number) rows("SELECT id, state FROM check_due WHERE opened_at IS NOT NULL AND site_id = " + place.siteId()).get(0)[0]).longValue();
        return new Earlier(UUID.randomUUID(), look, answer, Optional.empty(), lookedAt);
    }

    @Test
    void damageIsAnAlarmAtOnceWithTheNote() {
        plan(lamp());
        goTo(OPENS);

        desk.say(token(), Answer.DAMAGED, Optional.of("door hangs on one hinge"), "", Optional.empty());

        assertThat(open()).containsExactly("DAMAGE_SEEN");
        assertThat(text("SELECT note FROM check_record WHERE site_id = " + place.siteId())).isEqualTo("door hangs on one hinge");
    }

    @Test
    void whoeverCouldNotSeeItIsAskedAgainAndThenItWasMissed() {
        plan(lamp());
        goTo(OPENS.plusSeconds(600));

        say(token(), Answer.NOT_SEEN);
        goTo(MISSED);

        assertThat(asked()).containsExactly(staff + " " + OPENS, staff + " " + OPENS.plus(Duration.ofMinutes(40)), staff + " " + HALF_WAY,
                staff + " " + SHORTLY_BEFORE);
        assertThat(open()).containsExactly("LOOK_MISSED");
        assertThat(records()).containsExactly("NOT_SEEN");
    }

    @Test
    void whoeverCouldNotSeeItAndCanNowHasNotTappedWrong() {
        plan(lamp());
        goTo(OPENS.plusSeconds(600));
        String token = token();

        say(token, Answer.NOT_SEEN);
        say(token, Answer.LIT);

        assertThat(states()).containsExactly("DONE");
        assertThat(records()).containsExactly("NOT_SEEN", "LIT counted");
    }

    @Test
    void lookThatIsTakenBackIsNoLook() {
        plan(lamp());
        goTo(OPENS.plusSeconds(600));
        String token = token();

        say(token, Answer.LIT);
        say(token, Answer.NOT_SEEN);

        assertThat(states()).containsExactly("OPEN");
        goTo(MISSED);
        assertThat(open()).containsExactly("LOOK_MISSED");
        assertThat(records()).containsExactly("LIT counted", "NOT_SEEN corrects");
    }

    @Test
    void lookOfAnotherStandsWhenOneIsTakenBack() {
        long other = place.people().get(2);
        duties.setFallback(place.siteId(), DutyRole.SITE_DUTY, duties.fallbackVersion(place.siteId(), DutyRole.SITE_DUTY), List.of(staff, other), by());
        plan(new NewCheckPlan(CheckKind.LAMP, "FREQ=DAILY", TUESDAY, LocalTime.of(13, 0), LocalTime.of(15, 0), 30, WhenClosed.SKIP,
                new Whom.OnDutyFor(DutyRole.SITE_DUTY), Optional.empty(), false));
        goTo(OPENS);
        String own = token();
        String theirs = token(other);

        say(own, Answer.LIT);
        say(theirs, Answer.LIT);
        say(own, Answer.NOT_SEEN);

        assertThat(states()).containsExactly("DONE");
        assertThat(records()).containsExactly("LIT counted", "LIT counted", "NOT_SEEN corrects");
    }

    @Test
    void lookAtTheLampDoesNotMakeUpForOneAtTheDates() {
        plan(lamp());
        plan(new NewCheckPlan(CheckKind.CONTENT, "FREQ=DAILY", TUESDAY, LocalTime.of(12, 30), LocalTime.of(12, 45), 0, WhenClosed.SKIP, new Whom.Person(staff),
                Optional.empty(), false));
        goTo(OPENS);
        assertThat(open()).containsExactly("LOOK_MISSED");
        String lamp = token();
        String dates = Pattern.compile("/c/(\\S+)").matcher(messages().get(0)).results().findFirst().orElseThrow().group(1);

        say(lamp, Answer.LIT);
        assertThat(open()).containsExactly("LOOK_MISSED");
        say(dates, Answer.LIT);
        assertThat(open()).isEmpty();
    }

    @Test
    void lookAfterAllEndsTheAlarmAndStaysLate() {
        plan(lamp());
        goTo(MISSED.plusSeconds(600));

        say(token(), Answer.LIT);

        assertThat(states("LOOK_MISSED")).containsExactly("RETURNED_UNACKNOWLEDGED");
        assertThat(states()).containsExactly("MISSED");
        assertThat(records()).containsExactly("LIT");
    }

    @Test
    void lookOnTheDayAfterEndsTheAlarmOfTheDayBefore() {
        plan(lamp());
        goTo(OPENS.plus(Duration.ofDays(1)).plusSeconds(600));
        assertThat(open()).containsExactly("LOOK_MISSED");

        say(token(), Answer.LIT);

        assertThat(states("LOOK_MISSED")).containsExactly("RETURNED_UNACKNOWLEDGED");
        assertThat(states()).startsWith("MISSED", "DONE");
    }

    @Test
    void personAgainstAHealthySensorIsAnAlarmOfItsOwnUntilTheSensorSaysSoToo() {
        plan(lamp());
        goTo(OPENS);
        fixture.saysHealthy(place.first());

        say(token(), Answer.OUT);

        assertThat(open()).containsExactly("SENSOR_AND_LAMP_DIFFER");
        assertThat(fixture.told(place).get(0).body()).contains("says that there is supply, but somebody saw the lamp out", "until an electrician has measured it");
        assertThat(text("SELECT reading FROM check_record WHERE site_id = " + place.siteId())).isEqualTo("HEALTHY");
        fixture.passes(Duration.ofSeconds(5));
        fixture.saysLost(place.first());
        fixture.passes(Duration.ofMinutes(2));
        assertThat(states("SENSOR_AND_LAMP_DIFFER")).containsExactly("RETURNED_UNACKNOWLEDGED");
        assertThat(open()).contains("SUPPLY_LOST");
    }

    @Test
    void litLampAgainstALossIsAnAlarmOfItsOwnAndClearsNoLoss() {
        plan(lamp());
        goTo(OPENS.minusSeconds(300));
        fixture.saysHealthy(place.first());
        fixture.passes(Duration.ofSeconds(30));
        fixture.saysLost(place.first());
        fixture.passes(Duration.ofMinutes(5));

        say(token(), Answer.LIT);

        assertThat(open()).containsExactly("SUPPLY_LOST", "SENSOR_AND_LAMP_DIFFER");
        fixture.saysHealthy(place.first());
        fixture.work();
        assertThat(states("SUPPLY_LOST")).containsExactly("RETURNED_UNACKNOWLEDGED");
        assertThat(states("SENSOR_AND_LAMP_DIFFER")).containsExactly("RETURNED_UNACKNOWLEDGED");
    }

    @Test
    void healthySensorStandsInOnlyWhereThePlanSaysSo() {
        plan(new NewCheckPlan(CheckKind.LAMP, "FREQ=DAILY", TUESDAY, LocalTime.of(13, 0), LocalTime.of(15, 0), 30, WhenClosed.SKIP, new Whom.Person(staff),
                Optional.empty(), true));
        fixture.saysHealthy(place.first());
        goTo(NOON.plus(Duration.ofMinutes(55)));
        fixture.saysHealthy(place.first());
        goTo(MISSED);

        assertThat(asked()).isEmpty();
        assertThat(states()).containsExactly("DONE");
        assertThat(number("SELECT COUNT(*) FROM check_record WHERE person_id IS NULL AND answer = 'LIT' AND site_id = " + place.siteId())).isOne();
        assertThat(fixture.journalKinds(place)).contains("check-by-sensor");

        goTo(OPENS.plus(Duration.ofDays(1)));
        assertThat(asked()).as("a silent sensor stands in for nothing").hasSize(1);
    }

    @Test
    void lossIsExpectedForTwoMinutesWhenTheTestButtonIsPressedAndCountsAfterThat() {
        plan(new NewCheckPlan(CheckKind.TEST_BUTTON, "FREQ=MONTHLY;INTERVAL=6;BYMONTHDAY=1", TUESDAY, LocalTime.of(13, 0), LocalTime.of(15, 0), 30,
                WhenClosed.SKIP, new Whom.Person(staff), Optional.empty(), false));
        goTo(OPENS);
        fixture.saysHealthy(place.first());
        fixture.passes(Duration.ofSeconds(5));

        Behind pressed = desk.press(token());
        desk.press(token());
        fixture.saysLost(place.first());
        fixture.passes(Duration.ofSeconds(100));

        assertThat(pressed).isInstanceOfSatisfying(Behind.Open.class,
                behind -> assertThat(behind.look().pressedUntil()).contains(OPENS.plusSeconds(5).plus(CheckKind.TEST_BUTTON_TAKES)));
        assertThat(fixture.called(place)).isEmpty();
        assertThat(fixture.journalKinds(place).stream().filter("suppression-began"::equals)).hasSize(1);
        fixture.passes(Duration.ofSeconds(30));
        assertThat(fixture.called(place)).as("it did not come back").isNotEmpty();
    }

    @Test
    void whatMayBeALossIsHandedOutBeforeLooksThatHaveWaitedForLonger() {
        QuarkusTransaction.requiringNew().run(() -> {
            deadlines.add(DeadlineKind.CHECK, 0, 0, NOON.minusSeconds(3600));
            deadlines.add(DeadlineKind.CHECK, 0, 0, NOON.minusSeconds(1800));
            deadlines.add(DeadlineKind.LOSS_CONFIRM, 0, 0, NOON);
        });

        // Each site that a test made has the moment of its month, too.
        List<String> kinds = handler.due(1000).stream().map(id -> text("SELECT kind FROM deadline WHERE id = " + id)).filter(kind -> !kind.equals("MONTH_REPORT")).toList();
        List<DeadlineKind> looks = new ArrayList<>();
        handler.handleLooks(2, claimed -> claimed.forEach(each -> looks.add(each.kind())));

        assertThat(kinds).containsExactly("LOSS_CONFIRM");
        assertThat(looks).containsExactly(DeadlineKind.CHECK, DeadlineKind.CHECK);
        assertThat(number("SELECT COUNT(*) FROM deadline WHERE kind = 'CHECK'")).isZero();
    }

    @Test
    void silentSensorHasSomebodyLookNowWhereLooksArePlanned() {
        plan(lamp());
        Place without = fixture.place(1);
        fixture.saysHealthy(place.first());
        fixture.saysHealthy(without.first());
        fixture.passes(Duration.ofMinutes(20));

        assertThat(open()).containsExactly("NOT_HEARD");
        assertThat(asked()).hasSize(1);
        assertThat(messages()).singleElement().satisfies(body -> assertThat(body).contains("Its sensor says nothing any more"));
        assertThat(number("SELECT COUNT(*) FROM check_due WHERE extra > 0 AND site_id = " + without.siteId())).isZero();

        say(token(), Answer.LIT);
        assertThat(states()).containsExactly("DONE");
        assertThat(open()).as("a lit lamp is not a report").containsExactly("NOT_HEARD");
        goTo(OPENS);
        assertThat(asked()).as("the planned one comes all the same").hasSize(2);
    }

    @Test
    void silentSensorAsksNobodyTwiceWhileTheLampIsAskedForAnyway() {
        plan(lamp());
        goTo(OPENS);
        fixture.saysHealthy(place.first());
        fixture.passes(Duration.ofMinutes(20));

        assertThat(open()).containsExactly("NOT_HEARD");
        assertThat(asked()).hasSize(1);
    }

    @Test
    void afterAnOutageTheyAreAskedOnceAndWhatIsOverWasMissedOnce() {
        plan(lamp());
        clock.stopAt(HALF_WAY.plusSeconds(600));
        fixture.listened();
        fixture.work();

        assertThat(asked()).containsExactly(staff + " " + HALF_WAY.plusSeconds(600));

        clock.stopAt(MISSED.plus(Duration.ofDays(2)));
        fixture.listened();
        fixture.work();
        assertThat(asked()).hasSize(1);
        assertThat(states()).startsWith("MISSED", "MISSED", "MISSED");
        assertThat(open()).containsExactly("LOOK_MISSED");
    }

    @Test
    void whoeverIsOnIsAskedForSomebodyWhoIsAway() {
        plan(lamp());
        duties.addAbsence(staff, NOON, NOON.plus(Duration.ofDays(1)), by());
        duties.setFallback(place.siteId(), DutyRole.SITE_DUTY, duties.fallbackVersion(place.siteId(), DutyRole.SITE_DUTY), List.of(place.people().get(2)), by());

        goTo(OPENS);

        assertThat(asked()).extracting(asked -> asked.split(" ")[0]).contains("" + place.people().get(2)).doesNotContain("" + staff);
    }

    @Test
    void whereNobodyCanBeAskedItIsWrittenDownAndMissed() {
        long mute = registration.addPerson(new NewPerson("T. Reed", Optional.empty(), Optional.empty()), by()).personId();
        plan(new NewCheckPlan(CheckKind.LAMP, "FREQ=DAILY", TUESDAY, LocalTime.of(13, 0), LocalTime.of(15, 0), 30, WhenClosed.SKIP, new Whom.Person(mute),
                Optional.empty(), false));

        goTo(MISSED);

        assertThat(fixture.journalKinds(place)).contains("check-asked-nobody");
        assertThat(open()).containsExactly("LOOK_MISSED");
    }

    @Test
    void whatHasOpenedGoesOnWhenItsPlanEnds() {
        CheckPlanSheet plan = plan(lamp());
        goTo(OPENS);

        plans.end(plan.id(), by());
        goTo(MISSED.plus(Duration.ofDays(1)));

        assertThat(states()).containsExactly("MISSED");
    }

    @Test
    void cabinetThatGoesOutOfUseTakesItsLooksAndTheirAlarmsWithIt() {
        plan(lamp());
        goTo(OPENS);
        String token = token();
        say(token, Answer.OUT);

        registration.takeOutOfUse(place.first().cabinetId(), register.sheet(place.first().cabinetId()).version(), "is being painted", by());
        goTo(MISSED);

        assertThat(open()).isEmpty();
        assertThat(fixture.told(place)).last().satisfies(told -> assertThat(told.subject()).contains("was taken out of use"));
        assertThat(desk.behind(token)).isInstanceOf(Behind.Over.class);
    }

    @Test
    void linkEndsADayAfterItWasMissedAndWithItsPerson() {
        plan(lamp());
        goTo(OPENS);
        String token = token();
        desk.say(token, Answer.NOT_SEEN, Optional.of("ask my sister"), "", Optional.of(photo(40)));
        registration.setCallOutList(place.siteId(), new CallOutList(
                List.of(new Turn(place.people().get(0), Duration.ZERO)), Duration.ofMinutes(5)), by());

        registration.erasePerson(staff, by());

        assertThat(desk.behind(token)).isInstanceOf(Behind.Over.class);
        assertThat(number("SELECT COUNT(*) FROM check_record WHERE note IS NULL AND person_id = " + staff)).isOne();
        assertThat(number("SELECT COUNT(*) FROM check_photo p JOIN check_record r ON r.id = p.record_id WHERE p.picture IS NULL AND r.person_id = " + staff)).isOne();
        clock.stopAt(MISSED.plus(Duration.ofHours(25)));
        assertThat(desk.behind(token)).isInstanceOf(Behind.Over.class);
        assertThat(desk.behind("none")).isInstanceOf(Behind.NotOurs.class);
    }

    @Test
    void codeOfTheLabelMakesItALookAtTheCabinet() {
        String token = askedForTheCode();

        assertThat(desk.say(token, Answer.LIT, Optional.empty(), wrong(0), Optional.empty())).isInstanceOfSatisfying(Behind.WrongCode.class,
                wrong -> assertThat(wrong.isRecorded()).isFalse());
        assertThat(records()).isEmpty();
        desk.say(token, Answer.LIT, Optional.empty(), code().substring(0, 3) + " " + code().substring(3), Optional.empty());

        assertThat(records()).containsExactly("LIT counted at the cabinet");
        assertThat(states()).containsExactly("DONE");
        assertThat(number("SELECT COUNT(*) FROM journal_entry WHERE kind = 'check-recorded' AND site_id = " + place.siteId()
                + " AND body LIKE '%\"at-cabinet\":true%'")).isOne();
        assertThat(number("SELECT COUNT(*) FROM journal_entry WHERE site_id = " + place.siteId() + " AND body LIKE '%" + code() + "%'")).isZero();
    }

    @Test
    void answerWithoutTheCodeIsTakenAndTheCodeMayFollow() {
        String token = askedForTheCode();

        desk.say(token, Answer.LIT, Optional.empty(), "", Optional.empty());
        assertThat(records()).containsExactly("LIT counted");
        assertThat(states()).containsExactly("DONE");
        desk.say(token, Answer.LIT, Optional.empty(), code(), Optional.empty());
        desk.say(token, Answer.LIT, Optional.empty(), code(), Optional.empty());

        assertThat(records()).as("nothing was tapped wrong").containsExactly("LIT counted", "LIT counted at the cabinet");
    }

    @Test
    void whoeverSawTheLampOutIsHeardWhateverCodeTheyTyped() {
        String token = askedForTheCode();

        assertThat(desk.say(token, Answer.OUT, Optional.empty(), wrong(0), Optional.empty())).isInstanceOfSatisfying(Behind.WrongCode.class,
                wrong -> assertThat(wrong.isRecorded()).isTrue());

        assertThat(records()).containsExactly("OUT counted");
        assertThat(open()).containsExactly("LAMP_OUT");
    }

    @Test
    void afterSomeWrongCodesNoneCountsAndTheAnswerIsStillTaken() {
        String token = askedForTheCode();

        for (int i = 0; i < CheckDesk.MOST_WRONG_CODES; i++) {
            int another = i;
            assertThat(desk.say(token, Answer.LIT, Optional.empty(), wrong(i), Optional.empty())).isInstanceOfSatisfying(Behind.WrongCode.class,
                    wrong -> assertThat(wrong.look().isCodeAsked()).isEqualTo(another < CheckDesk.MOST_WRONG_CODES - 1));
        }
        desk.say(token, Answer.LIT, Optional.empty(), code(), Optional.empty());

        assertThat(records()).containsExactly("LIT counted");
    }

    @Test
    void codeOfALabelThatWasReplacedDoesNotCount() {
        String token = askedForTheCode();
        String before = code();
        labels.renew(place.first().cabinetId(), by());
        // One in a million is made again.
        while (code().equals(before)) {
            labels.renew(place.first().cabinetId(), by());
        }

        assertThat(desk.say(token, Answer.LIT, Optional.empty(), before, Optional.empty())).isInstanceOf(Behind.WrongCode.class);
        desk.say(token, Answer.LIT, Optional.empty(), code(), Optional.empty());

        assertThat(records()).containsExactly("LIT counted at the cabinet");
    }

    @Test
    void noCodeIsAskedForWhereTheLabelHasNone() {
        String token = askedForTheCode();
        QuarkusTransaction.requiringNew().run(() -> entities.createNativeQuery("UPDATE cabinet_label SET look_code = NULL WHERE cabinet_id = :cabinet")
                .setParameter("cabinet", place.first().cabinetId()).executeUpdate());

        assertThat(desk.behind(token)).isInstanceOfSatisfying(Behind.Open.class, behind -> assertThat(behind.look().isCodeAsked()).isFalse());
        desk.say(token, Answer.LIT, Optional.empty(), "123456", Optional.empty());

        assertThat(records()).containsExactly("LIT counted");
    }

    @Test
    void whoeverStandsAtTheLabelSaysWhatTheySeeWithNothingDue() {
        String label = label();

        long look = desk.sayAtLabel(label, staff, Answer.OUT, Optional.of("dark")).orElseThrow();
        assertThat(desk.sayAtLabel(label, staff, Answer.OUT, Optional.of("dark"))).as("a second press").hasValue(look);

        assertThat(records()).containsExactly("OUT counted");
        assertThat(open()).containsExactly("LAMP_OUT");
        assertThat(fixture.called(place)).containsExactly(place.people().get(0));
        assertThat(number("SELECT COUNT(*) FROM check_due WHERE from_label = TRUE AND plan_id IS NULL AND state = 'DONE' AND id = " + look)).isOne();
        assertThat(number("SELECT COUNT(*) FROM journal_entry WHERE kind = 'check-recorded' AND site_id = " + place.siteId() + " AND body LIKE '%\"from\":\"label\"%'")).isOne();

        clock.advance(Duration.ofMinutes(11));
        assertThat(desk.sayAtLabel(label, staff, Answer.LIT, Optional.empty()).orElseThrow()).as("they have looked again").isNotEqualTo(look);
        assertThat(open()).isEmpty();
        assertThat(records()).containsExactly("OUT counted", "LIT counted");
        assertThat(number("SELECT COUNT(*) FROM deadline d JOIN check_due c ON c.id = d.subject_id WHERE d.kind = 'CHECK' AND c.from_label = TRUE AND c.site_id = "
                + place.siteId())).as("nobody is asked about it").isZero();
    }

    @Test
    void lookOfTheirOwnAccordIsNoAnswerToTheOneThatIsDue() {
        String label = label();
        plan(lamp());
        goTo(OPENS.plusSeconds(600));

        desk.sayAtLabel(label, place.people().get(2), Answer.LIT, Optional.empty());
        goTo(MISSED);

        assertThat(open()).containsExactly("LOOK_MISSED");
        desk.sayAtLabel(label, place.people().get(2), Answer.LIT, Optional.empty());
        assertThat(open()).as("somebody has looked now").isEmpty();
        assertThat(number("SELECT COUNT(*) FROM check_due WHERE state = 'MISSED' AND site_id = " + place.siteId())).isOne();
    }

    @Test
    void whatWasTappedWrongAtTheLabelIsPutRightOnItsPage() {
        long look = desk.sayAtLabel(label(), staff, Answer.DAMAGED, Optional.empty()).orElseThrow();
        String token = tokens.issueForLook(look, staff, clock.instant().plusSeconds(3600));

        assertThat(desk.behind(token)).isInstanceOfSatisfying(Behind.Open.class, behind -> assertThat(behind.look().isFromLabel()).isTrue());
        say(token, Answer.LIT);

        assertThat(records()).containsExactly("DAMAGED counted", "LIT counted corrects");
        assertThat(open()).isEmpty();
    }

    @Test
    void labelThatWasReplacedTakesNoLook() {
        String label = label();
        labels.renew(place.first().cabinetId(), by());

        assertThat(desk.sayAtLabel(label, staff, Answer.LIT, Optional.empty())).isEmpty();
        assertThat(desk.sayAtLabel(label(), 999_999_999, Answer.LIT, Optional.empty())).isEmpty();
        assertThat(records()).isEmpty();
    }

    /** One after the other, as a busy minute does a thousand after the other. */
    private int openAll() {
        int count = 0;
        Optional<Deadlines.Deadline> last = Optional.empty();
        do {
            DeadlineHandler.Opened opened = handler.openLooks(last, 1);
            count += opened.count();
            last = opened.last();
        } while (last.isPresent());
        return count;
    }

    private String label() {
        labels.makeMissing(place.siteId(), by());
        return labels.ofSite(place.siteId()).get(place.first().cabinetId());
    }

    /** A look whose plan asks for the code on the label, ten minutes after it opened. */
    private String askedForTheCode() {
        labels.makeMissing(place.siteId(), by());
        plan(new NewCheckPlan(CheckKind.LAMP, "FREQ=DAILY", TUESDAY, LocalTime.of(13, 0), LocalTime.of(15, 0), 30, WhenClosed.SKIP, new Whom.Person(staff),
                Optional.empty(), false, true));
        goTo(OPENS.plusSeconds(600));
        String token = token();
        assertThat(desk.behind(token)).isInstanceOfSatisfying(Behind.Open.class, behind -> assertThat(behind.look().isCodeAsked()).isTrue());
        return token;
    }

    private String code() {
        return labels.lookCode(place.first().cabinetId()).orElseThrow();
    }

    /** One that is not that of the label, another each time. */
    private String wrong(int which) {
        return String.format("%06d", (Integer.parseInt(code()) + 1 + which) % 1_000_000);
    }

    private CheckPlanSheet plan(NewCheckPlan entered) {
        return plans.add(List.of(place.first().cabinetId()), entered, by()).get(0);
    }

    private NewCheckPlan lamp() {
        return new NewCheckPlan(CheckKind.LAMP, "FREQ=DAILY", TUESDAY, LocalTime.of(13, 0), LocalTime.of(15, 0), 30, WhenClosed.SKIP, new Whom.Person(staff),
                Optional.empty(), false);
    }

    /** Whatever comes due on the way is handled at its own moment. */
    private void goTo(Instant moment) {
        while (clock.instant().isBefore(moment)) {
            Instant next = moments().stream().filter(at -> at.isAfter(clock.instant()) && at.isBefore(moment)).findFirst().orElse(moment);
            clock.stopAt(next);
            fixture.listened();
            fixture.work();
        }
    }

    private List<Instant> moments() {
        List<Instant> moments = new ArrayList<>();
        rows("SELECT due_at, id FROM deadline ORDER BY due_at").forEach(row -> moments.add(Rows.instant(row[0])));
        return moments;
    }

    private void say(String token, Answer answer) {
        desk.say(token, answer, Optional.empty(), "", Optional.empty());
    }

    /** Of the newest message that asks. */
    private String token() {
        return token(staff);
    }

    private String token(long person) {
        List<String> all = messages(person);
        Matcher link = Pattern.compile("/c/(\\S+)").matcher(all.get(all.size() - 1));
        assertThat(link.find()).isTrue();
        return link.group(1);
    }

    private List<String> messages() {
        return messages(staff);
    }

    private List<String> messages(long person) {
        return rows("SELECT body, id FROM outgoing_message WHERE purpose = 'LOOK' AND person_id = " + person + " ORDER BY id").stream()
                .map(row -> (String) row[0]).toList();
    }

    private List<String> asked() {
        return rows("SELECT a.person_id, a.asked_at FROM check_asked a JOIN check_due d ON d.id = a.due_id WHERE d.site_id = " + place.siteId()
                + " ORDER BY a.asked_at, a.person_id").stream().map(row -> row[0] + " " + Rows.instant(row[1])).toList();
    }

    private List<String> records() {
        return rows("SELECT answer, is_counted, corrects_id, at_cabinet FROM check_record WHERE site_id = " + place.siteId() + " ORDER BY id").stream()
                .map(row -> row[0] + ((Boolean) row[1] ? " counted" : "") + (row[2] == null ? "" : " corrects") + ((Boolean) row[3] ? " at the cabinet" : "")).toList();
    }

    /** Of those that have opened, by day. */
    private List<String> states() {
        return rows("SELECT state, id FROM check_due WHERE opened_at IS NOT NULL AND site_id = " + place.siteId() + " ORDER BY on_day").stream()
                .map(row -> (String) row[0]).toList();
    }

    private List<String> open() {
        return fixture.openAlarms(place).stream().filter(Raised::live).map(Raised::kind).toList();
    }

    private List<String> states(String kind) {
        return fixture.openAlarms(place).stream().filter(alarm -> alarm.kind().equals(kind)).map(Raised::state).toList();
    }

    private String cabinetName() {
        return register.sheet(place.first().cabinetId()).name();
    }

    private By by() {
        return By.nobody(clock.instant());
    }

    private String text(String sql) {
        return QuarkusTransaction.requiringNew().call(() -> (String) entities.createNativeQuery(sql).getResultList().get(0));
    }

    private long number(String sql) {
        return QuarkusTransaction.requiringNew().call(() -> Rows.number(entities.createNativeQuery(sql).getSingleResult()));
    }

    private List<Object[]> rows(String sql) {
        return QuarkusTransaction.requiringNew().call(() -> ((List<?>) entities.createNativeQuery(sql).getResultList()).stream()
                .map(row -> (Object[]) row).toList());
    }
}
