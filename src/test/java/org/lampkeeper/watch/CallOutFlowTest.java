package org.lampkeeper.watch;

import java.time.Duration;
import java.time.Instant;
import java.util.List;
import java.util.Optional;

import jakarta.enterprise.event.Event;
import jakarta.inject.Inject;
import jakarta.persistence.EntityManager;

import io.quarkus.narayana.jta.QuarkusTransaction;
import io.quarkus.test.junit.QuarkusTest;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;

import org.lampkeeper.access.Role;
import org.lampkeeper.callout.CallOutList;
import org.lampkeeper.callout.DutyRole;
import org.lampkeeper.callout.Turn;
import org.lampkeeper.callout.Whom;
import org.lampkeeper.message.MessageUndelivered;
import org.lampkeeper.register.By;
import org.lampkeeper.register.NewPerson;
import org.lampkeeper.register.Registration;
import org.lampkeeper.watch.AlarmDesk.HandResult;
import org.lampkeeper.watch.AlarmDesk.PassResult;
import org.lampkeeper.watch.AlarmDesk.TakeResult;
import org.lampkeeper.watch.WatchFixture.Place;
import org.lampkeeper.watch.WatchFixture.Told;

import static org.assertj.core.api.Assertions.assertThat;

/** Who is told, and what becomes of what they answer, from the deadline to the message and the journal, in moved time. */
@QuarkusTest
class CallOutFlowTest {

    @Inject
    WatchFixture fixture;
    @Inject
    AlarmDesk desk;
    @Inject
    AttendanceDesk attendance;
    @Inject
    Registration registration;
    @Inject
    EntityManager entities;
    @Inject
    Event<MessageUndelivered> undelivered;

    private Place place;
    private long teal;
    private long osk;
    private long wren;

    @BeforeEach
    void noon() {
        fixture.atNoonListening();
        place = fixture.place(1);
        teal = place.people().get(0);
        osk = place.people().get(1);
        wren = place.people().get(2);
        fixture.saysHealthy(place.first());
        fixture.passes(Duration.ofSeconds(5));
    }

    @AfterEach
    void asItWas() {
        DutyOfATest.SAID.set(null);
    }

    @Test
    void roleIsWhoeverIsOnDutyForItWhenTheTurnComes() {
        DutyOfATest.SAID.set((siteId, role, moment) -> role != DutyRole.DUTY_MANAGER ? List.of()
                : moment.isBefore(WatchFixture.NOON.plus(Duration.ofMinutes(4))) ? List.of(teal) : List.of(osk, wren));
        list(1, true, turn(DutyRole.ELECTRICIAN, 0), turn(DutyRole.DUTY_MANAGER, 5), turn(DutyRole.DUTY_MANAGER, 5));

        lose();

        // Nobody is on duty as the electrician: the next is told at once.
        assertThat(fixture.called(place)).containsExactly(teal);
        assertThat(fixture.journalKinds(place)).contains("nobody-on-duty");

        fixture.passesWhileAllSay(place, false, Duration.ofMinutes(9));

        assertThat(fixture.called(place)).containsExactly(teal, osk, wren);
    }

    @Test
    void exhaustedListTellsEverybodyOfTheSiteAgainAndAgain() {
        long elsewhere = person("B. Reed");
        long keeper = person("C. Shaw");
        grant(keeper, place.siteId());
        list(1, true, new Turn(teal, Duration.ZERO), new Turn(osk, Duration.ofMinutes(10)));
        lose();

        fixture.passesWhileAllSay(place, false, Duration.ofMinutes(39));
        assertThat(fixture.called(place)).containsExactly(teal, osk);

        fixture.passesWhileAllSay(place, false, Duration.ofMinutes(2));
        assertThat(fixture.called(place)).contains(keeper).doesNotContain(elsewhere);
        assertThat(fixture.called(place).stream().filter(id -> id == teal)).hasSize(2);
        assertThat(fixture.journalKinds(place)).contains("last-resort-told");

        fixture.passesWhileAllSay(place, false, Duration.ofMinutes(30));
        assertThat(fixture.called(place).stream().filter(id -> id == keeper)).hasSize(2);
    }

