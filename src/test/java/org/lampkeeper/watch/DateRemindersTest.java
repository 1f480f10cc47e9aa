package org.lampkeeper.watch;

import java.time.Duration;
import java.time.Instant;
import java.time.LocalDate;
import java.time.ZoneId;
import java.util.List;
import java.util.Map;

import jakarta.inject.Inject;
import jakarta.persistence.EntityManager;

import io.quarkus.narayana.jta.QuarkusTransaction;
import io.quarkus.test.junit.QuarkusTest;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;

import org.lampkeeper.callout.DutyRole;
import org.lampkeeper.quantity.Celsius;
import org.lampkeeper.register.By;
import org.lampkeeper.register.ContentSheet;
import org.lampkeeper.register.DatedDuties;
import org.lampkeeper.register.DatedDuty;
import org.lampkeeper.register.DatedDuty.Kind;
import org.lampkeeper.register.DatedPart;
import org.lampkeeper.register.HandoverField;
import org.lampkeeper.register.HandoverFixture;
import org.lampkeeper.register.Handovers;
import org.lampkeeper.register.Handovers.Typed;
import org.lampkeeper.register.Register;
import org.lampkeeper.testing.MovedClock;
import org.lampkeeper.watch.WatchFixture.Place;

import static org.assertj.core.api.Assertions.assertThat;
import static org.lampkeeper.watch.WatchFixture.NOON;

/** What comes due after a hand-over, and who hears of it when. */
@QuarkusTest
class DateRemindersTest {

    @Inject
    WatchFixture fixture;
    @Inject
    HandoverDesk desk;
    @Inject
    Handovers handovers;
    @Inject
    DatedDuties duties;
    @Inject
    Register register;
    @Inject
    EntityManager entities;
    @Inject
    MovedClock clock;

    private Place place;
    private long cabinet;
    private long responsible;

    @BeforeEach
    void aCabinetThatWasHandedOver() {
        fixture.atNoonListening();
        place = fixture.place(1);
        cabinet = place.first().cabinetId();
        responsible = place.people().get(2);
        DutyOfATest.SAID.set((siteId, role, moment) -> role == DutyRole.RESPONSIBLE_PERSON ? List.of(responsible) : List.of());
        long handover = handovers.open(cabinet, by(place.people().get(1)));
        Map<HandoverField, String> example = HandoverFixture.example();
        example.put(HandoverField.PART_1_UNTIL, "2027-02-10");
        handovers.save(handover, example.entrySet().stream().map(it -> new Typed(it.getKey(), it.getValue(), 1000, false)).toList(), by(place.people().get(1)));
        int revision = handovers.find(handover).orElseThrow().revision();
        assertThat(desk.installerSigns(handover, revision, "no proof test: no sensor", by(place.people().get(1))).problems()).isEmpty();
        assertThat(desk.siteTakesOver(handover, handovers.find(handover).orElseThrow().fingerprint().orElseThrow(), by(responsible))).isTrue();
    }

    @AfterEach
    void theApplicationSaysWhoIsOnDutyAgain() {
        DutyOfATest.SAID.set(null);
    }

    @Test
    void registerTakesTheContentFromWhatWasSigned() {
        ContentSheet content = register.content(cabinet).orElseThrow();

        assertThat(content.lowest()).contains(new Celsius(0));
        assertThat(content.highest()).contains(new Celsius(50));
        assertThat(content.parts()).containsExactly(new DatedPart("pads", LocalDate.of(2027, 2, 10)));
    }

    /** 514.12.2, from secondary copies: the test button six-monthly. The rest stands in the record. */
    @Test
    void datesComeFromTheRegisterAndTheSignedRecord() {
        assertThat(duties.ofCabinet(cabinet)).extracting(DatedDuty::kind, DatedDuty::due).containsExactly(org.assertj.core.groups.Tuple.tuple(Kind.PART, LocalDate.of(2027, 2, 10)),
                org.assertj.core.groups.Tuple.tuple(Kind.TEST_BUTTON, LocalDate.of(2027, 6, 1)), org.assertj.core.groups.Tuple.tuple(Kind.INSPECTION, LocalDate.of(2029, 12, 1)));
        assertThat(duties.ofSite(place.siteId())).hasSize(3);
    }

    /** The same six months, from the last press that was seen to bring the lamp back. */
    @Test
    void pressThatWasSeenMovesTheNextOne() {
        assertThat(testButtonDue()).isEqualTo(LocalDate.of(2027, 6, 1));

        pressed("OUT", Instant.parse("2027-05-20T09:00:00Z"));
        assertThat(testButtonDue()).as("the lamp did not come back").isEqualTo(LocalDate.of(2027, 6, 1));
        pressed("LIT", Instant.parse("2027-05-21T23:30:00Z"));
        assertThat(testButtonDue()).as("on the clocks of the site").isEqualTo(LocalDate.of(2027, 11, 22));
        pressed("LIT", Instant.parse("2026-11-30T09:00:00Z"));
        assertThat(testButtonDue()).as("an older one that arrives late").isEqualTo(LocalDate.of(2027, 11, 22));
    }

