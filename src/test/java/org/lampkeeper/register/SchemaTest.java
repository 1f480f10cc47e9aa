package org.lampkeeper.register;

import java.sql.Connection;
import java.sql.PreparedStatement;
import java.sql.ResultSet;
import java.sql.SQLException;
import java.sql.Statement;
import java.util.ArrayList;
import java.util.List;

import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.MethodSource;

import org.lampkeeper.testing.BothDatabases;
import org.lampkeeper.testing.TestDatabase;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

class SchemaTest {

    private static final String OPEN_ALARM = """
            INSERT INTO alarm (id, kind, site_id, cabinet_id, state, live, since, raised_at, version)
            VALUES (nextval('alarm_seq'), '%s', 7, %s, 'UNACKNOWLEDGED', TRUE, CURRENT_TIMESTAMP, CURRENT_TIMESTAMP, 0)
            """;

    // As every loop of ours claims work.
    private static final String CLAIM_TWO_DUE = """
            SELECT id FROM deadline
            WHERE id IN (SELECT id FROM deadline WHERE due_at <= CURRENT_TIMESTAMP ORDER BY due_at, id LIMIT 2)
            FOR UPDATE SKIP LOCKED
            """;

    @ParameterizedTest(name = "{0}")
    @MethodSource("org.lampkeeper.testing.TestDatabases#bothEmpty")
    void migrationsApplyOnceToAnEmptyDatabase(TestDatabase database) {
        assertThat(database.migrate()).isPositive();
        assertThat(database.migrate()).isZero();
    }

    @BothDatabases
    void cabinetHasOneOpenAlarmOfAKind(TestDatabase database) throws SQLException {
        database.run(OPEN_ALARM.formatted("SUPPLY_LOST", "3"));
        database.run(OPEN_ALARM.formatted("NOT_HEARD", "3"));
        database.run(OPEN_ALARM.formatted("SUPPLY_LOST", "4"));

        assertThatThrownBy(() -> database.run(OPEN_ALARM.formatted("SUPPLY_LOST", "3")))
                .isInstanceOf(SQLException.class)
                .hasMessageContaining("one_open_alarm_per_cabinet_and_kind");
        assertThat(database.run("UPDATE alarm SET closed_at = CURRENT_TIMESTAMP WHERE kind = 'SUPPLY_LOST' AND cabinet_id = 3")).isOne();
        assertThat(database.run(OPEN_ALARM.formatted("SUPPLY_LOST", "3"))).isOne();
        assertThat(database.ask("SELECT COUNT(*) FROM alarm WHERE cabinet_id = 3 AND kind = 'SUPPLY_LOST'")).isEqualTo(2L);
    }

    @BothDatabases
    void siteHasOneOpenAlarmOfAKindToo(TestDatabase database) throws SQLException {
        database.run(OPEN_ALARM.formatted("PROBABLE_SITE_LOSS", "NULL"));

        assertThatThrownBy(() -> database.run(OPEN_ALARM.formatted("PROBABLE_SITE_LOSS", "NULL")))
                .hasMessageContaining("one_open_alarm_per_cabinet_and_kind");
    }

    @BothDatabases
    void openKeyIsTheKindTheSiteAndTheCabinetUntilClosed(TestDatabase database) throws SQLException {
        database.run(OPEN_ALARM.formatted("SUPPLY_LOST", "3"));

        assertThat(database.ask("SELECT open_key FROM alarm")).isEqualTo("SUPPLY_LOST:7:3");
        database.run("UPDATE alarm SET closed_at = CURRENT_TIMESTAMP");
        assertThat(database.ask("SELECT open_key FROM alarm")).isNull();
    }

    @BothDatabases
    void cabinetHasOneSensorInUse(TestDatabase database) throws SQLException {
        placeCabinet(database);
        database.run(sensor(1, "first"));

        assertThatThrownBy(() -> database.run(sensor(2, "second"))).hasMessageContaining("cabinet_has_one_sensor_in_use");
        database.run("UPDATE sensor SET retired_at = CURRENT_TIMESTAMP WHERE id = 1");
        assertThat(database.run(sensor(2, "second"))).isOne();
    }

    @BothDatabases
    void thereIsOneOperatorsCallOutList(TestDatabase database) throws SQLException {
        database.run("INSERT INTO call_out_list (id, repeat_after_seconds, version) VALUES (1, 60, 0)");

        assertThatThrownBy(() -> database.run("INSERT INTO call_out_list (id, repeat_after_seconds, version) VALUES (2, 60, 0)"))
                .hasMessageContaining("site_has_one_call_out_list");
    }

    @BothDatabases
    void claimLocksOnlyWhatItClaims(TestDatabase database) throws SQLException {
        database.run("DELETE FROM deadline");
        database.run("""
                INSERT INTO deadline (id, due_at, kind, subject_id, subject_version, attempts)
                VALUES (1, CURRENT_TIMESTAMP, 'X', 1, 0, 0), (2, CURRENT_TIMESTAMP, 'X', 1, 0, 0), (3, CURRENT_TIMESTAMP, 'X', 1, 0, 0),
                       (4, CURRENT_TIMESTAMP, 'X', 1, 0, 0), (5, CURRENT_TIMESTAMP, 'X', 1, 0, 0)
                """);

        try (Connection first = database.connect(); Connection second = database.connect()) {
            first.setAutoCommit(false);
            second.setAutoCommit(false);

            assertThat(ids(first, CLAIM_TWO_DUE)).containsExactlyInAnyOrder(1L, 2L);
            assertThat(ids(second, CLAIM_TWO_DUE)).as("what the other holds is passed over, not waited for").isEmpty();
            assertThat(ids(second, "SELECT id FROM deadline FOR UPDATE SKIP LOCKED")).containsExactlyInAnyOrder(3L, 4L, 5L);
        }
    }

    @BothDatabases
    void sqlInANameIsStoredAsText(TestDatabase database) throws SQLException {
        String name = "'); DROP TABLE person; --";
        try (Connection connection = database.connect();
                PreparedStatement insert = connection.prepareStatement("INSERT INTO person (id, reference, name, version) VALUES (1, 'r', ?, 0)")) {
            insert.setString(1, name);
            insert.executeUpdate();
        }

        assertThat(database.ask("SELECT name FROM person")).isEqualTo(name);
    }

    private static void placeCabinet(TestDatabase database) throws SQLException {
        database.run("INSERT INTO site (id, name, address, zone, access, intake, version) VALUES (1, 'S', 'a', 'UTC', 'a', 'i', 0)");
        database.run("INSERT INTO cabinet (id, site_id, code, name, place, content, lamp_place, version) VALUES (1, 1, 'C', 'n', 'p', 'c', 'l', 0)");
    }

    private static String sensor(long id, String device) {
        return "INSERT INTO sensor (id, cabinet_id, device_id, base_name, secret_hash, version) VALUES (%d, 1, '%s', 'urn:%s:', 'h', 0)"
                .formatted(id, device, device);
    }

    private static List<Long> ids(Connection connection, String sql) throws SQLException {
        try (Statement statement = connection.createStatement(); ResultSet rows = statement.executeQuery(sql)) {
            List<Long> ids = new ArrayList<>();
            while (rows.next()) {
                ids.add(rows.getLong(1));
            }
            return ids;
        }
    }
}
