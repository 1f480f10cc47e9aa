package org.lampkeeper.register;

import java.sql.Connection;
import java.sql.PreparedStatement;
import java.sql.ResultSet;
import java.sql.SQLException;
import java.time.Duration;
import java.time.Instant;
import java.time.LocalDate;
import java.time.ZoneId;
import java.util.ArrayList;
import java.util.Collections;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalInt;
import java.util.UUID;
import java.util.concurrent.CyclicBarrier;
import java.util.concurrent.ExecutorService;
import java.util.concurrent.Executors;
import java.util.concurrent.Future;

import javax.sql.DataSource;

import jakarta.inject.Inject;
import jakarta.persistence.EntityManagerFactory;

import org.assertj.core.api.ThrowableAssert.ThrowingCallable;
import org.hibernate.SessionFactory;
import org.hibernate.stat.Statistics;
import org.junit.jupiter.api.Test;

import org.lampkeeper.callout.CallOutList;
import org.lampkeeper.callout.Turn;
import org.lampkeeper.electrical.Curve;
import org.lampkeeper.quantity.Celsius;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

/** What the register promises, whatever database it stands on. All tests share one database, so each makes names of its own. */
abstract class RegisterContract {

    private static final Duration MINUTE = Duration.ofMinutes(1);

    @Inject
    Registration registration;
    @Inject
    Register register;
    @Inject
    Sensors sensors;
    @Inject
    People people;
    @Inject
    CallOutLists callOutLists;
    @Inject
    Labels labels;
    @Inject
    DataSource dataSource;
    @Inject
    EntityManagerFactory entityManagers;

    private static final By BY = By.nobody(Instant.parse("2026-11-25T02:00:00Z"));

    private final String own = UUID.randomUUID().toString().substring(0, 8).toUpperCase(java.util.Locale.ROOT);

    @Test
    void sheetSaysAllThatWasEntered() {
        SiteSheet site = addSite("North");
        BoardSheet board = addBoard(site, "Board A");

        CabinetSheet added = registration.addCabinet(cabinet(site, board, "-1", "4"), BY);

        assertThat(register.sheet(added.cabinetId())).isEqualTo(added).isEqualTo(new CabinetSheet(added.cabinetId(), own + "-1",
                "North " + own + "-1", "quay", "defibrillator", "under the cabinet",
                new SiteSheet(site.id(), "North " + own, "Quay 1", ZoneId.of("Europe/London"), "gate code 4715", "kiosk",
                        Optional.of(new Electrician("B. Marsh", Optional.of("01632 960144"))), 0),
                new BoardSheet(board.id(), site.id(), "North " + own, "Board A", "quay kiosk", "key 7", 0),
                new CircuitSheet("4", DeviceKind.RCBO, Curve.C, 16, OptionalInt.of(30), "3-core 2.5 mm² SWA, 38 m", 3, "below",
                        added.circuit().id(), 0), 0));
    }

    @Test
    void howItKeepsWarmIsNotKnownUntilSomebodySaysSoAndIsNotOverwrittenUnseen() {
        CabinetSheet cabinet = addCabinet();
        NewWarmth said = new NewWarmth(Optional.of(new Celsius(8)), Optional.of(30.0), Optional.of(0.737), Optional.of(7490.0), Optional.of(new Celsius(-12)),
                false, true);
        assertThat(register.warmth(cabinet.cabinetId())).isEqualTo(new WarmthSheet(cabinet.cabinetId(), NewWarmth.NOTHING, Register.NOTHING_SAID));

        registration.changeWarmth(cabinet.cabinetId(), Register.NOTHING_SAID, said, BY);

        assertThat(register.warmth(cabinet.cabinetId()).said()).isEqualTo(said);
        assertThatThrownBy(() -> registration.changeWarmth(cabinet.cabinetId(), Register.NOTHING_SAID, NewWarmth.NOTHING, BY))
                .isInstanceOf(ChangedMeanwhile.class);
        registration.changeWarmth(cabinet.cabinetId(), register.warmth(cabinet.cabinetId()).version(), NewWarmth.NOTHING, BY);
        assertThat(register.warmth(cabinet.cabinetId()).said()).isEqualTo(NewWarmth.NOTHING);
    }

