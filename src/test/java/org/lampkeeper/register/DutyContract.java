package org.lampkeeper.register;

import java.time.DayOfWeek;
import java.time.Duration;
import java.time.Instant;
import java.time.LocalDate;
import java.time.LocalTime;
import java.time.ZoneId;
import java.util.EnumSet;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalLong;
import java.util.Set;
import java.util.UUID;

import jakarta.inject.Inject;
import jakarta.persistence.EntityManager;

import io.quarkus.narayana.jta.QuarkusTransaction;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;

import org.lampkeeper.callout.Absence;
import org.lampkeeper.callout.CallOutList;
import org.lampkeeper.callout.DutyRole;
import org.lampkeeper.callout.Gap;
import org.lampkeeper.callout.StandIn;
import org.lampkeeper.callout.Turn;
import org.lampkeeper.callout.Whom;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

/** What the book of duties promises, whatever database it stands on. Each test makes a site and people of its own. */
abstract class DutyContract {

    private static final Instant NOW = Instant.parse("2026-11-25T12:00:00Z");
    private static final By BY = By.nobody(NOW);
    private static final LocalDate WEDNESDAY = LocalDate.parse("2026-11-25");
    private static final Instant NIGHT = Instant.parse("2026-11-26T01:00:00Z");

    @Inject
    EntityManager entities;
    @Inject
    DutyBook book;
    @Inject
    Registration registration;

    private long site;
    private long marsh;
    private long teal;
    private long reed;

    @BeforeEach
    void aSiteAndThreePeople() {
        String own = UUID.randomUUID().toString().substring(0, 8);
        site = registration.addSite(new NewSite("Ferry " + own, "Quay 1", ZoneId.of("Europe/London"), "gate", "kiosk", Optional.empty()), BY).id();
        marsh = person("B. Marsh " + own);
        teal = person("M. Teal " + own);
        reed = person("T. Reed " + own);
        // Its own list, so that the operator's, which other tests set, is not asked.
        registration.setCallOutList(site, new CallOutList(List.of(new Turn(reed, Duration.ZERO)), Duration.ofMinutes(5)), BY);
    }

    @Test
    void shiftIsReadAsItWasEntered() {
        NewShift entered = new NewShift(site, DutyRole.ELECTRICIAN, OptionalLong.of(marsh), EnumSet.of(DayOfWeek.MONDAY, DayOfWeek.SUNDAY),
                LocalTime.of(22, 15), LocalTime.of(6, 0), 3, WEDNESDAY, Optional.of(WEDNESDAY.plusYears(1)));

        ShiftSheet added = book.addShift(entered, BY);

        ShiftSheet read = book.shift(added.shift().id()).orElseThrow();
        assertThat(read).isEqualTo(added);
        assertThat(new NewShift(read.siteId(), read.shift().role(), read.shift().personId(), read.shift().days(), read.shift().from(),
                read.shift().to(), read.shift().everyWeeks(), read.shift().validFrom(), read.shift().validUntil())).isEqualTo(entered);
        assertThat(book.shifts(site)).containsExactly(added);
        assertThat(book.sitesOf(marsh)).extracting(SiteSheet::id).containsExactly(site);
    }

    @Test
    void shiftIsChangedOnlyInTheVersionThatWasRead() {
        ShiftSheet added = book.addShift(nights(OptionalLong.of(marsh)), BY);

        ShiftSheet changed = book.changeShift(added.shift().id(), added.version(), nights(OptionalLong.of(teal)), BY);

        assertThat(changed.version()).isGreaterThan(added.version());
        assertThatThrownBy(() -> book.changeShift(added.shift().id(), added.version(), nights(OptionalLong.empty()), BY))
                .isInstanceOf(ChangedMeanwhile.class);
        assertThat(book.on(site, DutyRole.DUTY_MANAGER, NIGHT)).containsExactly(teal);
    }

