package org.lampkeeper.watch;

import java.time.Duration;
import java.time.Instant;
import java.time.ZoneId;
import java.util.ArrayList;
import java.util.Collections;
import java.util.List;
import java.util.Optional;
import java.util.OptionalInt;
import java.util.OptionalLong;
import java.util.Set;
import java.util.TreeSet;
import java.util.stream.Collectors;

import jakarta.inject.Inject;
import jakarta.persistence.EntityManager;

import io.quarkus.narayana.jta.QuarkusTransaction;
import io.quarkus.test.junit.QuarkusTest;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;

import org.lampkeeper.callout.CallOutList;
import org.lampkeeper.callout.Turn;
import org.lampkeeper.electrical.Curve;
import org.lampkeeper.register.By;
import org.lampkeeper.register.DeviceKind;
import org.lampkeeper.register.NewBoard;
import org.lampkeeper.register.NewCabinet;
import org.lampkeeper.register.NewCircuit;
import org.lampkeeper.register.NewPerson;
import org.lampkeeper.register.NewSensor;
import org.lampkeeper.register.NewSite;
import org.lampkeeper.register.Registration;
import org.lampkeeper.register.Rows;
import org.lampkeeper.register.SensorKey;
import org.lampkeeper.telemetry.Arrival;
import org.lampkeeper.testing.MovedClock;
import org.lampkeeper.testing.WrittenCodes;
import org.lampkeeper.watch.WatchFixture.Place;
import org.lampkeeper.watch.WatchFixture.Raised;
import org.lampkeeper.watch.WatchFixture.Told;

import static org.assertj.core.api.Assertions.assertThat;

/** Cabinets that are lost together are told of together, each with an alarm of its own, and none is left out. */
@QuarkusTest
class LostTogetherTest {

    @Inject
    WatchFixture fixture;
    @Inject
    AlarmDesk desk;
    @Inject
    DeadlineHandler deadlines;
    @Inject
    Registration registration;
    @Inject
    EntityManager entities;
    @Inject
    MovedClock clock;

    @BeforeEach
    void noon() {
        fixture.atNoonListening();
    }

    @Test
    void boardThatIsLostIsOneCallOutThatListsAllAndSaysWhereToLook() {
        Place place = healthy(4);

        place.sensors().forEach(fixture::saysLost);
        fixture.passes(Duration.ofSeconds(20));
        assertThat(fixture.openAlarms(place)).hasSize(4).extracting(Raised::kind).containsOnly("SUPPLY_LOST");
        assertThat(callOuts(place.siteId())).isOne();
        assertThat(fixture.called(place)).containsExactly(place.people().get(0));

        fixture.passes(Duration.ofSeconds(20));

        assertThat(fixture.called(place)).containsExactly(place.people().get(0), place.people().get(0));
        Told more = last(place);
        assertThat(more.subject()).contains("3 more cabinets of Heron Steps").contains("4 in all. All 4 on board A.");
        assertThat(WrittenCodes.inLetter(more.body())).hasSize(3);
        assertThat(more.body()).contains("most likely the supply of the board");
        assertThat(codes(fixture.told(place))).isEqualTo(codesOf(place));

        fixture.passes(Duration.ofMinutes(10));
        Told second = fixture.told(place).get(2);
        assertThat(second.personId()).isEqualTo(place.people().get(1));
        assertThat(second.subject()).startsWith("4 cabinets of Heron Steps").endsWith("All 4 on board A.");
        assertThat(WrittenCodes.inLetter(second.body())).isEqualTo(codesOf(place));
        assertThat(fixture.called(place)).hasSize(3);
    }

    @Test
    void whoeverTakesOneTakesAllAndHearsOfThoseNotToldYet() {
        Place place = healthy(3);
        place.sensors().forEach(fixture::saysLost);
        fixture.passes(Duration.ofSeconds(22));

        desk.take(fixture.openAlarms(place).get(0).id(), place.people().get(0));
        fixture.passes(Duration.ofMinutes(1));

        assertThat(fixture.openAlarms(place)).extracting(Raised::state).containsOnly("ACKNOWLEDGED");
        assertThat(fixture.told(place)).extracting(Told::personId, Told::purpose).containsExactly(
                org.assertj.core.groups.Tuple.tuple(place.people().get(0), "ALARM"), org.assertj.core.groups.Tuple.tuple(place.people().get(0), "NOTICE"));
        assertThat(codes(fixture.told(place))).isEqualTo(codesOf(place));
    }

