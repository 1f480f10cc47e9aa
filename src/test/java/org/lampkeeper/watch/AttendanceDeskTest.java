package org.lampkeeper.watch;

import java.time.Duration;
import java.util.List;
import java.util.Optional;
import java.util.OptionalInt;

import jakarta.inject.Inject;
import jakarta.persistence.EntityManager;

import io.quarkus.narayana.jta.QuarkusTransaction;
import io.quarkus.test.junit.QuarkusTest;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;

import org.lampkeeper.alarm.Attendance;
import org.lampkeeper.alarm.Attendance.Content;
import org.lampkeeper.alarm.Attendance.Fit;
import org.lampkeeper.watch.AttendanceDesk.SaveResult;
import org.lampkeeper.watch.WatchFixture.Place;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.groups.Tuple.tuple;

/** The record of what was done: several people, several steps, nothing overwritten, and the alarm's own life left alone. */
@QuarkusTest
class AttendanceDeskTest {

    @Inject
    WatchFixture fixture;

    @Inject
    AttendanceDesk desk;

    @Inject
    AlarmDesk alarms;

    @Inject
    AttendanceCauses causes;

    @Inject
    EntityManager entities;

    private Place place;
    private long alarm;

    @BeforeEach
    void lossThatWasTakenAndIsOver() {
        fixture.atNoonListening();
        place = fixture.place(1);
        fixture.saysHealthy(place.first());
        fixture.passes(Duration.ofSeconds(10));
        fixture.saysLost(place.first());
        fixture.passes(Duration.ofSeconds(30));
        alarm = fixture.openAlarms(place).get(0).id();
        alarms.take(alarm, place.people().get(0));
        fixture.passes(Duration.ofMinutes(5));
        fixture.saysHealthy(place.first());
    }

    @Test
    void alarmThatIsOverWaitsForItsRecordWhateverItsLifeCycleSays() {
        assertThat(fixture.openAlarms(place)).isEmpty();
        assertThat(isUnattended()).isTrue();

        save(0, full());

        assertThat(isUnattended()).isFalse();
        assertThat(fixture.journalKinds(place)).containsSubsequence("alarm-returned", "attendance-completed");
    }

    @Test
    void recordIsWrittenInStepsBySeveralPeople() {
        Attendance first = new Attendance(Optional.of(fixture.now()), Optional.empty(), "on the way in", "", false, OptionalInt.empty(),
                Optional.empty(), "", false, Optional.empty(), "");

        save(0, first);

        assertThat(isUnattended()).isTrue();

        SaveResult second = desk.save(alarm, 1, full(), place.people().get(1));

        assertThat(second).isInstanceOf(SaveResult.Saved.class);
        assertThat(isUnattended()).isFalse();
        assertThat(desk.entries(alarm)).extracting(AttendanceEntry::number, AttendanceEntry::isComplete, AttendanceEntry::writtenBy)
                .containsExactly(tuple(2, true, place.people().get(1)),
                        tuple(1, false, place.people().get(0)));
        assertThat(desk.entries(alarm).get(1).attendance()).isEqualTo(first);
    }

    @Test
    void whoeverSavesOnTopOfAnothersIsToldInsteadOfOverwriting() {
        save(0, full());
        Attendance other = withDone("something else");

        SaveResult result = desk.save(alarm, 0, other, place.people().get(1));

        assertThat(result).isInstanceOfSatisfying(SaveResult.ChangedMeanwhile.class,
                changed -> assertThat(changed.current().attendance()).isEqualTo(full()));
        assertThat(desk.entries(alarm)).hasSize(1);
    }

    @Test
    void sameSavingTwiceIsOneEntry() {
        save(0, full());

        assertThat(desk.save(alarm, 0, full(), place.people().get(0))).isInstanceOf(SaveResult.Saved.class);
        assertThat(desk.entries(alarm)).hasSize(1);
    }

    @Test
    void correctionIsAnEntryOfItsOwnAndJournalled() {
        save(0, full());

        save(1, withDone("tightened the terminal and fitted a fuse"));

        assertThat(desk.entries(alarm)).hasSize(2);
        assertThat(fixture.journalKinds(place)).containsSubsequence("attendance-completed", "attendance-corrected");
    }

    @Test
    void biggerFuseIsRefusedAndNothingIsStored() {
        Attendance bigger = new Attendance(full().arrivedAt(), full().cause(), full().done(), "B. Marsh", true, OptionalInt.of(13),
                full().content(), "", true, full().fit(), "");

        assertThat(desk.save(alarm, 0, bigger, place.people().get(0))).isInstanceOfSatisfying(SaveResult.Refused.class,
                refused -> assertThat(refused.remarks().get(0).text()).contains("Never a bigger fuse"));
        assertThat(desk.entries(alarm)).isEmpty();
        assertThat(isUnattended()).isTrue();
    }

    @Test
    void reasonWhyThereIsNoneSettlesItToo() {
        save(0, new Attendance(Optional.empty(), Optional.empty(), "", "", false, OptionalInt.empty(), Optional.empty(), "", false,
                Optional.empty(), "came back by itself, landing closed"));

        assertThat(isUnattended()).isFalse();
        assertThat(fixture.journalKinds(place)).contains("attendance-not-recorded");
    }

    @Test
    void namesOfPeopleStayOutOfTheJournal() {
        save(0, full());

        assertThat(bodies()).anySatisfy(body -> assertThat(body).contains("fuse-blown", "retested-by-competent-person"))
                .noneSatisfy(body -> assertThat(body).contains("B. Marsh"));
    }

