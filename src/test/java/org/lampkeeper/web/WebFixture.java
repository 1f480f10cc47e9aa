package org.lampkeeper.web;

import java.sql.Connection;
import java.sql.PreparedStatement;
import java.sql.ResultSet;
import java.sql.SQLException;
import java.time.Duration;
import java.time.Instant;
import java.time.ZoneOffset;

import javax.sql.DataSource;

import jakarta.inject.Singleton;

/** Puts the demo's twelve cabinets into a situation, straight into the database. Ids of its own stay clear of the sequences. */
@Singleton
class WebFixture {

    static final Instant NOW = Instant.parse("2026-11-25T02:45:00Z");
    static final long ALARM = 900_101;
    static final long SILENCE_ALARM = 900_102;
    private static final long CALL_OUT = 900_001;

    private final DataSource database;

    WebFixture(DataSource database) {
        this.database = database;
    }

    /** Everything is lit and was heard 40 s ago, nothing is wrong and nothing was ever told. */
    void allLit() {
        run("DELETE FROM outgoing_message");
        run("DELETE FROM attendance_entry");
        run("DELETE FROM alarm");
        run("DELETE FROM call_out");
        run("""
                UPDATE sensor_status SET reading = 'HEALTHY', settled = TRUE, observed_at = ?, received_at = ?, silent_after = ?,
                    suspected_at = NULL, confirm_at = NULL, lost_since = NULL, quiet_since = NULL, silent = FALSE, link_down = FALSE,
                    inside_c = 9.4, outside_c = -2.1
                """, NOW.minusSeconds(40), NOW.minusSeconds(40), NOW.plus(Duration.ofDays(1)));
        run("UPDATE sensor_status SET inside_c = NULL WHERE cabinet_id IN (SELECT id FROM cabinet WHERE name LIKE '%telephone')");
        run("UPDATE listening SET listening_since = ?, last_listened_at = ?", NOW.minus(Duration.ofDays(1)), NOW.plus(Duration.ofDays(1)));
    }

    /** North Stair 2 is lost since 02:41, M. Teal was told and has not taken it, R. Osk is next; Cray Point 1 is silent and taken. */
    void oneLostAndOneSilent() {
        allLit();
        run("UPDATE sensor_status SET reading = 'LOST', lost_since = ?, inside_c = 8.9 WHERE cabinet_id = ?", NOW.minusSeconds(240),
                cabinet("North Stair 2"));
        run("""
                UPDATE sensor_status SET reading = 'UNKNOWN', settled = FALSE, silent = TRUE, quiet_since = ?, observed_at = ?, silent_after = ?
                 WHERE cabinet_id = ?
                """, NOW.minus(Duration.ofMinutes(47)), NOW.minus(Duration.ofMinutes(47)), NOW.minus(Duration.ofMinutes(32)),
                cabinet("Cray Point 1"));
        run("INSERT INTO call_out (id, site_id, opened_at, told, next_at, version) VALUES (?, ?, ?, 1, ?, 1)", CALL_OUT, site("North Stair"),
                NOW.minusSeconds(220), NOW.plusSeconds(360));
        run("""
                INSERT INTO alarm (id, kind, site_id, cabinet_id, state, live, since, raised_at, call_out_id, version)
                VALUES (?, 'SUPPLY_LOST', ?, ?, 'UNACKNOWLEDGED', TRUE, ?, ?, ?, 1)
                """, ALARM, site("North Stair"), cabinet("North Stair 2"), NOW.minusSeconds(240), NOW.minusSeconds(220), CALL_OUT);
        run("""
                INSERT INTO alarm (id, kind, site_id, cabinet_id, state, live, since, raised_at, acknowledged_by, acknowledged_at, version)
                VALUES (?, 'NOT_HEARD', ?, ?, 'ACKNOWLEDGED', TRUE, ?, ?, ?, ?, 1)
                """, SILENCE_ALARM, site("Cray Point"), cabinet("Cray Point 1"), NOW.minus(Duration.ofMinutes(47)),
                NOW.minus(Duration.ofMinutes(30)), person("R. Osk"), NOW.minus(Duration.ofMinutes(22)));
        message(900_201, "M. Teal", "SENT", 1, "North Stair 2 has no supply since 02:41 (20 s).",
                "Take it: http://localhost:8080/a/secret-token\n");
    }

    void message(long id, String name, String state, int attempts, String subject, String body) {
        boolean isOver = !state.equals("WAITING");
        run("""
                INSERT INTO outgoing_message (id, message_key, purpose, call_out_id, alarm_id, person_id, channel, address, subject, body,
                    created_at, state, attempts, next_attempt_at, ended_at, last_error)
                VALUES (?, ?, 'ALARM', ?, ?, ?, 'MAIL', 'someone@hallow.example', ?, ?, ?, ?, ?, ?, ?, ?)
                """, id, "key-" + id, CALL_OUT, ALARM, person(name), subject, body, NOW.minusSeconds(219), state, attempts,
                isOver ? null : NOW.plus(Duration.ofDays(1)), isOver ? NOW.minusSeconds(218) : null,
                state.equals("SENT") ? null : "the mail server refused it");
    }

    long cabinet(String name) {
        return number("SELECT id FROM cabinet WHERE name = ?", name);
    }

    long site(String name) {
        return number("SELECT id FROM site WHERE name = ?", name);
    }

    long person(String name) {
        return number("SELECT id FROM person WHERE name = ?", name);
    }

    long number(String sql, Object... parameters) {
        try (Connection connection = database.getConnection(); PreparedStatement statement = bound(connection, sql, parameters);
                ResultSet result = statement.executeQuery()) {
            result.next();
            return result.getLong(1);
        } catch (SQLException e) {
            throw new IllegalStateException(sql, e);
        }
    }

    void run(String sql, Object... parameters) {
        try (Connection connection = database.getConnection(); PreparedStatement statement = bound(connection, sql, parameters)) {
            statement.executeUpdate();
        } catch (SQLException e) {
            throw new IllegalStateException(sql, e);
        }
    }

    private static PreparedStatement bound(Connection connection, String sql, Object... parameters) throws SQLException {
        PreparedStatement statement = connection.prepareStatement(sql);
        for (int i = 0; i < parameters.length; i++) {
            statement.setObject(i + 1, parameters[i] instanceof Instant at ? at.atOffset(ZoneOffset.UTC) : parameters[i]);
        }
        return statement;
    }
}