    @Test
    void sheetsOfASiteComeInTheOrderOfTheBoardInOneQuery() {
        SiteSheet site = addSite("Order");
        BoardSheet board = addBoard(site, "Board A");
        registration.addCabinet(cabinet(site, board, "-A", "10"), BY);
        registration.addCabinet(cabinet(site, board, "-B", "9"), BY);
        registration.addCabinet(cabinet(site, board, "-C", "9A"), BY);
        Statistics statistics = entityManagers.unwrap(SessionFactory.class).getStatistics();
        statistics.setStatisticsEnabled(true);
        statistics.clear();

        List<CabinetSheet> sheets = register.sheetsOfSite(site.id());

        assertThat(statistics.getPrepareStatementCount()).isOne();
        statistics.setStatisticsEnabled(false);
        assertThat(sheets).extracting(sheet -> sheet.circuit().way()).containsExactly("9", "9A", "10");
    }

    @Test
    void labelIsMadeOnceAndLeadsToItsCabinetUntilItIsReplaced() {
        CabinetSheet cabinet = addCabinet();
        long site = cabinet.site().id();

        labels.makeMissing(site, BY);
        String first = labels.ofSite(site).get(cabinet.cabinetId());
        labels.makeMissing(site, BY);

        assertThat(labels.ofSite(site)).containsExactly(Map.entry(cabinet.cabinetId(), first));
        assertThat(first).matches("[A-Za-z0-9_-]{22}");
        assertThat(labels.cabinetOf(first)).hasValue(cabinet.cabinetId());

        labels.renew(cabinet.cabinetId(), BY);

        assertThat(labels.cabinetOf(first)).isEmpty();
        assertThat(labels.cabinetOf(labels.ofSite(site).get(cabinet.cabinetId()))).hasValue(cabinet.cabinetId());
        assertThat(labels.cabinetOf("")).isEmpty();
        assertThatThrownBy(() -> labels.renew(999_999_999, BY)).isInstanceOf(NotRegistered.class);
    }

    @Test
    void boardAtAnotherSiteIsFoundFromBothEnds() {
        SiteSheet near = addSite("Near");
        SiteSheet across = addSite("Across");
        BoardSheet board = addBoard(near, "Board B");
        CabinetSheet home = registration.addCabinet(cabinet(near, board, "-N", "1"), BY);
        CabinetSheet fed = registration.addCabinet(cabinet(across, board, "-X", "2"), BY);

        assertThat(home.isFedFromAnotherSite()).isFalse();
        assertThat(fed.isFedFromAnotherSite()).isTrue();
        assertThat(register.sheetsOnBoard(board.id())).containsExactlyInAnyOrder(home, fed);
        assertThat(register.sheetsOfSite(across.id())).containsExactly(fed);
    }

    @Test
    void registeredSensorIsKnownAndWaitsToBeHeard() throws SQLException {
        CabinetSheet cabinet = addCabinet();

        RegisteredSensor made = registration.addSensor(sensor(cabinet, "-s"), BY);

        SensorKey key = new SensorKey(made.key().sensorId(), cabinet.site().id(), cabinet.cabinetId(), own + "-s", "urn:dev:os:" + own + "-s:");
        assertThat(sensors.find(own + "-s")).contains(key);
        assertThat(sensors.keys()).contains(key);
        assertThat(sensors.accepts(own + "-s", made.secret())).isTrue();
        assertThat(sensors.accepts(own + "-s", made.secret() + "0")).isFalse();
        assertThat(made.toString()).doesNotContain(made.secret());
        assertThat(ask("SELECT reading FROM sensor_status WHERE sensor_id = ?", key.sensorId())).isEqualTo("UNKNOWN");
        assertThat(ask("SELECT version FROM site_watch WHERE site_id = ?", key.siteId())).isEqualTo(0L);
    }

