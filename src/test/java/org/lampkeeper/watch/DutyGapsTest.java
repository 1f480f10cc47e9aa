package org.lampkeeper.watch;

import java.time.DayOfWeek;
import java.time.Duration;
import java.time.Instant;
import java.time.LocalDate;
import java.time.LocalTime;
import java.util.Arrays;
import java.util.EnumSet;
import java.util.List;
import java.util.Optional;
import java.util.OptionalLong;

import jakarta.inject.Inject;
import jakarta.persistence.EntityManager;

import io.quarkus.narayana.jta.QuarkusTransaction;
import io.quarkus.test.junit.QuarkusTest;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;

import org.lampkeeper.access.Right;
import org.lampkeeper.access.Role;
import org.lampkeeper.callout.DutyRole;
import org.lampkeeper.register.By;
import org.lampkeeper.register.DutyBook;
import org.lampkeeper.register.NewPerson;
import org.lampkeeper.register.NewShift;
import org.lampkeeper.register.Registration;
import org.lampkeeper.register.Rows;
import org.lampkeeper.register.ShiftSheet;
import org.lampkeeper.testing.MovedClock;
import org.lampkeeper.watch.WatchFixture.Place;

import static org.assertj.core.api.Assertions.assertThat;
import static org.lampkeeper.watch.WatchFixture.NOON;

/** A shift without anybody is found days ahead, told once and once more on the day before, and stays known until somebody is on. */
@QuarkusTest
class DutyGapsTest {

    /** The Saturday after the fixture's noon, a Tuesday. */
    private static final LocalDate SATURDAY = LocalDate.parse("2026-12-05");

    @Inject
    WatchFixture fixture;
    @Inject
    DutyBook book;
    @Inject
    Registration registration;
    @Inject
    EntityManager entities;
    @Inject
    MovedClock clock;

    private Place place;
    private long manager;

    @BeforeEach
    void noon() {
        fixture.atNoonListening();
        place = fixture.place(1);
        manager = place.people().get(0);
        grant(manager, Role.DUTY_MANAGER, true);
        // Other roles, and one who holds it at every site: not needed here.
        grant(place.people().get(1), Role.SITE_STAFF, true);
        grant(place.people().get(2), Role.ADMINISTRATOR, false);
    }

    @Test
    void gapIsFoundAtOnceAndToldOnceAndAgainOnTheDayBefore() {
        saturdayNight(OptionalLong.empty());
        fixture.work();

        assertThat(gaps()).containsExactly("DUTY_MANAGER 2026-12-05T22:00:00Z 2026-12-06T06:00:00Z");
        assertThat(kinds()).containsExactly("duty-shift-registered", "duty-gap-found");
        assertThat(mails()).isEmpty();

        goTo(NOON.plus(Duration.ofMinutes(10)));
        assertThat(mails()).singleElement().satisfies(mail -> {
            assertThat(mail[0]).isEqualTo(manager);
            assertThat((String) mail[1]).matches("Heron Steps \\d+: nobody is on duty as the duty manager from Sat 5 Dec 22:00\\.");
            assertThat((String) mail[2]).contains("- no duty manager from Sat 5 Dec 22:00 to Sun 6 Dec 06:00\n",
                    "/sites/" + place.siteId() + "/duty\n", "Europe/London");
        });

        goTo(Instant.parse("2026-12-03T09:00:00Z"));
        assertThat(mails()).hasSize(1);
        goTo(Instant.parse("2026-12-04T09:00:00Z"));
        assertThat(mails()).hasSize(2).last().satisfies(mail -> assertThat((String) mail[2]).contains("still nobody is on duty"));
        goTo(Instant.parse("2026-12-06T09:00:00Z"));
        assertThat(mails()).hasSize(2);
        assertThat(gaps()).isEmpty();
        assertThat(kinds()).containsExactly("duty-shift-registered", "duty-gap-found", "duty-gaps-told", "duty-gaps-told");
        assertThat(looks()).as("its last day is over").isEmpty();
    }

    @Test
    void changesOfTheRotaMakeOneMessageOfOneLook() {
        ShiftSheet night = saturdayNight(OptionalLong.empty());
        book.addShift(shift(DutyRole.ELECTRICIAN, OptionalLong.of(place.people().get(1)), LocalTime.of(8, 0), LocalTime.of(16, 0)), by());
        long absence = book.addAbsence(place.people().get(1), Instant.parse("2026-12-05T10:00:00Z"), Instant.parse("2026-12-05T12:00:00Z"), by()).id();
        fixture.work();

        assertThat(gaps()).containsExactly("ELECTRICIAN 2026-12-05T10:00:00Z 2026-12-05T12:00:00Z",
                "DUTY_MANAGER 2026-12-05T22:00:00Z 2026-12-06T06:00:00Z");
        assertThat(looks()).containsExactly(NOON.plus(Duration.ofMinutes(10)));

        book.addStandIn(night.shift().id(), manager, SATURDAY, SATURDAY, by());
        fixture.work();
        assertThat(gaps()).hasSize(1);
        goTo(NOON.plus(Duration.ofMinutes(10)));
        assertThat(mails()).singleElement().satisfies(mail -> assertThat((String) mail[2]).contains("no electrician").doesNotContain("manager from"));

        book.removeAbsence(absence, by());
        fixture.work();
        assertThat(gaps()).isEmpty();
        assertThat(kinds()).contains("duty-gap-filled");
        assertThat(looks()).as("the next morning").containsExactly(Instant.parse("2026-12-02T09:00:00Z"));
    }