    @Test
    void whatIsLostAfterItWasTakenIsToldToTheTakerFirstAndThenToTheOthers() {
        Place place = healthy(2);
        fixture.saysLost(place.first());
        fixture.passes(Duration.ofSeconds(20));
        desk.take(fixture.openAlarms(place).get(0).id(), place.people().get(1));
        fixture.passes(Duration.ofSeconds(30));

        fixture.saysLost(place.second());
        fixture.passes(Duration.ofSeconds(30));

        assertThat(callOuts(place.siteId())).isOne();
        assertThat(fixture.called(place)).containsExactly(place.people().get(0), place.people().get(1));
        assertThat(last(place).subject()).startsWith("One more cabinet of Heron Steps");
        assertThat(fixture.openAlarms(place)).extracting(Raised::state).containsExactly("ACKNOWLEDGED", "UNACKNOWLEDGED");

        fixture.passes(Duration.ofMinutes(10));
        assertThat(fixture.called(place)).containsExactly(place.people().get(0), place.people().get(1), place.people().get(0));
    }

    @Test
    void whatTheTakerTakesTooIsToldToNobodyElse() {
        Place place = healthy(2);
        fixture.saysLost(place.first());
        fixture.passes(Duration.ofSeconds(20));
        desk.take(fixture.openAlarms(place).get(0).id(), place.people().get(0));
        fixture.saysLost(place.second());
        fixture.passes(Duration.ofSeconds(50));

        desk.take(fixture.openAlarms(place).get(1).id(), place.people().get(0));
        fixture.passes(Duration.ofMinutes(14));

        assertThat(fixture.openAlarms(place)).filteredOn(alarm -> alarm.kind().equals("SUPPLY_LOST")).extracting(Raised::state)
                .containsOnly("ACKNOWLEDGED");
        assertThat(fixture.called(place)).containsOnly(place.people().get(0));
    }

    @Test
    void whoeverTakesWhatHasJoinedBeforeTheFirstHeardOfItHasAllOfIt() {
        Place place = healthy(2);
        long teal = place.people().get(0);
        long osk = place.people().get(1);
        fixture.saysLost(place.first());
        fixture.passes(Duration.ofSeconds(20));
        desk.take(fixture.openAlarms(place).get(0).id(), teal);
        fixture.saysLost(place.second());
        fixture.passes(Duration.ofSeconds(22));
        assertThat(fixture.called(place)).containsExactly(teal);

        assertThat(desk.take(fixture.openAlarms(place).get(1).id(), osk)).isInstanceOf(AlarmDesk.TakeResult.Yours.class);

        assertThat(holders(place)).containsOnly(osk);
        assertThat(last(place)).extracting(Told::personId, Told::purpose).containsExactly(teal, "NOTICE");
        assertThat(last(place).subject()).startsWith("R. Osk has taken it").contains("2 cabinets of Heron Steps");
        assertThat(desk.cannot(fixture.openAlarms(place).get(0).id(), osk)).isInstanceOf(AlarmDesk.PassResult.PassedOn.class);
        assertThat(fixture.openAlarms(place)).extracting(Raised::state).containsOnly("UNACKNOWLEDGED");
    }

