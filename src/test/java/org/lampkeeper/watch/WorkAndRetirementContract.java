package org.lampkeeper.watch;

import java.time.Duration;
import java.time.Instant;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalInt;
import java.util.OptionalLong;

import jakarta.inject.Inject;
import jakarta.persistence.EntityManager;

import io.quarkus.narayana.jta.QuarkusTransaction;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;

import org.lampkeeper.electrical.Curve;
import org.lampkeeper.register.By;
import org.lampkeeper.register.CabinetFacts;
import org.lampkeeper.register.CabinetSheet;
import org.lampkeeper.register.DeviceKind;
import org.lampkeeper.register.Electrician;
import org.lampkeeper.register.NewCabinet;
import org.lampkeeper.register.NewCircuit;
import org.lampkeeper.register.NewSensor;
import org.lampkeeper.register.NewSite;
import org.lampkeeper.register.NotRegistered;
import org.lampkeeper.register.OutOfUseSheet;
import org.lampkeeper.register.Problem;
import org.lampkeeper.register.Register;
import org.lampkeeper.register.Registration;
import org.lampkeeper.register.SensorKey;
import org.lampkeeper.register.Sensors;
import org.lampkeeper.register.SiteSheet;
import org.lampkeeper.watch.AlarmDesk.EndResult;
import org.lampkeeper.watch.AlarmDesk.WorkResult;
import org.lampkeeper.watch.WatchFixture.Place;
import org.lampkeeper.watch.WatchFixture.Raised;
import org.lampkeeper.watch.WatchFixture.Told;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

/** Work that begins later and ends early, and what becomes of alarms whose sensor is taken away; on each database. */
abstract class WorkAndRetirementContract {

    private static final OptionalLong NO_BOARD = OptionalLong.empty();
    private static final OptionalLong NO_CABINET = OptionalLong.empty();

    @Inject
    WatchFixture fixture;

    @Inject
    AlarmDesk desk;

    @Inject
    Works works;

    @Inject
    Registration registration;

    @Inject
    Register register;

    @Inject
    Sensors sensors;

    @Inject
    EntityManager entities;

    @BeforeEach
    void noon() {
        fixture.atNoonListening();
    }

    @Test
    void workAheadHoldsNothingBackBeforeItBeginsAndHoldsBackWhenItHas() {
        Place early = healthy(1);
        Place later = healthy(1);
        Instant begin = fixture.now().plus(Duration.ofHours(1));
        announce(early, begin, begin.plus(Duration.ofHours(1)));
        announce(later, begin, begin.plus(Duration.ofHours(1)));

        lose(early);

        assertThat(only(early).state()).isEqualTo("UNACKNOWLEDGED");
        assertThat(fixture.called(early)).isNotEmpty();

        fixture.passesWhileAllSay(later, true, Duration.ofHours(1));
        lose(later);

        assertThat(only(later)).extracting(Raised::state, Raised::live).containsExactly("SUPPRESSED_BY_DESIGN", true);
        assertThat(fixture.told(later)).isEmpty();
        assertThat(fixture.journalKinds(later)).containsSubsequence("work-announced", "suppression-began", "alarm-suppressed");
    }

    @Test
    void whatWorkHeldBackCountsAtItsEndAndItsEndIsWrittenDown() {
        Place place = healthy(1);
        announce(place, fixture.now(), fixture.now().plus(Duration.ofMinutes(30)));
        lose(place);

        fixture.passesWhileAllSay(place, false, Duration.ofMinutes(30));

        assertThat(only(place).state()).isEqualTo("UNACKNOWLEDGED");
        assertThat(fixture.called(place)).containsExactly(place.people().get(0));
        assertThat(fixture.journalKinds(place)).contains("suppression-ended");
    }