    @Test
    void retiredSensorIsFoundNowhereAndMakesRoomForAnother() throws SQLException {
        CabinetSheet cabinet = addCabinet();
        RegisteredSensor old = registration.addSensor(sensor(cabinet, "-old"), BY);
        assertThatThrownBy(() -> registration.addSensor(sensor(cabinet, "-new"), BY)).isInstanceOf(NotRegistered.class)
                .hasMessageContaining("has a sensor in use already");

        Instant retired = Instant.parse("2026-11-25T02:41:20.123456Z");
        registration.retireSensor(own + "-old", By.nobody(retired));
        registration.addSensor(sensor(cabinet, "-new"), BY);

        assertThat(sensors.find(own + "-old")).isEmpty();
        assertThat(sensors.accepts(own + "-old", old.secret())).isFalse();
        assertThat(sensors.find(List.of(own + "-old", own + "-new", "unknown"))).containsOnlyKeys(own + "-new");
        assertThat(ask("SELECT COUNT(*) FROM sensor_status WHERE cabinet_id = ?", cabinet.cabinetId())).isEqualTo(1L);
        try (Connection connection = dataSource.getConnection();
                PreparedStatement query = connection.prepareStatement("SELECT retired_at FROM sensor WHERE id = ?")) {
            query.setLong(1, old.key().sensorId());
            try (ResultSet rows = query.executeQuery()) {
                assertThat(rows.next()).isTrue();
                assertThat(rows.getObject(1, java.time.OffsetDateTime.class).toInstant()).isEqualTo(retired);
            }
        }
    }

    @Test
    void renewedSecretReplacesTheOldOne() {
        RegisteredSensor old = registration.addSensor(sensor(addCabinet(), "-r"), BY);

        RegisteredSensor renewed = registration.renewSecret(own + "-r", BY);

        assertThat(sensors.accepts(own + "-r", old.secret())).isFalse();
        assertThat(sensors.accepts(own + "-r", renewed.secret())).isTrue();
    }

    @Test
    void takenNamesAreRefusedTogetherAndNothingIsStored() {
        SiteSheet site = addSite("Twice");
        BoardSheet board = addBoard(site, "Board A");
        registration.addCabinet(cabinet(site, board, "-1", "4"), BY);

        assertThatThrownBy(() -> registration.addCabinet(cabinet(site, board, "-1", "4"), BY)).isInstanceOfSatisfying(NotRegistered.class,
                refused -> assertThat(refused.problems()).containsExactly(
                        new Problem("code", "a cabinet of this code is or was registered already"),
                        new Problem("name", "site Twice " + own + " has or had a cabinet named Twice " + own + "-1 already"),
                        new Problem("circuit.way", "way 4 of Board A feeds another cabinet already")));
        assertThatThrownBy(() -> addSite("Twice")).hasMessage("site Twice " + own + ": a site of this name is registered already");
        assertThatThrownBy(() -> addBoard(site, "Board A")).hasMessageContaining("has a board of this name already");
        assertThat(register.sheetsOfSite(site.id())).hasSize(1);
    }

    @Test
    void whatIsNotRegisteredIsNamed() {
        assertThatThrownBy(() -> registration.addBoard(new NewBoard(-5, "Board A", "here", "key"), BY)).hasMessage("site -5: not registered");
        assertThatThrownBy(() -> registration.renewSecret("nobody", BY)).hasMessage("sensor nobody: not registered");
        assertThatThrownBy(() -> register.sheet(-5)).hasMessage("cabinet -5: not registered");
        assertThat(register.findSheet(-5)).isEmpty();
        assertThat(register.site(-5)).isEmpty();
        assertThat(people.find(-5)).isEmpty();
        assertThat(sensors.find("nobody")).isEmpty();
    }

    @Test
    void sqlInANameIsStoredAsText() {
        String name = "x'); DELETE FROM person; -- " + own;

        Contact added = registration.addPerson(new NewPerson(name, Optional.empty(), Optional.empty()), BY);

        assertThat(people.contact(added.personId()).name()).isEqualTo(name);
        assertThat(people.all()).contains(added);
    }

    @Test
    void erasedPersonKeepsTheReferenceAndNothingThatTellsWhoItWas() throws SQLException {
        Contact added = addPerson("M. Teal");
        assertThat(PersonReference.of((String) ask("SELECT salt FROM person WHERE id = ?", added.personId()), added.personId()))
                .isEqualTo(added.reference()).matches("[0-9a-f]{64}");

        registration.erasePerson(added.personId(), BY);

        assertThat(people.contact(added.personId()))
                .isEqualTo(new Contact(added.personId(), added.reference(), "erased", Optional.empty(), Optional.empty(), 1));
        assertThat(ask("SELECT salt FROM person WHERE id = ?", added.personId())).isNull();
    }