    @Test
    void whoeverHasItAndTakesOneThatJoinedHearsOfTheOthersThatJoined() {
        Place place = healthy(3);
        long teal = place.people().get(0);
        fixture.saysLost(place.first());
        fixture.passes(Duration.ofSeconds(20));
        desk.take(fixture.openAlarms(place).get(0).id(), teal, Optional.of(fixture.now().plusSeconds(1200)));
        fixture.saysLost(place.second());
        fixture.saysLost(place.sensors().get(2));
        fixture.passes(Duration.ofSeconds(22));

        desk.take(fixture.openAlarms(place).get(1).id(), teal);
        fixture.passes(Duration.ofMinutes(1));

        assertThat(fixture.openAlarms(place)).extracting(Raised::state).containsOnly("ACKNOWLEDGED");
        assertThat(last(place).subject()).startsWith("2 more cabinets of Heron Steps").contains("have no supply; 3 in all.");
        assertThat(fixture.told(place)).hasSize(2);
        assertThat(number("SELECT COUNT(*) FROM call_out WHERE site_id = :id AND promised_at IS NOT NULL", place.siteId())).as("the promise stands").isOne();
    }

    @Test
    void whatJoinedAndIsBackBeforeAnybodyTookItLeavesTheRestWithWhoeverHasIt() {
        Place place = healthy(2);
        long teal = place.people().get(0);
        fixture.saysLost(place.first());
        fixture.passes(Duration.ofSeconds(20));
        desk.take(fixture.openAlarms(place).get(0).id(), teal);
        fixture.saysLost(place.second());
        fixture.passes(Duration.ofSeconds(50));
        assertThat(last(place).subject()).startsWith("One more cabinet");

        fixture.saysHealthy(place.second());
        fixture.passes(Duration.ofMinutes(12));

        assertThat(fixture.called(place)).containsOnly(teal);
        assertThat(holders(place)).contains(teal);
        assertThat(number("SELECT COUNT(*) FROM call_out WHERE site_id = :id AND phase = 'TAKEN' AND call_again_at IS NOT NULL", place.siteId())).isOne();
    }

    @Test
    void oneThatIsNoLongerHeldBackIsToldToWhoeverHasTheOthers() {
        Place place = healthy(2);
        long teal = place.people().get(0);
        place.sensors().forEach(fixture::saysLost);
        fixture.passes(Duration.ofSeconds(50));
        desk.take(fixture.openAlarms(place).get(0).id(), teal);
        desk.shelve(fixture.openAlarms(place).get(1).id(), fixture.now().plus(Duration.ofMinutes(5)), "painter at work", OptionalLong.empty());
        int before = fixture.told(place).size();

        fixture.passes(Duration.ofMinutes(4));
        assertThat(fixture.told(place)).hasSize(before);
        fixture.passes(Duration.ofSeconds(80));

        assertThat(fixture.told(place)).hasSize(before + 1);
        assertThat(last(place)).extracting(Told::personId, Told::purpose).containsExactly(teal, "ALARM");
        assertThat(last(place).body()).contains("One more cabinet");
        assertThat(fixture.openAlarms(place).get(1).state()).isEqualTo("UNACKNOWLEDGED");
        assertThat(number("SELECT COUNT(*) FROM alarm WHERE site_id = :id AND acknowledged_by IS NOT NULL", place.siteId())).isOne();
    }

    @Test
    void nobodyIsToldOfWhatIsHeldBackWhenTheOthersAreBack() {
        Place place = healthy(2);
        place.sensors().forEach(fixture::saysLost);
        fixture.passes(Duration.ofSeconds(50));
        desk.shelve(fixture.openAlarms(place).get(0).id(), fixture.now().plus(Duration.ofHours(2)), "painter at work", OptionalLong.empty());
        int before = fixture.called(place).size();

        fixture.saysHealthy(place.second());
        fixture.passesWhileAllSay(place, sensor -> sensor.equals(place.second()), Duration.ofMinutes(40));

        assertThat(fixture.called(place)).hasSize(before);
    }

    @Test
    void messageSpeaksForOneThatIsLostNow() {
        Place place = healthy(2);
        place.sensors().forEach(fixture::saysLost);
        fixture.passes(Duration.ofSeconds(50));

        fixture.saysHealthy(place.first());
        fixture.passesWhileAllSay(place, sensor -> sensor.equals(place.first()), Duration.ofMinutes(10));

        Told second = fixture.told(place).stream().filter(told -> told.personId() == place.people().get(1)).findFirst().orElseThrow();
        assertThat(second.subject()).contains("cabinet 2 has no supply");
        assertThat(second.body()).contains("LOST AND BACK AGAIN");
    }

