package org.lampkeeper.web;

import java.sql.Connection;
import java.sql.PreparedStatement;
import java.sql.ResultSet;
import java.sql.SQLException;
import java.time.Clock;
import java.time.Duration;
import java.time.Instant;
import java.time.LocalDate;
import java.time.LocalTime;
import java.time.ZoneOffset;
import java.time.temporal.ChronoUnit;
import java.util.HashMap;
import java.util.Map;
import java.util.regex.Matcher;
import java.util.regex.Pattern;

import javax.sql.DataSource;

import jakarta.inject.Singleton;

import org.jspecify.annotations.Nullable;

import org.lampkeeper.message.LinkTokens;
import org.lampkeeper.message.Proofs;
import org.lampkeeper.register.By;
import org.lampkeeper.register.HandoverField;
import org.lampkeeper.register.HandoverFixture;
import org.lampkeeper.register.Sha256;
import org.lampkeeper.telemetry.Quarters;

/** Puts the demo's twelve cabinets into a situation, straight into the database. Ids of its own stay clear of the sequences. */
@Singleton
class WebFixture {

    static final Instant NOW = Instant.parse("2026-11-25T02:45:00Z");
    static final long ALARM = 900_101;
    static final long SILENCE_ALARM = 900_102;
    /** Where supply is lost in {@link #oneLostAndOneSilent()}: the cabinet {@link #CABINET}. */
    static final String SITE = "North Stair";
    static final String CABINET = "North Stair 2";
    private static final long CALL_OUT = 900_001;

    private final DataSource database;
    private final Proofs proofs;
    private final Clock clock;

    WebFixture(DataSource database, Proofs proofs, Clock clock) {
        this.database = database;
        this.proofs = proofs;
        this.clock = clock;
    }