    @Test
    void whatCannotBeIsRefusedByField() {
        NewShift wrong = new NewShift(site, DutyRole.SITE_DUTY, OptionalLong.of(1), Set.of(), LocalTime.of(8, 0, 1), LocalTime.of(9, 0), 0,
                WEDNESDAY, Optional.of(WEDNESDAY.minusDays(1)));

        assertThat(wrong.problems()).extracting(Problem::field).containsExactly("days", "from", "everyWeeks", "validUntil");
        assertThatThrownBy(() -> book.addShift(nights(OptionalLong.of(1)), BY)).hasMessageContaining("person 1 is not registered");
        assertThatThrownBy(() -> book.addAbsence(marsh, NOW, NOW, BY)).hasMessageContaining("must end after it");
        assertThatThrownBy(() -> book.setFallback(site, DutyRole.SITE_DUTY, book.fallbackVersion(site, DutyRole.SITE_DUTY), List.of(marsh, marsh), BY)).hasMessageContaining("named twice");
        ShiftSheet shift = book.addShift(nights(OptionalLong.of(marsh)), BY);
        assertThatThrownBy(() -> book.addStandIn(shift.shift().id(), teal, WEDNESDAY, WEDNESDAY.minusDays(1), BY))
                .hasMessageContaining("before the first");
        assertThatThrownBy(() -> book.removeStandIn(1, BY)).hasMessageContaining("not registered");
    }

    @Test
    void standInReplacesAndAbsenceTakesAway() {
        ShiftSheet shift = book.addShift(nights(OptionalLong.of(marsh)), BY);
        StandIn standIn = book.addStandIn(shift.shift().id(), teal, WEDNESDAY, WEDNESDAY, BY);

        assertThat(book.on(site, DutyRole.DUTY_MANAGER, NIGHT)).containsExactly(teal);
        Absence absence = book.addAbsence(teal, NIGHT, NIGHT.plusSeconds(60), BY);
        assertThat(book.on(site, DutyRole.DUTY_MANAGER, NIGHT)).as("the fallback").containsExactly(reed);
        assertThat(book.rota(site).orElseThrow().gaps(NOW, NOW.plus(Duration.ofDays(1))))
                .containsExactly(new Gap(DutyRole.DUTY_MANAGER, NIGHT, NIGHT.plusSeconds(60)));
        book.removeAbsence(absence.id(), BY);
        book.removeStandIn(standIn.id(), BY);
        assertThat(book.on(site, DutyRole.DUTY_MANAGER, NIGHT)).containsExactly(marsh);
    }

    @Test
    void whoIsOnAtManySitesIsWhoIsOnAtEach() {
        long other = registration.addSite(new NewSite("Ferry " + UUID.randomUUID().toString().substring(0, 8), "Quay 2", ZoneId.of("Asia/Kolkata"), "gate", "kiosk",
                Optional.empty()), BY).id();
        registration.setCallOutList(other, new CallOutList(List.of(new Turn(marsh, Duration.ZERO)), Duration.ofMinutes(5)), BY);
        ShiftSheet shift = book.addShift(nights(OptionalLong.of(marsh)), BY);
        book.addStandIn(shift.shift().id(), teal, WEDNESDAY, WEDNESDAY, BY);
        // One o'clock in London is half past six in Kolkata.
        book.addShift(new NewShift(other, DutyRole.DUTY_MANAGER, OptionalLong.of(reed), EnumSet.allOf(DayOfWeek.class), LocalTime.of(6, 0), LocalTime.of(7, 0), 1, WEDNESDAY,
                Optional.empty()), BY);

        assertThat(book.on(List.of(site, other), DutyRole.DUTY_MANAGER, NIGHT)).isEqualTo(Map.of(site, List.of(teal), other, List.of(reed)));
        book.addAbsence(reed, NIGHT, NIGHT.plusSeconds(60), BY);
        assertThat(book.on(List.of(site, other), DutyRole.DUTY_MANAGER, NIGHT)).as("the fallback").isEqualTo(Map.of(site, List.of(teal), other, List.of(marsh)));
        assertThat(book.on(List.of(site, other), DutyRole.ELECTRICIAN, NIGHT.plusSeconds(60))).as("no shift at all")
                .isEqualTo(Map.of(site, List.of(reed), other, List.of(marsh)));
    }