    @Test
    void sensorThatFallsQuietAtASiteThatIsTakenIsToldToWhoeverHasItSoon() {
        Place place = healthy(3);
        long teal = place.people().get(0);
        fixture.link(place.first(), "down");
        fixture.link(place.second(), "down");
        fixture.passes(Duration.ofSeconds(65));
        assertThat(fixture.openAlarms(place)).extracting(Raised::kind).containsExactly("PROBABLE_SITE_LOSS");
        desk.take(fixture.openAlarms(place).get(0).id(), teal);
        assertThat(fixture.called(place)).containsExactly(teal);

        fixture.passes(Duration.ofMinutes(4));

        assertThat(fixture.openAlarms(place)).extracting(Raised::kind).containsExactly("PROBABLE_SITE_LOSS", "NOT_HEARD", "NOT_HEARD");
        assertThat(fixture.called(place)).containsExactly(teal, teal);
        assertThat(last(place).subject()).startsWith("2 more sensors of Heron Steps").contains("are not heard; 2 in all.");
        assertThat(callOuts(place.siteId())).isOne();

        desk.take(fixture.openAlarms(place).get(1).id(), teal);
        fixture.passes(Duration.ofMinutes(5));
        assertThat(fixture.openAlarms(place)).extracting(Raised::state).containsOnly("ACKNOWLEDGED");
        assertThat(fixture.called(place)).containsOnly(teal);
    }

    @Test
    void whatIsLostAtAnotherSiteOnTheSameBoardIsItsOwnCallOutAndSaidInTheMessage() {
        Place near = healthy(1);
        Place across = fixture.place(0);
        SensorKey fed = fixture.fedFrom(near, across);
        fixture.saysHealthy(fed);
        fixture.passes(Duration.ofSeconds(5));

        fixture.saysLost(fed);
        fixture.passes(Duration.ofSeconds(5));
        fixture.saysLost(near.first());
        fixture.passes(Duration.ofSeconds(25));

        assertThat(callOuts(near.siteId())).isOne();
        assertThat(callOuts(across.siteId())).isOne();
        assertThat(last(near).body()).contains("LOST AT OTHER SITES TOO").contains("one cabinet on the same board has no supply either");
        assertThat(fixture.told(across)).extracting(Told::personId).containsExactly(across.people().get(0));

        fixture.passes(Duration.ofMinutes(10));
        assertThat(last(across).personId()).isEqualTo(across.people().get(1));
        assertThat(last(across).body()).contains("one cabinet on the same board has no supply either");
    }

    @Test
    void lossesFarApartAreTwoCallOuts() {
        Place place = healthy(2);
        fixture.saysLost(place.first());
        fixture.passes(Duration.ofMinutes(3));

        fixture.saysLost(place.second());
        fixture.passes(Duration.ofSeconds(20));

        assertThat(callOuts(place.siteId())).isEqualTo(2);
        assertThat(last(place).subject()).contains("cabinet 2 has no supply");
    }

    @Test
    void whenAllAreBackTheOneMessageSaysHowManyThereWere() {
        Place place = healthy(3);
        place.sensors().forEach(fixture::saysLost);
        fixture.passes(Duration.ofMinutes(1));

        place.sensors().forEach(fixture::saysHealthy);

        assertThat(last(place).subject()).contains("the last of 3 that were told of together");
        assertThat(fixture.told(place)).filteredOn(told -> told.purpose().equals("NOTICE")).hasSize(1);
    }

    /** Of fifty cabinets each: the full flood of 5,000 is told on PostgreSQL, or wherever {@code -Dflood.boards=100} asks for it. */
    int boards() {
        return Integer.getInteger("flood.boards", 10);
    }