    @Test
    void newLossOpensANewAlarmBeforeAnybodyHasWrittenAWord() {
        fixture.passes(Duration.ofSeconds(20));
        fixture.saysLost(place.first());
        fixture.passes(Duration.ofSeconds(30));

        assertThat(fixture.openAlarms(place)).singleElement().satisfies(raised -> assertThat(raised.id()).isNotEqualTo(alarm));
        assertThat(isUnattended()).isTrue();
    }

    @Test
    void anotherGoesAndTheMatterEndsWithTheLastVisit() {
        save(0, full());
        assertThat(isUnattended()).isFalse();
        Attendance later = Attendance.NOTHING.arrivedAt(WatchFixture.NOON.plusSeconds(240));

        assertThat(desk.another(alarm, later, place.people().get(1))).isInstanceOfSatisfying(SaveResult.Saved.class,
                saved -> assertThat(saved.entry()).extracting(AttendanceEntry::visit, AttendanceEntry::number).containsExactly(2, 2));
        assertThat(isUnattended()).as("the second visit has no record yet").isTrue();

        assertThat(desk.saveVisit(alarm, 1, 1, withDone("fitted the wrong fuse"), place.people().get(0))).isInstanceOf(SaveResult.Saved.class);
        assertThat(isUnattended()).as("a correction of the first settles nothing").isTrue();

        Attendance second = new Attendance(later.arrivedAt(), causes.find("fuse-blown"), "fitted another", "B. Marsh", true, OptionalInt.of(3),
                Optional.of(Content.INSPECTED), "", true, Optional.of(Fit.YES), "");
        assertThat(desk.save(alarm, 2, second, place.people().get(1))).isInstanceOf(SaveResult.Saved.class);

        assertThat(isUnattended()).isFalse();
        assertThat(desk.visits(alarm)).extracting(AttendanceEntry::visit, it -> it.attendance().done())
                .containsExactly(tuple(1, "fitted the wrong fuse"), tuple(2, "fitted another"));
        assertThat(desk.entries(alarm)).extracting(AttendanceEntry::visit, AttendanceEntry::number)
                .containsExactly(tuple(2, 4), tuple(2, 2), tuple(1, 3), tuple(1, 1));
        assertThat(bodies()).anySatisfy(body -> assertThat(body).contains("\"visit\":2"));
    }

    @Test
    void visitsStandInTheOrderOfTheirArrivals() {
        save(0, full());

        assertThat(desk.another(alarm, Attendance.NOTHING.arrivedAt(WatchFixture.NOON.plusSeconds(60)), place.people().get(1)))
                .isInstanceOfSatisfying(SaveResult.Refused.class, refused -> assertThat(refused.remarks()).singleElement()
                        .satisfies(remark -> assertThat(remark.text()).startsWith("Visit 1 arrived at").endsWith("say a time from then on.")));
        assertThat(desk.another(alarm, withoutArrival(), place.people().get(1))).isInstanceOfSatisfying(SaveResult.Refused.class,
                refused -> assertThat(refused.remarks()).extracting(Attendance.Remark::field).containsExactly("arrivedAt"));
        assertThat(desk.saveVisit(alarm, 3, 0, full(), place.people().get(1))).isInstanceOf(SaveResult.NotFound.class);
        assertThat(desk.saveVisit(alarm, 0, 0, full(), place.people().get(1))).isInstanceOf(SaveResult.NotFound.class);
        assertThat(desk.entries(alarm)).hasSize(1);
    }

    @Test
    void whoeverArrivesAfterAnotherMakesAVisitOfTheirOwnOnce() {
        desk.arrive(alarm, place.people().get(0));
        desk.arrive(alarm, place.people().get(0));
        assertThat(desk.visits(alarm)).hasSize(1);

        desk.arrive(alarm, place.people().get(1));
        desk.arrive(alarm, place.people().get(1));

        assertThat(desk.visits(alarm)).extracting(AttendanceEntry::writtenBy).containsExactly(place.people().get(0), place.people().get(1));
    }

    private Attendance withoutArrival() {
        return new Attendance(Optional.empty(), Optional.empty(), "looked again", "", false, OptionalInt.empty(), Optional.empty(), "", false,
                Optional.empty(), "");
    }

    @Test
    void alarmThatDoesNotExistIsNotFound() {
        assertThat(desk.save(987_654_321, 0, full(), place.people().get(0))).isInstanceOf(SaveResult.NotFound.class);
    }

    private void save(int expected, Attendance said) {
        assertThat(desk.save(alarm, expected, said, place.people().get(0))).isInstanceOf(SaveResult.Saved.class);
    }

    private Attendance full() {
        return withDone("fitted a new fuse");
    }

    private Attendance withDone(String done) {
        return new Attendance(Optional.of(WatchFixture.NOON.plusSeconds(120)), causes.find("fuse-blown"), done, "B. Marsh", true, OptionalInt.of(3),
                Optional.of(Content.INSPECTED), "", true, Optional.of(Fit.YES), "");
    }

    private boolean isUnattended() {
        return QuarkusTransaction.requiringNew().call(() -> !entities.createNativeQuery("SELECT id FROM alarm WHERE unattended = :alarm")
                .setParameter("alarm", alarm).getResultList().isEmpty());
    }

    private List<String> bodies() {
        return QuarkusTransaction.requiringNew().call(() -> {
            List<?> rows = entities.createNativeQuery("SELECT body FROM journal_entry WHERE alarm_id = :alarm").setParameter("alarm", alarm)
                    .getResultList();
            return rows.stream().map(String.class::cast).toList();
        });
    }
}
