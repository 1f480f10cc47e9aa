package org.lampkeeper.alarm;

import java.time.Instant;
import java.time.ZoneId;
import java.util.Optional;
import java.util.OptionalInt;
import java.util.Set;

import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.EnumSource;

import org.lampkeeper.alarm.Attendance.Content;
import org.lampkeeper.alarm.Attendance.Fit;
import org.lampkeeper.alarm.Attendance.Remark;
import org.lampkeeper.alarm.Attendance.Setting;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

class AttendanceTest {

    private static final Instant SINCE = Instant.parse("2026-11-25T02:41:30Z");
    private static final Instant NOW = Instant.parse("2026-11-25T04:00:00Z");
    private static final AttendanceCause FUSE = new AttendanceCause("fuse-blown", "The fuse had blown", Set.of(Scope.CABINET), true, true);
    private static final AttendanceCause OFF = new AttendanceCause("switched-off", "Somebody had switched it off",
            Set.of(Scope.CABINET, Scope.SITE), false, false);
    private static final AttendanceCause MAIL = new AttendanceCause("mail-server", "The mail server did not take mail",
            Set.of(Scope.INSTALLATION), false, false);
    private static final Setting CABINET = setting(Scope.CABINET);

    @Test
    void everythingThatACabinetNeedsMakesItComplete() {
        assertThat(full().isComplete(CABINET, NOW)).isTrue();
    }

    @Test
    void emptyRecordLacksWhatSomebodyWouldHaveToSay() {
        assertThat(Attendance.NOTHING.wrong(CABINET, NOW)).isEmpty();
        assertThat(Attendance.NOTHING.missing(CABINET)).extracting(Remark::field)
                .containsExactly("arrivedAt", "cause", "done", "content", "peopleTold", "fit");
    }

    @Test
    void faultOfLampkeeperItselfNeedsNobodyAtACabinet() {
        Attendance record = new Attendance(Optional.empty(), Optional.of(MAIL), "password renewed", "", false, OptionalInt.empty(),
                Optional.empty(), "", false, Optional.empty(), "");

        assertThat(record.isComplete(setting(Scope.INSTALLATION), NOW)).isTrue();
    }

    @Test
    void reasonWhyThereIsNoneSettlesIt() {
        assertThat(none("it came back by itself and the landing is closed for the winter").isComplete(CABINET, NOW)).isTrue();
    }

    @Test
    void recordAndReasonWhyThereIsNoneContradictEachOther() {
        Attendance both = new Attendance(full().arrivedAt(), full().cause(), "fitted a fuse", "B. Marsh", true, OptionalInt.of(3),
                full().content(), "", true, full().fit(), "nobody went");

        assertThat(both.wrong(CABINET, NOW)).extracting(Remark::field).containsExactly("noneBecause");
    }

    @ParameterizedTest
    @CsvSource({"1, change the circuit first", "2, change the circuit first", "5, Never a bigger fuse", "13, Never a bigger fuse",
            "0, no fuse", "14, no fuse", "-3, no fuse"})
    void fuseOfAnotherRatingIsRefused(int ampere, String said) {
        assertThat(fuse(ampere).wrong(CABINET, NOW)).singleElement().satisfies(remark -> {
            assertThat(remark.field()).isEqualTo("fuseFittedAmpere");
            assertThat(remark.text()).contains(said);
        });
    }

    @Test
    void fuseOfTheCircuitIsRight() {
        assertThat(fuse(3).wrong(CABINET, NOW)).isEmpty();
    }

    @Test
    void electricalWorkNeedsATestByACompetentPerson() {
        assertThat(cause(FUSE, "", false).missing(CABINET)).extracting(Remark::field).containsExactly("retestedBy", "retesterCompetent");
        assertThat(cause(FUSE, "B. Marsh", false).missing(CABINET)).extracting(Remark::field).containsExactly("retesterCompetent");
        assertThat(cause(OFF, "", false).missing(CABINET)).isEmpty();
    }