    @Test
    void fallbackIsOwnThenTheDutyManagersThenTheListAndNeverSomebodyAbsent() {
        assertThat(book.on(site, DutyRole.ELECTRICIAN, NIGHT)).containsExactly(reed);

        book.setFallback(site, DutyRole.DUTY_MANAGER, book.fallbackVersion(site, DutyRole.DUTY_MANAGER), List.of(teal, reed), BY);
        assertThat(book.on(site, DutyRole.ELECTRICIAN, NIGHT)).containsExactly(teal, reed);

        book.setFallback(site, DutyRole.ELECTRICIAN, book.fallbackVersion(site, DutyRole.ELECTRICIAN), List.of(marsh), BY);
        assertThat(book.on(site, DutyRole.ELECTRICIAN, NIGHT)).containsExactly(marsh, teal, reed);

        book.addAbsence(marsh, NIGHT, NIGHT.plusSeconds(60), BY);
        assertThat(book.on(site, DutyRole.ELECTRICIAN, NIGHT)).containsExactly(teal, reed);
        book.setFallback(site, DutyRole.ELECTRICIAN, book.fallbackVersion(site, DutyRole.ELECTRICIAN), List.of(), BY);
        assertThat(book.ownFallback(site, DutyRole.ELECTRICIAN)).isEmpty();
    }

    @Test
    void fallbackIsNeverEmpty() {
        Set<Long> everybody = Set.of(marsh, teal, reed);
        everybody.forEach(person -> book.addAbsence(person, NIGHT, NIGHT.plusSeconds(60), BY));
        grant(teal);

        assertThat(book.on(site, DutyRole.ELECTRICIAN, NIGHT)).as("who is away, but nobody else is there").doesNotContain(marsh, teal).isNotEmpty();
        assertThat(book.on(site, DutyRole.ELECTRICIAN, NIGHT.plusSeconds(60))).containsExactly(reed);

        registration.setCallOutList(site, new CallOutList(List.of(new Turn(new Whom.OnDutyFor(DutyRole.ELECTRICIAN), Duration.ZERO)), Duration.ofMinutes(5)), BY);
        assertThat(book.on(site, DutyRole.ELECTRICIAN, NIGHT.plusSeconds(60))).as("whoever has a role").startsWith(teal).doesNotContain(marsh, reed);
    }

    private void grant(long person) {
        QuarkusTransaction.requiringNew().run(() -> entities.createNativeQuery(
                "INSERT INTO role_grant (person_id, role, site_id, granted_at) VALUES (:person, 'SITE_STAFF', :site, :at)")
                .setParameter("person", person).setParameter("site", site).setParameter("at", NOW).executeUpdate());
    }

    @Test
    void erasedPersonIsOnForNothingAndTheirShiftIsSeenToBeEmpty() {
        ShiftSheet shift = book.addShift(nights(OptionalLong.of(marsh)), BY);
        book.addStandIn(shift.shift().id(), marsh, WEDNESDAY, WEDNESDAY, BY);
        book.addAbsence(marsh, NIGHT, NIGHT.plusSeconds(60), BY);
        book.setFallback(site, DutyRole.DUTY_MANAGER, book.fallbackVersion(site, DutyRole.DUTY_MANAGER), List.of(marsh, teal), BY);
        String secret = book.renewCalendar(marsh, BY);

        registration.erasePerson(marsh, BY);

        assertThat(book.on(site, DutyRole.DUTY_MANAGER, NIGHT)).containsExactly(teal, reed);
        assertThat(book.shift(shift.shift().id()).orElseThrow().shift().personId()).isEmpty();
        assertThat(book.standIns(site)).isEmpty();
        assertThat(book.absences(Set.of(marsh))).isEmpty();
        assertThat(book.calendarOf(secret)).isEmpty();
        assertThat(book.rota(site).orElseThrow().gaps(NOW, NOW.plus(Duration.ofDays(1)))).hasSize(1);
    }

    @Test
    void calendarIsOpenedByItsNewestSecretOnly() {
        String first = book.renewCalendar(marsh, BY);
        String second = book.renewCalendar(marsh, BY);

        assertThat(first).hasSize(22).isNotEqualTo(second);
        assertThat(book.calendarOf(first)).isEmpty();
        assertThat(book.calendarOf(second)).hasValue(marsh);
        assertThat(book.calendarOf("")).isEmpty();
        assertThat(book.hasCalendar(marsh)).isTrue();
        book.endCalendar(marsh, BY);
        assertThat(book.calendarOf(second)).isEmpty();
        assertThat(book.hasCalendar(marsh)).isFalse();
    }

    private NewShift nights(OptionalLong person) {
        return new NewShift(site, DutyRole.DUTY_MANAGER, person, EnumSet.allOf(DayOfWeek.class), LocalTime.of(22, 0), LocalTime.of(6, 0), 1,
                WEDNESDAY, Optional.empty());
    }

    private long person(String name) {
        return registration.addPerson(new NewPerson(name, Optional.empty(), Optional.empty()), BY).personId();
    }
}