    @Test
    void promisedArrivalThatPassesCallsTheTakerAndTheOthersAgain() {
        lose();
        TakeResult taken = desk.take(alarm(), teal, Optional.of(fixture.now().plus(Duration.ofMinutes(20))));

        fixture.passesWhileAllSay(place, false, Duration.ofMinutes(19));
        assertThat(taken).isInstanceOf(TakeResult.Yours.class);
        assertThat(fixture.called(place)).containsExactly(teal);

        fixture.passesWhileAllSay(place, false, Duration.ofMinutes(2));

        assertThat(fixture.openAlarms(place).get(0).state()).isEqualTo("UNACKNOWLEDGED");
        // Who had it stands first on the list as well, and is told once.
        assertThat(fixture.called(place)).containsExactly(teal, teal);
        assertThat(fixture.journalKinds(place)).containsSubsequence("arrival-promised", "alarm-called-again");

        fixture.passesWhileAllSay(place, false, Duration.ofMinutes(11));
        assertThat(fixture.called(place)).containsExactly(teal, teal, osk);
    }

    @Test
    void recordedArrivalKeepsThePromiseAndFourHoursCallAgain() {
        lose();
        desk.take(alarm(), teal, Optional.of(fixture.now().plus(Duration.ofMinutes(20))));
        fixture.passesWhileAllSay(place, false, Duration.ofMinutes(15));

        assertThat(attendance.arrive(alarm(), teal)).isInstanceOf(AttendanceDesk.SaveResult.Saved.class);
        assertThat(attendance.arrive(alarm(), teal)).isInstanceOf(AttendanceDesk.SaveResult.Saved.class);
        assertThat(attendance.entries(alarm())).hasSize(1);

        fixture.passesWhileAllSay(place, false, Duration.ofMinutes(220));
        assertThat(fixture.called(place)).containsExactly(teal);

        fixture.passesWhileAllSay(place, false, Duration.ofMinutes(6));
        assertThat(fixture.called(place)).containsExactly(teal, teal);
        assertThat(fixture.openAlarms(place).get(0).state()).isEqualTo("UNACKNOWLEDGED");
    }

    @Test
    void correctionOfAnEarlierVisitKeepsNoPromiseOfAnother() {
        lose();
        desk.take(alarm(), teal);
        attendance.arrive(alarm(), teal);
        desk.cannot(alarm(), teal);
        fixture.passesWhileAllSay(place, false, Duration.ofMinutes(2));
        desk.take(alarm(), osk, Optional.of(fixture.now().plus(Duration.ofMinutes(20))));
        int before = fixture.called(place).size();

        AttendanceEntry written = attendance.entries(alarm()).get(0);
        assertThat(attendance.save(alarm(), written.number(), written.attendance().arrivedAt(fixture.now().minusSeconds(60)), teal))
                .isInstanceOf(AttendanceDesk.SaveResult.Saved.class);
        assertThat(number("SELECT COUNT(*) FROM call_out WHERE id = :id AND arrived", callOut())).isZero();
        fixture.passesWhileAllSay(place, false, Duration.ofMinutes(21));

        assertThat(fixture.called(place).size()).as("nobody has come").isGreaterThan(before);
        assertThat(fixture.journalKinds(place)).contains("alarm-called-again");
    }

    @Test
    void visitOfAnotherFromBeforeItWasTakenKeepsNoPromise() {
        lose();
        fixture.passesWhileAllSay(place, false, Duration.ofMinutes(5));
        desk.take(alarm(), osk, Optional.of(fixture.now().plus(Duration.ofMinutes(20))));

        attendance.save(alarm(), 0, org.lampkeeper.alarm.Attendance.NOTHING.arrivedAt(fixture.now().minusSeconds(120)), teal);
        assertThat(number("SELECT COUNT(*) FROM call_out WHERE id = :id AND arrived", callOut())).isZero();

        attendance.another(alarm(), org.lampkeeper.alarm.Attendance.NOTHING.arrivedAt(fixture.now()), wren);
        assertThat(number("SELECT COUNT(*) FROM call_out WHERE id = :id AND arrived", callOut())).isOne();
    }