    @Test
    void personWithATurnIsNotErased() {
        Contact person = addPerson("R. Osk");
        SiteSheet site = addSite("Erase");
        registration.setCallOutList(site.id(), list(person), BY);

        assertThatThrownBy(() -> registration.erasePerson(person.personId(), BY)).hasMessageContaining("take them off it before erasing");
        assertThat(people.contact(person.personId())).isEqualTo(person);
    }

    @Test
    void callOutListKeepsItsOrderAndMayBeReplaced() {
        Contact first = addPerson("first");
        Contact second = addPerson("second");
        SiteSheet site = addSite("List");
        CallOutList list = new CallOutList(List.of(new Turn(second.personId(), Duration.ZERO), new Turn(first.personId(), MINUTE),
                new Turn(second.personId(), MINUTE)), Duration.ofMinutes(5));

        registration.setCallOutList(site.id(), list, BY);
        assertThat(callOutLists.ofSite(site.id())).isEqualTo(list);

        registration.setCallOutList(site.id(), list(first), BY);
        assertThat(callOutLists.ofSite(site.id())).isEqualTo(list(first));
    }

    @Test
    void siteWithoutTurnsFallsBackToTheOperatorsList() {
        Contact operator = addPerson("operator");
        SiteSheet none = addSite("None");
        SiteSheet empty = addSite("Empty");
        registration.setCallOutList(empty.id(), new CallOutList(List.of(), MINUTE), BY);

        registration.setCallOutList(CallOutLists.OPERATOR, list(operator), BY);

        assertThat(callOutLists.ofSite(none.id())).isEqualTo(list(operator));
        assertThat(callOutLists.ofSite(empty.id())).isEqualTo(list(operator));
        assertThat(callOutLists.ofSite(CallOutLists.OPERATOR)).isEqualTo(list(operator));
    }

    @Test
    void callOutListWithAnUnknownPersonIsRefused() {
        SiteSheet site = addSite("Unknown");

        assertThatThrownBy(() -> registration.setCallOutList(site.id(), new CallOutList(List.of(new Turn(-9, Duration.ZERO)), MINUTE), BY))
                .hasMessageContaining("person -9 is not registered");
    }

    @Test
    void changeCountsOneVersionUpAndIsThereToRead() {
        SiteSheet site = addSite("Change");
        BoardSheet board = addBoard(site, "Board A");
        CabinetSheet cabinet = registration.addCabinet(cabinet(site, board, "-1", "4"), BY);

        SiteSheet renamed = registration.changeSite(site.id(), 0, new NewSite("Renamed " + own, "Quay 2", ZoneId.of("Europe/Dublin"), "bell", "hut",
                Optional.empty()), BY);
        BoardSheet moved = registration.changeBoard(board.id(), 0, new NewBoard(site.id(), "Board B", "store", "key 8"), BY);
        CabinetSheet coded = registration.changeCabinet(cabinet.cabinetId(), 0, new CabinetFacts(own + "-2", "Other", "pier", "above"), BY);
        CabinetSheet fed = registration.changeCircuit(cabinet.cabinetId(), 0, new NewCircuit(board.id(), "5", DeviceKind.MCB, Curve.B, 6,
                OptionalInt.empty(), "2-core", 5, "inside"), BY);
        Contact person = registration.changePerson(addPerson("Old").personId(), 0, new NewPerson("New", Optional.empty(), Optional.empty()), BY);

        assertThat(register.site(site.id())).contains(renamed).get().extracting(SiteSheet::version, SiteSheet::access).containsExactly(1, "bell");
        assertThat(register.board(board.id())).contains(moved).get().extracting(BoardSheet::version).isEqualTo(1);
        assertThat(coded.version()).isOne();
        assertThat(register.sheet(cabinet.cabinetId())).isEqualTo(fed);
        assertThat(fed.circuit()).extracting(CircuitSheet::way, CircuitSheet::device, CircuitSheet::fuseAmpere, CircuitSheet::version)
                .containsExactly("5", DeviceKind.MCB, 5, 1);
        assertThat(people.contact(person.personId())).isEqualTo(person).extracting(Contact::name, Contact::version).containsExactly("New", 1);
    }