    private LocalDate testButtonDue() {
        return duties.ofCabinet(cabinet).stream().filter(duty -> duty.kind() == Kind.TEST_BUTTON).findFirst().orElseThrow().due();
    }

    /** As the look of a plan is recorded. */
    private void pressed(String answer, Instant at) {
        QuarkusTransaction.requiringNew().run(() -> {
            // Below what the application gives, so that none of its rows has it.
            long id = -((Number) entities.createNativeQuery("SELECT nextval('check_due_seq')").getSingleResult()).longValue();
            entities.createNativeQuery("INSERT INTO check_plan (id, site_id, cabinet_id, kind, rule, first_day, opens_minute, closes_minute, grace_minutes, when_closed, asked_role,"
                    + " sensor_counts, asks_code, ended_at, changed_at, version) SELECT :id, site_id, id, 'TEST_BUTTON', 'FREQ=MONTHLY', DATE '2026-11-01', 540, 720, 30, 'SKIP',"
                    + " 'SITE_DUTY', FALSE, FALSE, :at, :at, 0 FROM cabinet WHERE id = :cabinet").setParameter("id", id).setParameter("at", at).setParameter("cabinet", cabinet).executeUpdate();
            entities.createNativeQuery("INSERT INTO check_due (id, plan_id, site_id, cabinet_id, kind, on_day, opens_at, closes_at, missed_at, by_somebody_else, opened_at, state, version)"
                    + " SELECT :id, id, site_id, cabinet_id, kind, DATE '2027-05-20', :at, :closes, :closes, FALSE, :at, 'DONE', 1 FROM check_plan WHERE id = :id").setParameter("id", id)
                    .setParameter("at", at).setParameter("closes", at.plusSeconds(3600)).executeUpdate();
            entities.createNativeQuery("INSERT INTO check_record (id, due_id, site_id, cabinet_id, person_id, answer, looked_at, received_at, is_counted, reading)"
                    + " SELECT nextval('check_record_seq'), id, site_id, cabinet_id, :person, :answer, :at, :at, TRUE, 'HEALTHY' FROM check_due WHERE id = :id").setParameter("id", id)
                    .setParameter("person", responsible).setParameter("answer", answer).setParameter("at", at).executeUpdate();
        });
    }

    @Test
    void responsiblePersonIsToldOnceOfEachDateThirtyDaysAhead() {
        days(40);
        assertThat(told()).as("10 January is 31 days ahead").isEmpty();
        days(1);
        assertThat(told()).singleElement().satisfies(subject -> assertThat(subject).startsWith(responsible + " ").contains("by 2027-02-10: Replace in its content: pads"));
        days(60);
        assertThat(told()).hasSize(1);
        days(61);
        assertThat(told()).hasSize(2).last().satisfies(subject -> assertThat(subject).contains("by 2027-06-01: Press the test button"));
        assertThat(fixture.journalKinds(place)).contains("dates-told");
    }

    @Test
    void morningIsThatOfTheSite() {
        ZoneId london = ZoneId.of("Europe/London");

        assertThat(DateReminders.next(london, Instant.parse("2026-07-01T07:59:59Z"))).isEqualTo(Instant.parse("2026-07-01T08:00:00Z"));
        assertThat(DateReminders.next(london, Instant.parse("2026-07-01T08:00:00Z"))).isEqualTo(Instant.parse("2026-07-02T08:00:00Z"));
        assertThat(DateReminders.next(london, Instant.parse("2026-10-24T12:00:00Z"))).as("the clocks go back").isEqualTo(Instant.parse("2026-10-25T09:00:00Z"));
    }

    private void days(int count) {
        for (int i = 0; i < count; i++) {
            clock.advance(Duration.ofDays(1));
            QuarkusTransaction.requiringNew().run(() -> entities.createNativeQuery("DELETE FROM deadline WHERE kind <> 'DATES'").executeUpdate());
            fixture.work();
        }
    }

    private List<String> told() {
        return QuarkusTransaction.requiringNew().call(() -> {
            List<?> rows = entities.createNativeQuery("SELECT person_id, subject FROM outgoing_message WHERE person_id = :person AND subject LIKE '%, by 20%' ORDER BY id")
                    .setParameter("person", responsible).getResultList();
            return rows.stream().map(row -> ((Object[]) row)[0] + " " + ((Object[]) row)[1]).toList();
        });
    }

    private By by(long person) {
        return By.person(person, NOON);
    }
}