    /** Everything is lit and was heard 40 s ago, nothing is wrong and nothing was ever told. */
    void allLit() {
        run("DELETE FROM outgoing_message");
        run("DELETE FROM attendance_entry");
        run("DELETE FROM alarm");
        run("DELETE FROM call_out");
        run("DELETE FROM suppression WHERE kind = 'COMMISSIONING' AND reason = 'proof test of the hand-over'");
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

    /** What the journal has of the night, so that pages which tell of it have something to tell: as the watch writes it. */
    void aNight() {
        run("DELETE FROM journal_entry");
        aDayOf(cabinet(CABINET));
        Instant lost = NOW.minusSeconds(240);
        Instant quiet = NOW.minus(Duration.ofMinutes(47));
        String heard = "{\"alarm-kind\":\"NOT_HEARD\",\"person\":\"" + reference("R. Osk") + "\",\"since\":\"" + quiet + "\",\"last-report\":\"" + quiet
                + "\"}";
        String noSupply = "{\"alarm-kind\":\"SUPPLY_LOST\",\"person\":\"" + reference("M. Teal") + "\",\"since\":\"" + lost + "\"}";
        entry(1, NOW.minus(Duration.ofMinutes(32)), "sensor-went-silent", "Cray Point", "Cray Point 1", SILENCE_ALARM, heard);
        entry(2, NOW.minus(Duration.ofMinutes(30)), "alarm-raised", "Cray Point", "Cray Point 1", SILENCE_ALARM, heard);
        entry(3, NOW.minus(Duration.ofMinutes(30)), "call-out-opened", "Cray Point", "Cray Point 1", SILENCE_ALARM, heard);
        entry(4, NOW.minus(Duration.ofMinutes(29)), "message-sent", "Cray Point", "Cray Point 1", SILENCE_ALARM, heard);
        entry(5, NOW.minus(Duration.ofMinutes(22)), "alarm-acknowledged", "Cray Point", "Cray Point 1", SILENCE_ALARM, heard);
        entry(6, lost, "loss-suspected", SITE, CABINET, 0, noSupply);
        entry(7, lost.plusSeconds(20), "loss-confirmed", SITE, CABINET, 0, noSupply);
        entry(8, lost.plusSeconds(20), "alarm-raised", SITE, CABINET, ALARM, noSupply);
        entry(9, lost.plusSeconds(20), "call-out-opened", SITE, CABINET, ALARM, noSupply);
        entry(10, lost.plusSeconds(21), "message-sent", SITE, CABINET, ALARM, noSupply);
        run("UPDATE journal_head SET seal_number = 10, seal_hash = '3a7bd3e2360a3d29eea436fcfb7e44c735d117c42d1c1835420b6b9942dd4f1b'");
    }

    private void entry(long number, Instant at, String kind, String site, String cabinet, long alarm, String body) {
        run("INSERT INTO journal_entry (id, at, kind, site_id, cabinet_id, alarm_id, body, seal_number, seal_hash) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)",
                800_000 + number, at, kind, site(site), cabinet(cabinet), alarm == 0 ? null : alarm, body, number, "x");
    }

    private String reference(String person) {
        return text("SELECT reference FROM person WHERE name = ?", person);
    }

    String text(String sql, Object... parameters) {
        try (Connection connection = database.getConnection(); PreparedStatement statement = bound(connection, sql, parameters);
                ResultSet result = statement.executeQuery()) {
            result.next();
            return result.getString(1);
        } catch (SQLException e) {
            throw new IllegalStateException(sql, e);
        }
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

    /** By the name of a path's parameter: something at {@link #SITE} for each of them. After {@link #oneLostAndOneSilent()}. */
    Map<String, String> oneOfEach() {
        long site = site(SITE);
        long cabinet = cabinet(CABINET);
        run("DELETE FROM suppression WHERE id = 900900");
        run("INSERT INTO suppression (id, kind, site_id, starts_at, ends_at, reason) VALUES (900900, 'ANNOUNCED_WORK', ?, ?, ?, 'a test')", site, NOW,
                NOW.plusSeconds(60));
        run("DELETE FROM journal_entry WHERE id = 900900");
        run("INSERT INTO journal_entry (id, at, kind, site_id, body, seal_number, seal_hash) VALUES (900900, ?, 'tested', ?, '{}', 900900, 'x')", NOW,
                site);
        run("DELETE FROM duty_stand_in WHERE shift_id = 900900");
        run("DELETE FROM duty_shift WHERE id = 900900");
        run("INSERT INTO duty_shift (id, site_id, role, weekdays, from_minute, to_minute, every_weeks, valid_from, version)"
                + " VALUES (900900, ?, 'DUTY_MANAGER', 127, 1320, 360, 1, DATE '2026-11-01', 0)", site);
        aDueLook(900900, cabinet);
        Map<String, String> things = new HashMap<>(Map.of("site", "" + site, "cabinet", "" + cabinet, "board",
                "" + number("SELECT board_id FROM circuit WHERE cabinet_id = ?", cabinet), "circuit",
                "" + number("SELECT id FROM circuit WHERE cabinet_id = ?", cabinet), "sensor", "north-stair-2", "alarm", "" + ALARM, "message",
                "900201", "work", "900900", "person", "" + person("M. Teal"), "entry", "900900"));
        things.put("shift", "900900");
        things.put("plan", "900900");
        things.put("check", "900900");
        things.put("channel", "" + number("SELECT MIN(id) FROM person_channel WHERE person_id = ?", person("M. Teal")));
        run("DELETE FROM webhook_delivery WHERE id = 900900");
        run("DELETE FROM webhook_endpoint WHERE id = 900900");
        // A port that nobody listens at.
        run("INSERT INTO webhook_endpoint (id, site_id, name, url, is_on, secret, changed_at, version)"
                + " VALUES (900900, ?, 'harbour office', 'https://127.0.0.1:9/hook', TRUE, '1.00', ?, 0)", site, NOW);
        run("INSERT INTO webhook_delivery (id, message_key, endpoint_id, event, alarm_id, body, created_at, wanted_at, state, attempts, tried_at, status, took_ms,"
                + " last_error, ended_at) VALUES (900900, 'msg_900900', 900900, 'alarm.raised', ?, '{\"type\":\"alarm.raised\"}', ?, ?, 'UNDELIVERED', 12, ?, 503,"
                + " 38, 'answered 503', ?)", ALARM, NOW, NOW, NOW, NOW);
        things.put("webhook", "900900");
        run("DELETE FROM proof_test WHERE handover_id = 900900");
        run("DELETE FROM handover_value WHERE handover_id = 900900");
        run("DELETE FROM handover WHERE id = 900900");
        run("INSERT INTO handover (id, cabinet_id, number, opened_at, revision) VALUES (900900, ?, 900, ?, 3)", cabinet, NOW.minus(Duration.ofDays(1)));
        run("INSERT INTO handover_value (handover_id, revision, field, typed, beside, saved_at) VALUES (900900, 1, 'ze', '0.35', FALSE, ?)", NOW);
        run("INSERT INTO handover_value (handover_id, revision, field, typed, beside, saved_at) VALUES (900900, 2, 'length', '30 ft', FALSE, ?)", NOW);
        run("INSERT INTO handover_value (handover_id, revision, field, typed, beside, saved_at) VALUES (900900, 3, 'ze', '0,40', TRUE, ?)", NOW);
        things.put("handover", "900900");
        things.put("delivery", "900900");
        return things;
    }

    /** Everything that a record asks for, as somebody typed it; its revision is 200. */
    void wholeRecord(long handover) {
        run("DELETE FROM handover_value WHERE handover_id = ?", handover);
        int revision = 100;
        for (Map.Entry<HandoverField, String> value : HandoverFixture.example().entrySet()) {
            run("INSERT INTO handover_value (handover_id, revision, field, typed, beside, saved_at) VALUES (?, ?, ?, ?, FALSE, ?)", handover, ++revision, value.getKey().key(),
                    value.getValue(), NOW);
        }
        run("UPDATE handover SET revision = 200 WHERE id = ?", handover);
    }

    /** The same, signed by both; the register says otherwise about place and cable. */
    void signedRecord(long handover) {
        wholeRecord(handover);
        run("UPDATE handover SET installer_signed_at = ?, installer_signed_by = 1, site_signed_at = ?, site_signed_by = 2, remark = 'No proof test: there is no sensor yet.',"
                + " document = '{}', fingerprint = ? WHERE id = ?", NOW.minusSeconds(600), NOW.minusSeconds(60), "5".repeat(64), handover);
    }

    /** A photo of the position, and another that somebody sent meanwhile. */
    void photosOf(long handover, byte[] one, byte[] other) {
        int revision = 200;
        for (byte[] picture : new byte[][] {one, other}) {
            String sha256 = Sha256.hex(picture);
            run("DELETE FROM handover_photo WHERE sha256 = ?", sha256);
            run("INSERT INTO handover_photo (cabinet_id, sha256, picture, received_at) SELECT cabinet_id, ?, ?, ? FROM handover WHERE id = ?", sha256, picture, NOW, handover);
            run("INSERT INTO handover_value (handover_id, revision, field, typed, beside, saved_at) VALUES (?, ?, 'positionPhoto', ?, ?, ?)", handover, ++revision, sha256,
                    revision > 201, NOW);
        }
        run("UPDATE handover SET revision = ? WHERE id = ?", revision, handover);
    }

    /** The link in the message of a proof test that runs. */
    String testLink(long handover, long person, LinkTokens tokens) {
        run("DELETE FROM proof_test WHERE id = 900900");
        run("INSERT INTO proof_test (id, handover_id, site_id, cabinet_id, work_id, started_by, started_at, ends_at, lost_at, heard_at, told_at, told_person, nobody)"
                + " SELECT 900900, h.id, c.site_id, c.id, 900900, ?, ?, ?, ?, ?, ?, ?, FALSE FROM handover h JOIN cabinet c ON c.id = h.cabinet_id WHERE h.id = ?", person,
                NOW.minusSeconds(60), NOW.plusSeconds(1740), NOW.minusSeconds(30), NOW.minusSeconds(30), NOW.minusSeconds(10), person, handover);
        return "/t/" + tokens.issueForTest(900900, person, NOW.plusSeconds(1740));
    }

    /** Every day from 9 to 12, asked of whoever is on as site duty. */
    void aPlanOfLooks(long id, long cabinet) {
        run("DELETE FROM check_record WHERE due_id IN (SELECT id FROM check_due WHERE plan_id = ?)", id);
        run("DELETE FROM check_asked WHERE due_id IN (SELECT id FROM check_due WHERE plan_id = ?)", id);
        run("DELETE FROM check_due WHERE plan_id = ?", id);
        run("DELETE FROM check_plan WHERE id = ?", id);
        run("INSERT INTO check_plan (id, site_id, cabinet_id, kind, rule, first_day, opens_minute, closes_minute, grace_minutes, when_closed, asked_role,"
                + " sensor_counts, asks_code, changed_at, version) SELECT ?, site_id, id, 'LAMP', 'FREQ=DAILY', DATE '2026-11-01', 540, 720, 30, 'SKIP', 'SITE_DUTY',"
                + " FALSE, TRUE, ?, 0 FROM cabinet WHERE id = ?", id, NOW, cabinet);
    }

    /** From the first of the month to yesterday: two were missed, one was tapped wrong, one could not be seen at first. */
    void aMonthOfLooks(long plan, long cabinet, long one, long other) {
        aPlanOfLooks(plan, cabinet);
        for (int day = 1; day < NOW.atZone(ZoneOffset.UTC).getDayOfMonth(); day++) {
            Instant opens = NOW.truncatedTo(ChronoUnit.DAYS).minus(Duration.ofDays(NOW.atZone(ZoneOffset.UTC).getDayOfMonth() - day)).plus(Duration.ofHours(9));
            boolean isMissed = day == 8 || day == 15;
            run("INSERT INTO check_due (id, plan_id, site_id, cabinet_id, kind, on_day, opens_at, closes_at, missed_at, by_somebody_else, opened_at, state,"
                    + " version) SELECT ?, id, site_id, cabinet_id, kind, ?, ?, ?, ?, FALSE, ?, ?, 1 FROM check_plan WHERE id = ?", plan + day,
                    LocalDate.ofInstant(opens, ZoneOffset.UTC), opens, opens.plus(Duration.ofHours(3)), opens.plus(Duration.ofMinutes(210)), opens,
                    isMissed ? "MISSED" : "DONE", plan);
            if (isMissed) {
                continue;
            }
            Instant seen = opens.plus(Duration.ofMinutes(7 + day * 11 % 60));
            if (day == 12) {
                said(plan + day, other, "OUT", seen.minusSeconds(20), null);
            } else if (day == 20) {
                said(plan + day, other, "NOT_SEEN", seen.minusSeconds(2400), "ice on the stair");
            }
            said(plan + day, day % 7 < 5 ? one : other, "LIT", seen, null);
        }
    }

    private void said(long due, long person, String answer, Instant at, @Nullable String note) {
        run("INSERT INTO check_record (id, due_id, site_id, cabinet_id, person_id, answer, looked_at, received_at, is_counted, corrects_id, note, reading)"
                + " SELECT nextval('check_record_seq'), d.id, d.site_id, d.cabinet_id, CAST(? AS BIGINT), ?, ?, ?, ?, (SELECT MAX(r.id) FROM check_record r"
                + " WHERE r.due_id = d.id AND r.person_id = ? AND r.answer <> 'NOT_SEEN'), ?, 'HEALTHY' FROM check_due d WHERE d.id = ?", person, answer, at, at,
                !answer.equals("NOT_SEEN"), person, note, due);
    }

    /** A look that has been open for an hour and is for two more. @return the path of its link for that person */
    String aLook(long id, long cabinet, long person, LinkTokens tokens) {
        aDueLook(id, cabinet);
        return "/c/" + tokens.issueForLook(id, person, NOW.plus(Duration.ofDays(1)));
    }

    private void aDueLook(long id, long cabinet) {
        aPlanOfLooks(id, cabinet);
        run("INSERT INTO check_due (id, plan_id, site_id, cabinet_id, kind, on_day, opens_at, closes_at, missed_at, by_somebody_else, opened_at, state, version)"
                + " SELECT id, id, site_id, cabinet_id, kind, DATE '2026-11-25', ?, ?, ?, FALSE, ?, 'OPEN', 1 FROM check_plan WHERE id = ?",
                NOW.minus(Duration.ofHours(1)), NOW.plus(Duration.ofHours(2)), NOW.plus(Duration.ofMinutes(150)), NOW.minus(Duration.ofHours(1)), id);
    }

    /** A mail channel for somebody of a test's own, who has none. */
    long channel(long person) {
        run("INSERT INTO person_channel (id, person_id, kind, address, place, follows_sign_in, added_at, version)"
                + " VALUES (nextval('person_channel_seq'), ?, 'MAIL', ?, 1, FALSE, ?, 0)", person, "p" + person + "@hallowwater.example", NOW);
        return number("SELECT id FROM person_channel WHERE person_id = ?", person);
    }

    /** The path in a proof that is sent to the first channel of this person, by day or as if its night had come. */
    String proofLink(long person, boolean isAtNight) {
        long channel = number("SELECT id FROM person_channel WHERE person_id = ? ORDER BY place LIMIT 1", person);
        By by = By.person(person, clock.instant());
        if (isAtNight) {
            proofs.tonight(person, channel, LocalTime.of(3, 0), ZoneOffset.UTC, by);
            proofs.due(number("SELECT MAX(id) FROM channel_proof WHERE channel_id = ?", channel), by.at());
        } else {
            proofs.now(person, channel, by);
        }
        return linkTo(person);
    }

    /** The path in the newest proof that was sent to this person. */
    String linkTo(long person) {
        Matcher link = Pattern.compile("/p/\\S+").matcher(text("SELECT body FROM outgoing_message WHERE person_id = ? AND purpose = 'PROOF'"
                + " ORDER BY id DESC LIMIT 1", person));
        if (!link.find()) {
            throw new IllegalStateException("no proof was sent to person " + person);
        }
        return link.group();
    }

    /** Temperatures of the last day at this cabinet, and a quarter of an hour in its middle of which nothing is known. */
    void aDayOf(long cabinet) {
        run("DELETE FROM sensor_quarter");
        for (int quarter = 1; quarter < 96; quarter++) {
            Instant at = NOW.minus(Duration.ofMinutes(15L * quarter));
            if (quarter < 40 || quarter > 44) {
                run("INSERT INTO sensor_quarter (sensor_id, quarter, observed_at, reading, inside_c, outside_c, content_c)"
                        + " SELECT id, ?, ?, 'HEALTHY', ?, ?, ? FROM sensor WHERE cabinet_id = ?", Quarters.of(at), at, 9.4 - Math.sin(quarter / 15.0),
                        -2.0 - quarter / 20.0, 9.1 - 0.8 * Math.sin((quarter - 4) / 15.0), cabinet);
            }
        }
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