    @Test
    void staleVersionIsRefusedAndSaysWhoWasFasterAndWhen() {
        SiteSheet site = addSite("Stale");
        Contact faster = addPerson("faster");
        Instant at = Instant.parse("2026-11-25T02:41:00.123456Z");
        registration.changeSite(site.id(), 0, again(site, "first"), By.person(faster.personId(), at));

        assertThatThrownBy(() -> registration.changeSite(site.id(), 0, again(site, "second"), BY))
                .isInstanceOfSatisfying(ChangedMeanwhile.class, changed -> {
                    assertThat(changed.version()).isOne();
                    assertThat(changed.at()).contains(at);
                    assertThat(changed.by()).hasValue(faster.personId());
                });
        assertThat(register.site(site.id()).orElseThrow().intake()).isEqualTo("first");

        registration.changeSite(site.id(), 1, again(site, "second"), BY);

        assertThat(register.site(site.id()).orElseThrow().intake()).isEqualTo("second");
    }

    @Test
    void everyKindOfThingRefusesAStaleVersion() {
        SiteSheet site = addSite("Kinds");
        BoardSheet board = addBoard(site, "Board A");
        long cabinet = registration.addCabinet(cabinet(site, board, "-1", "4"), BY).cabinetId();
        Contact person = addPerson("kinds");
        registration.setCallOutList(site.id(), list(person), BY);

        for (ThrowingCallable stale : List.<ThrowingCallable>of(
                () -> registration.changeBoard(board.id(), 7, new NewBoard(site.id(), "B", "p", "k"), BY),
                () -> registration.removeBoard(board.id(), 7, BY),
                () -> registration.changeCabinet(cabinet, 7, new CabinetFacts(own + "-9", "n", "p", "l"), BY),
                () -> registration.changeCircuit(cabinet, 7, cabinet(site, board, "", "8").circuit(), BY),
                () -> registration.changeContent(cabinet, 7, NewContent.ofKind("telephone"), BY),
                () -> registration.takeOutOfUse(cabinet, 7, "gone", BY),
                () -> registration.changePerson(person.personId(), 7, new NewPerson("n", Optional.empty(), Optional.empty()), BY),
                () -> registration.changeCallOutList(site.id(), 7, list(person), BY),
                () -> registration.changeCallOutList(site.id(), CallOutLists.NONE_STORED, list(person), BY))) {
            assertThatThrownBy(stale).isInstanceOf(ChangedMeanwhile.class);
        }
        assertThatThrownBy(() -> registration.changeSite(-5, 0, again(site, "x"), BY)).isInstanceOf(NotRegistered.class);
        assertThatThrownBy(() -> registration.changeContent(-5, 0, NewContent.ofKind("x"), BY)).isInstanceOf(NotRegistered.class);
    }

    @Test
    void ofTwoWritersOfOneVersionExactlyOneIsStored() throws Exception {
        SiteSheet site = addSite("Race");
        ExecutorService pool = Executors.newFixedThreadPool(2);
        try {
            for (int round = 0; round < 10; round++) {
                int version = round;
                CyclicBarrier together = new CyclicBarrier(2);
                List<Future<Boolean>> writers = new ArrayList<>();
                for (String mine : List.of("one " + round, "two " + round)) {
                    writers.add(pool.submit(() -> {
                        together.await();
                        try {
                            registration.changeSite(site.id(), version, again(site, mine), BY);
                            return true;
                        } catch (ChangedMeanwhile changed) {
                            return false;
                        }
                    }));
                }
                assertThat(List.of(writers.get(0).get(), writers.get(1).get())).containsExactlyInAnyOrder(true, false);
                assertThat(register.site(site.id()).orElseThrow().version()).isEqualTo(version + 1);
            }
        } finally {
            pool.shutdownNow();
        }
    }

    @Test
    void ofTwoWhoTakeOneNameAtOnceTheSecondIsToldBesideTheField() throws Exception {
        SiteSheet site = addSite("Names");
        ExecutorService pool = Executors.newFixedThreadPool(2);
        try {
            for (int round = 0; round < 5; round++) {
                String name = "Board " + round;
                CyclicBarrier together = new CyclicBarrier(2);
                List<Future<List<Problem>>> writers = new ArrayList<>();
                for (int i = 0; i < 2; i++) {
                    writers.add(pool.submit(() -> {
                        together.await();
                        try {
                            addBoard(site, name);
                            return List.<Problem>of();
                        } catch (NotRegistered refused) {
                            return refused.problems();
                        }
                    }));
                }
                List<Problem> said = new ArrayList<>(writers.get(0).get());
                said.addAll(writers.get(1).get());
                assertThat(said).extracting(Problem::field).containsExactly("name");
            }
        } finally {
            pool.shutdownNow();
        }
    }