    @Test
    void workEndedEarlyLetsTheStateCountAtOnce() {
        Place place = healthy(1);
        Work work = announce(place, fixture.now(), fixture.now().plus(Duration.ofHours(8)));
        lose(place);

        EndResult ended = desk.endEarly(work.id(), OptionalLong.of(place.people().get(2)));

        assertThat(ended).isInstanceOf(EndResult.Ended.class);
        assertThat(only(place).state()).isEqualTo("UNACKNOWLEDGED");
        assertThat(fixture.called(place)).containsExactly(place.people().get(0));
        assertThat(works.ahead(place.siteId(), fixture.now())).isEmpty();
        assertThat(works.past(place.siteId(), fixture.now(), 5)).singleElement()
                .satisfies(past -> assertThat(past.endedAt()).contains(fixture.now()));
        assertThat(desk.endEarly(work.id(), OptionalLong.empty())).isInstanceOf(EndResult.NotNeeded.class);
        assertThat(desk.endEarly(-1, OptionalLong.empty())).isInstanceOf(EndResult.NotFound.class);
        assertThat(fixture.journalKinds(place).stream().filter("suppression-ended"::equals)).hasSize(1);
    }

    @Test
    void healthyAgainWhenWorkEndsEarlyClosesWhatWasHeldAndTellsNobody() {
        Place place = healthy(1);
        Work work = announce(place, fixture.now(), fixture.now().plus(Duration.ofHours(8)));
        lose(place);
        fixture.passes(Duration.ofSeconds(30));
        fixture.saysHealthy(place.first());

        desk.endEarly(work.id(), OptionalLong.empty());

        assertThat(only(place)).extracting(Raised::state, Raised::open).containsExactly("NORMAL", false);
        assertThat(fixture.told(place)).isEmpty();
    }

    @Test
    void oneOfTwoWorksEndedEarlyLeavesTheOther() {
        Place place = healthy(1);
        announce(place, fixture.now(), fixture.now().plus(Duration.ofHours(1)));
        Work longer = announce(place, fixture.now(), fixture.now().plus(Duration.ofHours(8)));
        lose(place);

        desk.endEarly(longer.id(), OptionalLong.empty());

        assertThat(only(place).state()).isEqualTo("SUPPRESSED_BY_DESIGN");

        fixture.passesWhileAllSay(place, false, Duration.ofHours(1));

        assertThat(only(place).state()).isEqualTo("UNACKNOWLEDGED");
    }

    @Test
    void workCalledOffBeforeItBeginsHoldsNothingBack() {
        Place place = healthy(1);
        Instant begin = fixture.now().plus(Duration.ofMinutes(10));
        Work work = announce(place, begin, begin.plus(Duration.ofHours(1)));

        desk.endEarly(work.id(), OptionalLong.empty());
        fixture.passesWhileAllSay(place, true, Duration.ofMinutes(15));
        lose(place);

        assertThat(only(place).state()).isEqualTo("UNACKNOWLEDGED");
        assertThat(fixture.journalKinds(place)).doesNotContain("suppression-began");
    }

    @Test
    void workOnABoardHoldsBackWhatHangsOnItAtAnotherSiteToo() {
        Place near = healthy(1);
        Place across = healthy(1);
        SensorKey fed = fedFrom(near, across);
        fixture.saysHealthy(fed);
        Work work = ((WorkResult.Announced) desk.announce(SuppressionKind.ANNOUNCED_WORK, near.siteId(), OptionalLong.of(near.boardId()), NO_CABINET,
                fixture.now(), fixture.now().plus(Duration.ofHours(2)), "new busbar", OptionalLong.empty())).work();

        fixture.passes(Duration.ofSeconds(5));
        fixture.saysLost(fed);
        fixture.passes(Duration.ofSeconds(25));

        assertThat(only(across).state()).isEqualTo("SUPPRESSED_BY_DESIGN");

        desk.endEarly(work.id(), OptionalLong.empty());

        assertThat(only(across).state()).isEqualTo("UNACKNOWLEDGED");
    }