    @ParameterizedTest
    @CsvSource({"2026-11-25T02:40:59Z, The alarm began at 02:41", "2026-11-25T04:00:01Z, This lies ahead"})
    void arrivalLiesBetweenTheBeginningAndNow(Instant at, String said) {
        assertThat(arrived(at).wrong(CABINET, NOW)).singleElement().extracting(Remark::text).asString().contains(said);
    }

    @ParameterizedTest
    @CsvSource({"2026-11-25T02:41:00Z", "2026-11-25T04:00:00Z"})
    void bothEndsOfThatCount(Instant at) {
        assertThat(arrived(at).wrong(CABINET, NOW)).isEmpty();
    }

    @Test
    void movedContentIsSomewhere() {
        assertThat(content(Content.MOVED, "").missing(CABINET)).extracting(Remark::field).containsExactly("contentMovedTo");
        assertThat(content(Content.MOVED, "ticket office").missing(CABINET)).isEmpty();
    }

    @ParameterizedTest
    @EnumSource(Fit.class)
    void whatIsNotSettledYetIsNotComplete(Fit fit) {
        Attendance record = new Attendance(full().arrivedAt(), full().cause(), full().done(), "B. Marsh", true, OptionalInt.of(3),
                full().content(), "", true, Optional.of(fit), "");

        assertThat(record.isComplete(CABINET, NOW)).isEqualTo(fit != Fit.NOT_YET);
    }

    @Test
    void causeOfAnotherKindOfAlarmIsRefused() {
        assertThat(cause(MAIL, "", false).wrong(CABINET, NOW)).extracting(Remark::field).containsExactly("cause");
    }

    @Test
    void causeOfTheListMustBeStorable() {
        assertThatThrownBy(() -> new AttendanceCause("Fuse Blown", "x", Set.of(Scope.SITE), false, false)).hasMessageContaining("lower-case");
        assertThatThrownBy(() -> new AttendanceCause("a", " ", Set.of(Scope.SITE), false, false)).hasMessageContaining("1 to 80");
        assertThatThrownBy(() -> new AttendanceCause("a", "x", Set.of(), false, false)).hasMessageContaining("must name");
    }

    private static Setting setting(Scope scope) {
        return new Setting(scope, SINCE, ZoneId.of("Europe/London"), scope == Scope.CABINET ? OptionalInt.of(3) : OptionalInt.empty());
    }

    private static Attendance full() {
        return new Attendance(Optional.of(SINCE.plusSeconds(1800)), Optional.of(FUSE), "fitted a new fuse", "B. Marsh", true,
                OptionalInt.of(3), Optional.of(Content.INSPECTED), "", true, Optional.of(Fit.YES), "");
    }

    private static Attendance fuse(int ampere) {
        return new Attendance(full().arrivedAt(), full().cause(), full().done(), "B. Marsh", true, OptionalInt.of(ampere), full().content(), "",
                true, full().fit(), "");
    }

    private static Attendance cause(AttendanceCause cause, String retestedBy, boolean competent) {
        return new Attendance(full().arrivedAt(), Optional.of(cause), full().done(), retestedBy, competent,
                cause.needsFuse() ? OptionalInt.of(3) : OptionalInt.empty(), full().content(), "", true, full().fit(), "");
    }

    private static Attendance arrived(Instant at) {
        return new Attendance(Optional.of(at), full().cause(), full().done(), "B. Marsh", true, OptionalInt.of(3), full().content(), "", true,
                full().fit(), "");
    }

    private static Attendance content(Content content, String movedTo) {
        return new Attendance(full().arrivedAt(), full().cause(), full().done(), "B. Marsh", true, OptionalInt.of(3), Optional.of(content),
                movedTo, true, full().fit(), "");
    }

    private static Attendance none(String why) {
        return new Attendance(Optional.empty(), Optional.empty(), "", "", false, OptionalInt.empty(), Optional.empty(), "", false,
                Optional.empty(), why);
    }
}
