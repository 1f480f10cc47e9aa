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