    @Test
    void backToNormalInTimeCallsNobodyAgain() {
        lose();
        desk.take(alarm(), teal, Optional.of(fixture.now().plus(Duration.ofMinutes(20))));
        fixture.saysHealthy(place.first());

        fixture.passesWhileAllSay(place, true, Duration.ofHours(5));

        assertThat(fixture.called(place)).containsExactly(teal);
        assertThat(fixture.openAlarms(place)).isEmpty();
    }

    @Test
    void handedOnItIsTakenByTheOtherThemself() {
        lose();
        desk.take(alarm(), teal);

        HandResult asked = desk.handOn(alarm(), teal, osk);

        assertThat(asked).isEqualTo(new HandResult.Asked("R. Osk"));
        assertThat(lastTold()).extracting(Told::personId, Told::purpose).containsExactly(osk, "NOTICE");
        assertThat(lastTold().subject()).startsWith("M. Teal asks you to take it over: ");
        assertThat(holder()).isEqualTo(teal);

        assertThat(desk.take(alarm(), osk)).isInstanceOf(TakeResult.Yours.class);
        assertThat(holder()).isEqualTo(osk);
        assertThat(desk.take(alarm(), teal)).isInstanceOf(TakeResult.AlreadyTaken.class);
        assertThat(lastTold()).extracting(Told::personId).isEqualTo(teal);
        assertThat(fixture.journalKinds(place)).containsSubsequence("alarm-handed-on", "alarm-taken-over");
    }

    @Test
    void whoeverDoesNotAnswerLeavesItWhereItWas() {
        lose();
        desk.take(alarm(), teal);
        desk.handOn(alarm(), teal, osk);

        fixture.passesWhileAllSay(place, false, Duration.ofMinutes(16));

        assertThat(holder()).isEqualTo(teal);
        assertThat(lastTold()).extracting(Told::personId).isEqualTo(teal);
        assertThat(lastTold().subject()).startsWith("R. Osk has not answered; you still have it.");
        assertThat(desk.take(alarm(), osk)).isInstanceOf(TakeResult.AlreadyTaken.class);
    }

    @Test
    void handingOnIsRefusedWithAReason() {
        lose();
        long stranger = person("B. Reed");

        assertThat(desk.handOn(alarm(), teal, osk)).isInstanceOf(HandResult.Refused.class);
        desk.take(alarm(), teal);
        assertThat(desk.handOn(alarm(), osk, wren)).isInstanceOf(HandResult.Refused.class);
        assertThat(desk.handOn(alarm(), teal, stranger)).isInstanceOf(HandResult.Refused.class);
        assertThat(desk.handOn(alarm(), teal, teal)).isInstanceOf(HandResult.Refused.class);
        assertThat(desk.handOn(-1, teal, osk)).isInstanceOf(HandResult.NotFound.class);
    }

    @Test
    void whoeverHasItAndCannotAfterAllGivesItBackToTheNext() {
        lose();
        desk.take(alarm(), teal);

        PassResult passed = desk.cannot(alarm(), teal);

        assertThat(passed).isInstanceOf(PassResult.PassedOn.class);
        assertThat(fixture.openAlarms(place).get(0).state()).isEqualTo("UNACKNOWLEDGED");
        assertThat(fixture.called(place)).containsExactly(teal, osk);
        assertThat(desk.take(alarm(), osk)).isInstanceOf(TakeResult.Yours.class);
    }

    @Test
    void whomNoMessageReachesIsNotWaitedFor() {
        lose();

        QuarkusTransaction.requiringNew().run(() -> undelivered.fire(new MessageUndelivered(1, java.util.OptionalLong.of(callOut()), teal,
                fixture.now())));

        assertThat(fixture.called(place)).containsExactly(teal, osk);
    }