    @Test
    void everythingWrongWithAnnouncedWorkIsSaidByField() {
        Place place = healthy(1);
        Place other = healthy(1);
        Instant now = fixture.now();

        assertThat(refused(place, NO_BOARD, NO_CABINET, now.minus(Duration.ofMinutes(11)), now.plusSeconds(60), "why")).containsExactly("from");
        assertThat(refused(place, NO_BOARD, NO_CABINET, now.plus(Duration.ofDays(367)), now.plus(Duration.ofDays(368)), "why"))
                .containsExactly("from");
        assertThat(refused(place, NO_BOARD, NO_CABINET, now, now, "why")).containsExactly("until");
        assertThat(refused(place, NO_BOARD, NO_CABINET, now.plusSeconds(120), now.plusSeconds(60), "why")).containsExactly("until");
        assertThat(refused(place, NO_BOARD, NO_CABINET, now, now.plus(Duration.ofDays(14)).plusSeconds(1), "why")).containsExactly("until");
        assertThat(refused(place, NO_BOARD, NO_CABINET, now, now.plusSeconds(60), " ")).containsExactly("reason");
        assertThat(refused(place, NO_BOARD, NO_CABINET, now, now.plusSeconds(60), "x".repeat(401))).containsExactly("reason");
        assertThat(refused(place, OptionalLong.of(other.boardId()), NO_CABINET, now, now.plusSeconds(60), "why")).containsExactly("where");
        assertThat(refused(place, NO_BOARD, OptionalLong.of(other.first().cabinetId()), now, now.plusSeconds(60), "why")).containsExactly("where");
        assertThat(works.ahead(place.siteId(), now)).isEmpty();
    }

    @Test
    void retiringASensorEndsItsAlarmAndTellsWhoWasToldThatTheSupplyIsNotKnown() {
        Place place = healthy(1);
        lose(place);
        long told = place.people().get(0);

        registration.retireSensor(place.first().deviceId(), By.person(place.people().get(1), fixture.now()));

        assertThat(only(place)).extracting(Raised::state, Raised::live, Raised::open).containsExactly("NORMAL", false, false);
        assertThat(fixture.journalKinds(place)).containsSubsequence("sensor-retired", "alarm-ended-with-sensor", "call-out-ended");
        Told last = fixture.told(place).get(fixture.told(place).size() - 1);
        assertThat(last.personId()).isEqualTo(told);
        assertThat(last.purpose()).isEqualTo("NOTICE");
        assertThat(last.subject()).contains("was retired by R. Osk").doesNotContain("supply again");
        assertThat(last.body()).contains("does not say that the supply is back");

        fixture.passes(Duration.ofHours(1));

        assertThat(fixture.called(place)).containsExactly(told);
    }

    @Test
    void heldAndTakenAlarmsEndWithTheirSensorToo() {
        Place held = healthy(1);
        announce(held, fixture.now(), fixture.now().plus(Duration.ofHours(1)));
        lose(held);
        Place taken = healthy(1);
        lose(taken);
        desk.take(only(taken).id(), taken.people().get(0));
        Place shelved = healthy(1);
        lose(shelved);
        desk.shelve(only(shelved).id(), fixture.now().plusSeconds(3600), "known", OptionalLong.empty());

        for (Place place : List.of(held, taken, shelved)) {
            registration.retireSensor(place.first().deviceId(), By.nobody(fixture.now()));

            assertThat(only(place)).extracting(Raised::state, Raised::open).containsExactly("NORMAL", false);
        }
        fixture.passes(Duration.ofHours(2));
        assertThat(fixture.openAlarms(held)).isEmpty();
    }

    @Test
    void reportOfARetiredSensorIsNotTakenInAndOfItsSuccessorIs() {
        Place place = healthy(1);
        SensorKey old = place.first();
        registration.retireSensor(old.deviceId(), By.nobody(fixture.now()));
        SensorKey next = registration.addSensor(new NewSensor(old.cabinetId(), old.deviceId() + "-b", "urn:dev:ow:" + old.deviceId() + "b:"),
                By.nobody(fixture.now())).key();

        fixture.saysLost(old);
        fixture.saysHealthy(next);
        fixture.passes(Duration.ofMinutes(1));

        assertThat(fixture.alarms(place)).isEmpty();
        assertThat(fixture.reading(next)).isEqualTo("HEALTHY");
    }