    /** All lost within ten seconds. */
    @Test
    void floodOnOneIntakeIsAtMostThreeMessagesInTheFirstMinuteAndEveryOneIsNamed() {
        int boards = boards();
        int onEach = 50;
        List<SensorKey> sensors = new ArrayList<>();
        List<Long> people = new ArrayList<>();
        long site = intake(boards, onEach, sensors, people);
        tell(sensors, true);
        fixture.passes(Duration.ofSeconds(5));

        Collections.shuffle(sensors, new java.util.Random(42));
        for (int second = 0; second < 10; second++) {
            tell(sensors.subList(second * sensors.size() / 10, (second + 1) * sensors.size() / 10), false);
            clock.advance(Duration.ofSeconds(1));
        }
        long began = System.nanoTime();
        List<Long> took = new ArrayList<>();
        for (int second = 0; second < 80; second++) {
            for (List<Long> due = deadlines.due(64); !due.isEmpty(); due = deadlines.due(64)) {
                for (long id : due) {
                    long before = System.nanoTime();
                    deadlines.handle(id, claimed -> { });
                    took.add(System.nanoTime() - before);
                }
            }
            clock.advance(Duration.ofSeconds(1));
            fixture.listened();
        }
        Duration all = Duration.ofNanos(System.nanoTime() - began);

        assertThat(number("SELECT COUNT(*) FROM alarm WHERE site_id = :id AND closed_at IS NULL", site)).isEqualTo(boards * onEach);
        assertThat(callOuts(site)).isOne();
        List<Object[]> told = messages(site);
        Instant first = Rows.instant(told.get(0)[0]);
        assertThat(told.stream().filter(row -> Rows.number(row[1]) == people.get(0) && !Rows.instant(row[0]).isAfter(first.plusSeconds(60)))).hasSizeBetween(2, 3);
        Set<String> named = told.stream().filter(row -> Rows.number(row[1]) == people.get(0)).flatMap(row -> WrittenCodes.inLetter((String) row[2]).stream())
                .collect(Collectors.toCollection(TreeSet::new));
        assertThat(named).hasSize(boards * onEach);
        assertThat(told.get(told.size() - 1)[2].toString()).contains("intake of the site");
        Collections.sort(took);
        assertThat(Duration.ofNanos(took.get(took.size() * 99 / 100))).as("how long one loss holds up the next").isLessThan(Duration.ofSeconds(2));
        // Were it quadratic, it would be minutes even on a quick machine.
        assertThat(all).as("all of it").isLessThan(Duration.ofSeconds(150));

        Duration taking = timed(() -> desk.take(number("SELECT MIN(id) FROM alarm WHERE site_id = :id", site), people.get(0)));
        assertThat(number("SELECT COUNT(*) FROM alarm WHERE site_id = :id AND state = 'ACKNOWLEDGED'", site)).isEqualTo(boards * onEach);
        assertThat(taking).isLessThan(Duration.ofSeconds(60));
        forget(site);
    }

    /** Five thousand who fall silent, or are called again, whenever a later test moves the clock would be the slowest part of that test. */
    private void forget(long site) {
        for (String statement : List.of("UPDATE call_out SET phase = 'ENDED', next_at = NULL, ended_at = :now WHERE site_id = :id AND ended_at IS NULL",
                "UPDATE alarm SET state = 'NORMAL', live = FALSE, closed_at = :now WHERE site_id = :id AND closed_at IS NULL",
                "DELETE FROM sensor_status WHERE site_id = :id AND received_at <= :now")) {
            QuarkusTransaction.requiringNew().run(() -> entities.createNativeQuery(statement).setParameter("now", fixture.now()).setParameter("id", site)
                    .executeUpdate());
        }
    }