    @Test
    void arrivalMustLieAheadAndNotTooFar() {
        lose();

        assertThat(desk.take(alarm(), teal, Optional.of(fixture.now()))).isInstanceOf(TakeResult.NotNeeded.class);
        assertThat(desk.take(alarm(), teal, Optional.of(fixture.now().plus(Duration.ofHours(13))))).isInstanceOf(TakeResult.NotNeeded.class);
        assertThat(fixture.openAlarms(place).get(0).state()).isEqualTo("UNACKNOWLEDGED");
    }

    @Test
    void heldBackWhileTakenNobodyIsCalledAgain() {
        lose();
        desk.take(alarm(), teal, Optional.of(fixture.now().plus(Duration.ofMinutes(20))));
        desk.shelve(alarm(), fixture.now().plus(Duration.ofHours(2)), "painter at work", java.util.OptionalLong.empty());

        fixture.passesWhileAllSay(place, false, Duration.ofMinutes(110));
        assertThat(fixture.called(place)).containsExactly(teal);

        fixture.passesWhileAllSay(place, false, Duration.ofMinutes(11));
        assertThat(fixture.called(place)).startsWith(teal, teal, osk);
    }

    @Test
    void whoeverTookItBeforeAnybodyWasToldHearsThatAHoldInItEnded() {
        place = fixture.place(2);
        long early = place.people().get(1);
        list(1, false, new Turn(place.people().get(0), Duration.ofMinutes(10)));
        place.sensors().forEach(fixture::saysHealthy);
        fixture.passes(Duration.ofSeconds(5));
        place.sensors().forEach(fixture::saysLost);
        fixture.passes(Duration.ofSeconds(20));
        desk.take(alarm(), early);
        desk.shelve(alarm(), fixture.now().plus(Duration.ofMinutes(5)), "painter at work", java.util.OptionalLong.empty());
        assertThat(fixture.told(place)).isEmpty();

        fixture.passesWhileAllSay(place, false, Duration.ofMinutes(6));

        assertThat(fixture.called(place)).containsExactly(early);
        assertThat(lastTold().subject()).startsWith("One more cabinet").contains("2 in all");
    }

    private void lose() {
        fixture.saysLost(place.first());
        fixture.passes(Duration.ofSeconds(20));
    }

    private long alarm() {
        return fixture.openAlarms(place).get(0).id();
    }

    private Told lastTold() {
        List<Told> told = fixture.told(place);
        return told.get(told.size() - 1);
    }

    private long holder() {
        return number("SELECT acknowledged_by FROM alarm WHERE id = :id", alarm());
    }

    private long callOut() {
        return number("SELECT call_out_id FROM alarm WHERE id = :id", alarm());
    }

    private long number(String sql, long id) {
        return QuarkusTransaction.requiringNew().call(() -> ((Number) entities.createNativeQuery(sql).setParameter("id", id).getSingleResult())
                .longValue());
    }

    private long person(String name) {
        long person = registration.addPerson(new NewPerson(name, Optional.of("someone@hallowwater.example"), Optional.empty()),
                By.nobody(fixture.now())).personId();
        fixture.prove(person);
        return person;
    }

    private void grant(long person, long site) {
        QuarkusTransaction.requiringNew().run(() -> entities.createNativeQuery("""
                INSERT INTO role_grant (person_id, role, site_id, granted_at) VALUES (:person, :role, :site, :at)""").setParameter("person", person)
                .setParameter("role", Role.SITE_STAFF.name()).setParameter("site", site).setParameter("at", Instant.EPOCH).executeUpdate());
    }

    private void list(int rounds, boolean lastResort, Turn... turns) {
        registration.setCallOutList(place.siteId(), new CallOutList(List.of(turns), Duration.ofMinutes(30), rounds, lastResort),
                By.nobody(fixture.now()));
    }

    private static Turn turn(DutyRole role, int minutes) {
        return new Turn(new Whom.OnDutyFor(role), Duration.ofMinutes(minutes));
    }
}