    @Test
    void cabinetOutOfUseGivesItsWayFreeAndKeepsItsHistory() {
        Place place = healthy(1);
        lose(place);
        long cabinet = place.first().cabinetId();
        int version = register.sheet(cabinet).version();

        registration.takeOutOfUse(cabinet, version, "quay rebuilt", By.nobody(fixture.now()));

        assertThat(register.findSheet(cabinet)).isEmpty();
        assertThat(sensors.find(place.first().deviceId())).isEmpty();
        assertThat(fixture.openAlarms(place)).isEmpty();
        assertThat(fixture.alarms(place)).hasSize(1);
        assertThat(fixture.journalKinds(place)).containsSubsequence("sensor-retired", "alarm-ended-with-sensor", "cabinet-taken-out-of-use");
        SiteSheet site = register.site(place.siteId()).orElseThrow();
        NewCircuit sameWay = new NewCircuit(place.boardId(), "3", DeviceKind.MCB, Curve.B, 6, OptionalInt.empty(), "cable", 3, "below");
        NewCabinet successor = new NewCabinet(site.id(), "N" + place.siteId(), "Next", "quay", "telephone", "below", sameWay);
        assertThat(registration.addCabinet(successor, By.nobody(fixture.now())).circuit().way()).isEqualTo("3");
        assertThatThrownBy(() -> registration.addSensor(new NewSensor(cabinet, "late-" + cabinet, "urn:late" + cabinet + ":"), By.nobody(fixture.now())))
                .isInstanceOf(NotRegistered.class);
        assertThatThrownBy(() -> registration.takeOutOfUse(cabinet, version + 1, "again", By.nobody(fixture.now()))).isInstanceOf(NotRegistered.class)
                .hasMessageContaining("is out of use");
    }

    @Test
    void cabinetBroughtBackIsWatchedAgainUnderItsOldCode() {
        Place place = healthy(1);
        SensorKey old = place.first();
        long cabinet = old.cabinetId();
        CabinetSheet was = register.sheet(cabinet);
        registration.takeOutOfUse(cabinet, was.version(), "quay rebuilt", By.person(place.people().get(0), fixture.now()));
        OutOfUseSheet gone = register.outOfUse(cabinet).orElseThrow();
        assertThat(gone.because()).isEqualTo("quay rebuilt");
        assertThat(gone.since()).isEqualTo(fixture.now());
        assertThat(gone.by()).hasValue(place.people().get(0));
        assertThat(register.outOfUseAt(place.siteId())).extracting(OutOfUseSheet::cabinetId).containsExactly(cabinet);
        fixture.saysLost(old);
        fixture.passes(Duration.ofMinutes(5));
        assertThat(fixture.alarms(place)).isEmpty();

        NewCircuit fed = new NewCircuit(place.boardId(), "17", DeviceKind.MCB, Curve.B, 6, OptionalInt.empty(), "cable", 3, "below");
        CabinetSheet back = registration.bringBackIntoUse(cabinet, gone.version(), fed, By.nobody(fixture.now()));
        SensorKey next = registration.addSensor(new NewSensor(cabinet, old.deviceId() + "-b", "urn:dev:ow:" + old.deviceId() + "b:"),
                By.nobody(fixture.now())).key();
        fixture.saysHealthy(next);
        fixture.saysLost(next);
        fixture.passes(Duration.ofMinutes(5));

        assertThat(back.code()).isEqualTo(was.code());
        assertThat(back.circuit().way()).isEqualTo("17");
        assertThat(register.outOfUse(cabinet)).isEmpty();
        assertThat(fixture.openAlarms(place)).hasSize(1);
        assertThat(fixture.journalKinds(place)).containsSubsequence("cabinet-taken-out-of-use", "cabinet-brought-back-into-use");
        assertThatThrownBy(() -> registration.bringBackIntoUse(cabinet, back.version(), fed, By.nobody(fixture.now())))
                .isInstanceOf(NotRegistered.class).hasMessageContaining("is in use already");
    }