    private long intake(int boards, int onEach, List<SensorKey> sensors, List<Long> people) {
        By by = By.nobody(fixture.now());
        String name = "Long Mole " + Long.toString(System.identityHashCode(this), 36);
        long site = registration.addSite(new NewSite(name, "1 Mole", ZoneId.of("Europe/London"), "gate code 2468", "transformer house", Optional.empty()), by).id();
        String stem = Long.toString(site, 36).toUpperCase(java.util.Locale.ROOT);
        for (int i = 1; i <= boards; i++) {
            int number = i;
            QuarkusTransaction.requiringNew().run(() -> {
                long board = registration.addBoard(new NewBoard(site, "B" + number, "pillar " + number, "key 7"), by).id();
                for (int j = 1; j <= onEach; j++) {
                    String code = stem + "-" + number + "-" + j;
                    long cabinet = registration.addCabinet(new NewCabinet(site, code, "Mole " + code, "by the pillar", "defibrillator", "above the door",
                            new NewCircuit(board, String.valueOf(j), DeviceKind.RCBO, Curve.C, 16, OptionalInt.of(30), "2.5 mm²", 3, "below")), by).cabinetId();
                    sensors.add(registration.addSensor(new NewSensor(cabinet, "mole-" + code.toLowerCase(java.util.Locale.ROOT),
                            "urn:dev:ow:mole" + code.toLowerCase(java.util.Locale.ROOT).replace("-", "x") + ":"), by).key());
                }
            });
        }
        for (int i = 0; i < 2; i++) {
            people.add(registration.addPerson(new NewPerson("M. Teal", Optional.of("mole" + i + "@hallowwater.example"), Optional.empty()), by).personId());
            fixture.prove(people.get(i));
        }
        registration.setCallOutList(site, new CallOutList(List.of(new Turn(people.get(0), Duration.ZERO), new Turn(people.get(1), Duration.ofMinutes(10))),
                Duration.ofMinutes(30)), by);
        return site;
    }

    private void tell(List<SensorKey> sensors, boolean supplied) {
        for (int from = 0; from < sensors.size(); from += 500) {
            fixture.take(sensors.subList(from, Math.min(from + 500, sensors.size())).stream()
                    .map(sensor -> fixture.arrival(sensor, supplied, fixture.now(), false)).toArray(Arrival[]::new));
        }
    }

    private static Duration timed(Runnable work) {
        long began = System.nanoTime();
        work.run();
        return Duration.ofNanos(System.nanoTime() - began);
    }

    private Place healthy(int cabinets) {
        Place place = fixture.place(cabinets);
        place.sensors().forEach(fixture::saysHealthy);
        fixture.passes(Duration.ofSeconds(5));
        return place;
    }

    private List<Long> holders(Place place) {
        return QuarkusTransaction.requiringNew().call(() -> {
            List<Long> holders = new ArrayList<>();
            for (Object holder : entities.createNativeQuery("SELECT acknowledged_by FROM alarm WHERE site_id = :id AND acknowledged_by IS NOT NULL")
                    .setParameter("id", place.siteId()).getResultList()) {
                holders.add(Rows.number(holder));
            }
            return holders;
        });
    }

    private Told last(Place place) {
        List<Told> told = fixture.told(place);
        return told.get(told.size() - 1);
    }

    private Set<String> codesOf(Place place) {
        return QuarkusTransaction.requiringNew().call(() -> {
            Set<String> codes = new TreeSet<>();
            for (Object code : entities.createNativeQuery("SELECT code FROM cabinet WHERE site_id = :site").setParameter("site", place.siteId())
                    .getResultList()) {
                codes.add((String) code);
            }
            return codes;
        });
    }

    private static Set<String> codes(List<Told> told) {
        return told.stream().flatMap(each -> WrittenCodes.inLetter(each.body()).stream()).collect(Collectors.toCollection(TreeSet::new));
    }

    private long callOuts(long site) {
        return number("SELECT COUNT(*) FROM call_out WHERE site_id = :id", site);
    }

    private List<Object[]> messages(long site) {
        return QuarkusTransaction.requiringNew().call(() -> {
            List<Object[]> rows = new ArrayList<>();
            for (Object row : entities.createNativeQuery("""
                    SELECT m.created_at, m.person_id, m.body FROM outgoing_message m JOIN call_out c ON c.id = m.call_out_id
                     WHERE c.site_id = :site ORDER BY m.id""").setParameter("site", site).getResultList()) {
                rows.add((Object[]) row);
            }
            return rows;
        });
    }

    private long number(String sql, long id) {
        return QuarkusTransaction.requiringNew().call(() -> ((Number) entities.createNativeQuery(sql).setParameter("id", id).getSingleResult()).longValue());
    }
}