    @Test
    void shiftOfSomebodyWhoIsErasedIsFoundAtOnce() {
        long gone = registration.addPerson(new NewPerson("T. Reed", Optional.empty(), Optional.empty()), by()).personId();
        saturdayNight(OptionalLong.of(gone));
        fixture.work();
        assertThat(gaps()).isEmpty();

        registration.erasePerson(gone, by());
        fixture.work();

        assertThat(gaps()).hasSize(1);
    }

    @Test
    void whoHasARoleAtEverySiteIsToldWhereNobodyOfTheSiteIs() {
        run("DELETE FROM role_grant WHERE person_id = " + manager);
        saturdayNight(OptionalLong.empty());
        fixture.work();
        goTo(NOON.plus(Duration.ofMinutes(10)));

        // Tests before this one have people of every site, too.
        assertThat(mails()).extracting(mail -> mail[0]).contains(place.people().get(2)).doesNotContain(manager, place.people().get(1));
    }

    @Test
    void whereNobodyCanBeToldItIsWrittenDownAndTriedAgainEachDay() {
        run("DELETE FROM role_grant");
        saturdayNight(OptionalLong.empty());
        fixture.work();
        goTo(NOON.plus(Duration.ofMinutes(10)));
        assertThat(kinds()).last().isEqualTo("duty-gaps-not-told");
        assertThat(looks()).containsExactly(Instant.parse("2026-12-02T09:00:00Z"));

        grant(manager, Role.RESPONSIBLE_PERSON, true);
        goTo(Instant.parse("2026-12-02T09:00:00Z"));

        assertThat(mails()).extracting(mail -> mail[0]).containsExactly(manager);
        assertThat(kinds()).last().isEqualTo("duty-gaps-told");
    }

    @Test
    void theyAreToldWhoMayChangeTheRota() {
        for (Role role : Role.values()) {
            run("DELETE FROM role_grant");
            grant(manager, role, true);
            Place other = place;
            saturdayNight(OptionalLong.empty());
            clock.advance(Duration.ofMinutes(1));
            fixture.work();
            goTo(clock.instant().plus(Duration.ofMinutes(10)));

            assertThat(mails().isEmpty()).as(role.name()).isEqualTo(!role.rights().contains(Right.EDIT_CALL_OUT));

            noon();
            assertThat(other).isNotEqualTo(place);
        }
        assertThat(Arrays.stream(Role.values()).filter(role -> role.rights().contains(Right.EDIT_CALL_OUT))).hasSize(3);
    }

    private void goTo(Instant moment) {
        while (clock.instant().isBefore(moment)) {
            Instant next = looks().stream().filter(at -> at.isBefore(moment)).findFirst().orElse(moment);
            clock.stopAt(next.isAfter(clock.instant()) ? next : clock.instant().plusSeconds(1));
            fixture.work();
        }
    }

    private ShiftSheet saturdayNight(OptionalLong person) {
        return book.addShift(shift(DutyRole.DUTY_MANAGER, person, LocalTime.of(22, 0), LocalTime.of(6, 0)), by());
    }

    private NewShift shift(DutyRole role, OptionalLong person, LocalTime from, LocalTime to) {
        return new NewShift(place.siteId(), role, person, EnumSet.of(DayOfWeek.SATURDAY), from, to, 1, SATURDAY, Optional.of(SATURDAY));
    }

    private By by() {
        return By.nobody(clock.instant());
    }

    private void grant(long person, Role role, boolean here) {
        run("INSERT INTO role_grant (person_id, role, site_id, granted_at) VALUES (" + person + ", '" + role + "', " + (here ? place.siteId() : "NULL")
                + ", CURRENT_TIMESTAMP)");
    }

    private List<String> gaps() {
        return rows("SELECT role, begins_at, ends_at FROM duty_gap WHERE site_id = " + place.siteId() + " ORDER BY begins_at").stream()
                .map(row -> row[0] + " " + Rows.instant(row[1]) + " " + Rows.instant(row[2])).toList();
    }

    /** Person, subject and body, of what was told of this place. */
    private List<Object[]> mails() {
        return rows("SELECT person_id, subject, body FROM outgoing_message WHERE purpose = 'NOTICE' AND body LIKE '%/sites/" + place.siteId()
                + "/duty%' ORDER BY id");
    }

    private List<Instant> looks() {
        return rows("SELECT due_at, id FROM deadline WHERE kind = 'DUTY_GAPS' AND subject_id = " + place.siteId() + " ORDER BY due_at").stream()
                .map(row -> Rows.instant(row[0])).toList();
    }

    private List<String> kinds() {
        return fixture.journalKinds(place).stream().filter(kind -> kind.startsWith("duty-gap") || kind.equals("duty-shift-registered")).toList();
    }

    private void run(String sql) {
        QuarkusTransaction.requiringNew().run(() -> entities.createNativeQuery(sql).executeUpdate());
    }

    private List<Object[]> rows(String sql) {
        return QuarkusTransaction.requiringNew().call(() -> ((List<?>) entities.createNativeQuery(sql).getResultList()).stream()
                .map(row -> (Object[]) row).toList());
    }
}