    @Test
    void editsAreJournalledWithBeforeAndAfterButWithoutSecretsAndNames() {
        Place place = healthy(1);
        long cabinet = place.first().cabinetId();
        CabinetSheet sheet = register.sheet(cabinet);
        By by = By.person(place.people().get(0), fixture.now());

        registration.changeCabinet(cabinet, sheet.version(), new CabinetFacts(sheet.code(), sheet.name(), "by the crane",
                sheet.lampPlace()), by);
        SiteSheet site = sheet.site();
        registration.changeSite(site.id(), site.version(), new NewSite(site.name(), site.address(), site.zone(),
                "gate code 9753", site.intake(), Optional.of(new Electrician("Q. Pell",
                        Optional.of("01632 960777")))), by);
        String secret = registration.renewSecret(place.first().deviceId(), by).secret();

        Map<String, String> bodies = bodies(place.siteId());
        assertThat(bodies.get("cabinet-changed")).contains("\"before\":{\"place\":\"by the steps\"}", "\"after\":{\"place\":\"by the crane\"}",
                "\"person\":\"");
        assertThat(bodies.get("site-changed")).contains("access", "electrician").doesNotContain("9753", "2468", "Q. Pell", "B. Marsh", "960777");
        assertThat(bodies.get("sensor-secret-renewed")).doesNotContain(secret);
        assertThat(bodies.values()).noneMatch(body -> body.contains("M. Teal"));
    }

    private Map<String, String> bodies(long siteId) {
        return QuarkusTransaction.requiringNew().call(() -> {
            Map<String, String> bodies = new HashMap<>();
            for (Object row : entities.createNativeQuery("SELECT kind, body FROM journal_entry WHERE site_id = :site ORDER BY id")
                    .setParameter("site", siteId).getResultList()) {
                bodies.put((String) ((Object[]) row)[0], (String) ((Object[]) row)[1]);
            }
            return bodies;
        });
    }

    private SensorKey fedFrom(Place near, Place across) {
        long cabinet = registration.addCabinet(new NewCabinet(across.siteId(), "X" + across.siteId(), "Across", "quay", "telephone", "below",
                new NewCircuit(near.boardId(), "X" + across.siteId() % 1000, DeviceKind.MCB, Curve.B, 6, OptionalInt.empty(), "cable", 3, "below")),
                By.nobody(fixture.now())).cabinetId();
        return registration.addSensor(new NewSensor(cabinet, "across-" + cabinet, "urn:dev:ow:across" + cabinet + ":"), By.nobody(fixture.now())).key();
    }

    private List<String> refused(Place place, OptionalLong board, OptionalLong cabinet, Instant from, Instant until, String reason) {
        WorkResult result = desk.announce(SuppressionKind.ANNOUNCED_WORK, place.siteId(), board, cabinet, from, until, reason, OptionalLong.empty());
        assertThat(result).isInstanceOf(WorkResult.Refused.class);
        return ((WorkResult.Refused) result).problems().stream().map(Problem::field).toList();
    }

    private Work announce(Place place, Instant from, Instant until) {
        return ((WorkResult.Announced) desk.announce(SuppressionKind.ANNOUNCED_WORK, place.siteId(), NO_BOARD, NO_CABINET, from, until, "new board",
                OptionalLong.of(place.people().get(0)))).work();
    }

    private Place healthy(int cabinets) {
        Place place = fixture.place(cabinets);
        place.sensors().forEach(fixture::saysHealthy);
        return place;
    }

    private void lose(Place place) {
        fixture.passes(Duration.ofSeconds(5));
        fixture.saysLost(place.first());
        fixture.passes(Duration.ofSeconds(25));
    }

    private Raised only(Place place) {
        assertThat(fixture.alarms(place)).hasSize(1);
        return fixture.alarms(place).get(0);
    }
}
