package org.lampkeeper.register;

import java.sql.Connection;
import java.sql.PreparedStatement;
import java.sql.ResultSet;
import java.sql.SQLException;
import java.time.Duration;
import java.time.Instant;
import java.time.ZoneId;
import java.util.List;
import java.util.Optional;
import java.util.OptionalInt;
import java.util.UUID;

import javax.sql.DataSource;

import jakarta.inject.Inject;
import jakarta.persistence.EntityManagerFactory;

import org.hibernate.SessionFactory;
import org.hibernate.stat.Statistics;
import org.junit.jupiter.api.Test;

import org.lampkeeper.callout.CallOutList;
import org.lampkeeper.callout.Turn;

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