    @Test
    void namesCodesAndWaysOfOthersAreRefusedForAChangeToo() {
        SiteSheet site = addSite("Taken");
        SiteSheet other = addSite("Other");
        BoardSheet board = addBoard(site, "Board A");
        addBoard(site, "Board B");
        CabinetSheet first = registration.addCabinet(cabinet(site, board, "-1", "4"), BY);
        CabinetSheet second = registration.addCabinet(cabinet(site, board, "-2", "5"), BY);

        assertThat(fieldsOf(() -> registration.changeSite(site.id(), 0, new NewSite(other.name(), "a", ZoneId.of("UTC"), "b", "c", Optional.empty()),
                BY))).containsExactly("name");
        assertThat(fieldsOf(() -> registration.changeBoard(board.id(), 0, new NewBoard(site.id(), "Board B", "p", "k"), BY))).containsExactly("name");
        assertThat(fieldsOf(() -> registration.changeBoard(board.id(), 0, new NewBoard(other.id(), "Board A", "p", "k"), BY)))
                .containsExactly("siteId");
        assertThat(fieldsOf(() -> registration.changeCabinet(second.cabinetId(), 0, new CabinetFacts(first.code(), first.name(), "p", "l"), BY)))
                .containsExactly("code", "name");
        assertThat(fieldsOf(() -> registration.changeCircuit(second.cabinetId(), 0, cabinet(site, board, "", "4").circuit(), BY)))
                .containsExactly("way");
        assertThat(fieldsOf(() -> registration.changeCircuit(second.cabinetId(), 0, new NewCircuit(-4, "9", DeviceKind.MCB, Curve.B, 6,
                OptionalInt.empty(), "c", 3, "p"), BY))).containsExactly("boardId");
    }

    @Test
    void contentKeepsItsLimitsAndItsPartsByDate() {
        CabinetSheet cabinet = addCabinet();
        assertThat(register.content(cabinet.cabinetId())).get()
                .extracting(ContentSheet::kind, ContentSheet::limitsAsked, ContentSheet::lowest, ContentSheet::parts)
                .containsExactly("defibrillator", false, Optional.empty(), List.of());

        ContentSheet changed = registration.changeContent(cabinet.cabinetId(), 0, new NewContent("defibrillator and pads", true,
                Optional.of(new Celsius(0)), Optional.empty(), List.of(new DatedPart("battery", LocalDate.parse("2029-01-31")),
                        new DatedPart("pads", LocalDate.parse("2027-06-30")))), BY);

        assertThat(register.content(cabinet.cabinetId())).contains(changed);
        assertThat(changed.lowest()).contains(new Celsius(0));
        assertThat(changed.highest()).isEmpty();
        assertThat(changed.limitsAsked()).isTrue();
        assertThat(changed.parts()).extracting(DatedPart::name).containsExactly("pads", "battery");
        assertThat(changed.version()).isOne();
        assertThat(register.sheet(cabinet.cabinetId())).extracting(CabinetSheet::content, CabinetSheet::version)
                .containsExactly("defibrillator and pads", 0);

        registration.changeContent(cabinet.cabinetId(), 1, NewContent.ofKind("telephone"), BY);

        assertThat(register.content(cabinet.cabinetId()).orElseThrow().parts()).isEmpty();
    }

    @Test
    void boardThatFeedsSomethingIsNotRemovedAndOneThatDoesNotIs() {
        SiteSheet site = addSite("Remove");
        BoardSheet board = addBoard(site, "Board A");
        BoardSheet spare = addBoard(site, "Board B");
        CabinetSheet cabinet = registration.addCabinet(cabinet(site, board, "-1", "4"), BY);

        assertThatThrownBy(() -> registration.removeBoard(board.id(), 0, BY)).hasMessageContaining("feeds 1 cabinet, change their circuits first");
        registration.changeCircuit(cabinet.cabinetId(), 0, cabinet(site, spare, "", "4").circuit(), BY);
        registration.removeBoard(board.id(), 0, BY);

        assertThat(register.board(board.id())).isEmpty();
        assertThat(register.boardsOfSite(site.id())).extracting(BoardSheet::name).containsExactly("Board B");
    }

    @Test
    void callOutListHasLimitsAndErasedPeopleAreNotPutOnIt() {
        SiteSheet site = addSite("Limits");
        Contact person = addPerson("limits");
        Contact gone = addPerson("gone");
        registration.erasePerson(gone.personId(), BY);

        assertThat(fieldsOf(() -> registration.setCallOutList(site.id(), new CallOutList(Collections.nCopies(31, new Turn(person.personId(), MINUTE)),
                MINUTE), BY))).containsExactly("turns");
        assertThat(fieldsOf(() -> registration.setCallOutList(site.id(), new CallOutList(List.of(new Turn(person.personId(), Duration.ofHours(25))),
                Duration.ofHours(25)), BY))).containsExactly("repeatAfter", "turns.0.after");
        assertThat(fieldsOf(() -> registration.setCallOutList(site.id(), list(gone), BY))).containsExactly("turns.0.personId");
        CallOutSheet first = registration.changeCallOutList(site.id(), CallOutLists.NONE_STORED, list(person), BY);
        assertThat(callOutLists.sheet(site.id())).isEqualTo(first);
        CallOutSheet second = registration.changeCallOutList(site.id(), first.version(), new CallOutList(
                Collections.nCopies(30, new Turn(person.personId(), MINUTE)), MINUTE), BY);
        assertThat(callOutLists.sheet(site.id())).isEqualTo(second);
        assertThat(second.version()).isEqualTo(first.version() + 1);
    }

    @Test
    void changingAnErasedPersonIsRefused() {
        Contact gone = addPerson("erased soon");
        registration.erasePerson(gone.personId(), BY);

        assertThatThrownBy(() -> registration.changePerson(gone.personId(), 1, new NewPerson("back", Optional.empty(), Optional.empty()), BY))
                .isInstanceOf(NotRegistered.class).hasMessageContaining("is erased");
    }

    private static List<String> fieldsOf(ThrowingCallable verb) {
        try {
            verb.call();
        } catch (NotRegistered refused) {
            return refused.problems().stream().map(Problem::field).toList();
        } catch (Throwable other) {
            throw new AssertionError(other);
        }
        throw new AssertionError("was not refused");
    }

    private NewSite again(SiteSheet site, String intake) {
        return new NewSite(site.name(), site.address(), site.zone(), site.access(), intake, site.electrician());
    }

    private CallOutList list(Contact person) {
        return new CallOutList(List.of(new Turn(person.personId(), Duration.ZERO)), MINUTE);
    }

    private Contact addPerson(String name) {
        return registration.addPerson(new NewPerson(name, Optional.of("p@hallowwater.example"), Optional.of("07700 900101")), BY);
    }

    private SiteSheet addSite(String name) {
        return registration.addSite(new NewSite(name + " " + own, "Quay 1", ZoneId.of("Europe/London"), "gate code 4715", "kiosk",
                Optional.of(new Electrician("B. Marsh", Optional.of("01632 960144")))), BY);
    }

    private BoardSheet addBoard(SiteSheet site, String name) {
        return registration.addBoard(new NewBoard(site.id(), name, "quay kiosk", "key 7"), BY);
    }

    private CabinetSheet addCabinet() {
        SiteSheet site = addSite("Any");
        return registration.addCabinet(cabinet(site, addBoard(site, "Board A"), "-1", "4"), BY);
    }

    private NewCabinet cabinet(SiteSheet site, BoardSheet board, String ending, String way) {
        return new NewCabinet(site.id(), own + ending, site.name() + ending, "quay", "defibrillator", "under the cabinet",
                new NewCircuit(board.id(), way, DeviceKind.RCBO, Curve.C, 16, OptionalInt.of(30), "3-core 2.5 mm² SWA, 38 m", 3, "below"));
    }

    private NewSensor sensor(CabinetSheet cabinet, String ending) {
        return new NewSensor(cabinet.cabinetId(), own + ending, "urn:dev:os:" + own + ending + ":");
    }

    private Object ask(String sql, long id) throws SQLException {
        try (Connection connection = dataSource.getConnection(); PreparedStatement query = connection.prepareStatement(sql)) {
            query.setLong(1, id);
            try (ResultSet rows = query.executeQuery()) {
                assertThat(rows.next()).as(sql).isTrue();
                return rows.getObject(1);
            }
        }
    }
}
