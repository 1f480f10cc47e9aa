package org.lampkeeper.bench;

import java.sql.Connection;
import java.sql.PreparedStatement;
import java.sql.SQLException;
import java.time.Duration;
import java.time.Instant;
import java.time.LocalDate;
import java.time.OffsetDateTime;
import java.time.ZoneOffset;
import java.util.ArrayList;
import java.util.List;

import org.lampkeeper.journal.SealedHistory;
import org.lampkeeper.testing.TestDatabase;

/**
 * Years behind the cabinets of {@link Fleet}, as the service would have left them: losses with all that is written about one, dips, looks once a week, a
 * comparison of the clock each hour of every day, days of temperatures, and quarters of an hour of one cabinet. Chained as the service does it.
 */
final class History {

    /** Of each cabinet, in a year: ours, more than a good supply has. */
    static final int LOSSES_A_YEAR = 8;
    static final int DIPS_A_YEAR = 10;
    static final int LOOKS_A_YEAR = 52;

    private static final int WRITTEN_TOGETHER = 5_000;
    private static final long DAY_S = 86_400;
    private static final int DAYS_A_YEAR = 365;
    /** What a fleet keeps by the defaults. */
    private static final int DAYS_OF_QUARTERS = 400;
    private static final int QUARTERS_A_DAY = 96;

    private final TestDatabase database;
    private final int cabinets;
    private final int days;
    private final Instant begin;
    private final Connection connection;
    private final Rows journal;
    private final Rows alarms;
    private final Rows callOuts;
    private final Rows messages;
    private final Rows attendance;
    private final Rows due;
    private final Rows looks;
    private long entry;
    private long alarm;
    private long message;
    private long look;

    private History(TestDatabase database, int cabinets, int years, Instant now, Connection connection) throws SQLException {
        this.database = database;
        this.cabinets = cabinets;
        this.days = years * DAYS_A_YEAR;
        this.begin = now.minus(Duration.ofDays(days));
        this.connection = connection;
        this.journal = new Rows("journal_entry (id, at, kind, site_id, cabinet_id, alarm_id, body)", 7);
        this.callOuts = new Rows("call_out (id, site_id, opened_at, told, ended_at, version, phase)", 7);
        this.alarms = new Rows("alarm (id, kind, site_id, cabinet_id, state, live, since, raised_at, acknowledged_by, acknowledged_at, returned_at, closed_at, call_out_id, version, attended_at)", 15);
        this.messages = new Rows("outgoing_message (id, message_key, purpose, call_out_id, alarm_id, person_id, channel, address, subject, body, created_at, state, attempts, ended_at, telling)", 15);
        this.attendance = new Rows("attendance_entry (id, alarm_id, number, written_at, written_by, complete, arrived_at, cause, done, retester_competent, content, people_told, fit)", 13);
        this.due = new Rows("check_due (id, plan_id, site_id, cabinet_id, kind, on_day, opens_at, closes_at, missed_at, by_somebody_else, opened_at, state, version)", 13);
        this.looks = new Rows("check_record (id, due_id, site_id, cabinet_id, person_id, answer, looked_at, received_at, is_counted, reading)", 10);
    }

    /** Of {@code cabinets} at one site, person 1 does everything; leaves the database closed. Returns how many entries the journal has. */
    static long seed(TestDatabase database, int cabinets, int years, Instant now) throws SQLException {
        try (Connection connection = database.connect()) {
            connection.setAutoCommit(false);
            History history = new History(database, cabinets, years, now, connection);
            history.plans();
            history.write();
            connection.commit();
        }
        long entries = SealedHistory.seal(database);
        database.run(database.isPostgresql() ? "VACUUM ANALYZE" : "ANALYZE");
        database.close();
        return entries;
    }

    /** Rows of one table, written many at a time. */
    private final class Rows {
        private final PreparedStatement insert;
        private int waiting;

        private Rows(String columns, int count) throws SQLException {
            String table = columns.substring(0, columns.indexOf(' '));
            insert = connection.prepareStatement("INSERT INTO " + table + columns.substring(columns.indexOf(' ')) + " VALUES (" + "?, ".repeat(count - 1) + "?)");
        }

        private void add(Object... values) throws SQLException {
            for (int i = 0; i < values.length; i++) {
                insert.setObject(i + 1, values[i] instanceof Instant at ? OffsetDateTime.ofInstant(at, ZoneOffset.UTC) : values[i]);
            }
            insert.addBatch();
            waiting++;
        }

        private void send() throws SQLException {
            if (waiting > 0) {
                insert.executeBatch();
                waiting = 0;
            }
        }
    }

    private void plans() throws SQLException {
        String longAgo = Fleet.time(begin);
        database.run("INSERT INTO check_plan (id, site_id, cabinet_id, kind, rule, first_day, opens_minute, closes_minute, grace_minutes, when_closed, asked_role,"
                + " sensor_counts, planned_until, changed_at, version) SELECT n, 1, n, 'LAMP', 'FREQ=WEEKLY', DATE '2000-01-01', 540, 660, 30, 'SKIP', 'SITE_DUTY', FALSE,"
                + " DATE '2999-01-01', " + longAgo + ", 0 FROM " + Fleet.numbers(database, cabinets));
        database.run("INSERT INTO sensor_day (sensor_id, on_day, inside_min_c, inside_mean_c, inside_max_c, outside_min_c, outside_mean_c, outside_max_c,"
                + " quarters, quarters_lost, heater_known, heater_on, door_known, door_open)"
                + " SELECT c.n, " + begin.getEpochSecond() / DAY_S + " + d.n, 5, 7 + MOD(c.n + d.n, 20) / 10.0, 9, -5 + MOD(d.n, 20), MOD(d.n, 20), 5 + MOD(d.n, 20), 96, 0, 96, 32, 96, 0 FROM "
                + series(cabinets, "c") + ", " + series(days - 1, "d"));
        int quarters = Math.min(days, DAYS_OF_QUARTERS) * QUARTERS_A_DAY;
        Instant end = begin.plus(Duration.ofDays(days));
        long last = end.getEpochSecond() / 900;
        database.run("INSERT INTO sensor_quarter (sensor_id, quarter, observed_at, reading, inside_c, outside_c, battery_percent, heater_on, door_open) SELECT 1, "
                + (last - quarters) + " + q.n, " + Fleet.time(Instant.ofEpochSecond((last - quarters) * 900)) + " + q.n * INTERVAL '15' MINUTE, 'HEALTHY', 7 + MOD(q.n, 30) / 10.0,"
                + " MOD(q.n, 200) / 10.0 - 5, 87, MOD(q.n, 3) = 0, FALSE FROM " + series(quarters, "q"));
    }

    private String series(int many, String name) {
        return database.isPostgresql() ? "generate_series(1, " + many + ") AS " + name + " (n)" : "(SELECT \"X\" AS n FROM SYSTEM_RANGE(1, " + many + ")) AS " + name;
    }

    /** Day by day, so that ids stand in the order of time. */
    private void write() throws SQLException {
        for (int cabinet = 1; cabinet <= cabinets; cabinet++) {
            entry(begin, "first-report-heard", cabinet, null, "{\"at\":\"" + begin + "\"}");
        }
        for (int day = 0; day < days; day++) {
            Instant midnight = begin.plus(Duration.ofDays(day));
            for (int hour = 0; hour < 24; hour++) {
                Instant at = midnight.plus(Duration.ofHours(hour));
                journal.add(++entry, at, "clock-compared", null, null, null, "{\"server\":\"ntp.example\",\"instance\":\"bench\",\"offset-ms\":2,\"delay-ms\":10}");
            }
            for (int cabinet = 1; cabinet <= cabinets; cabinet++) {
                if (isDay(day, cabinet, LOSSES_A_YEAR)) {
                    loss(cabinet, midnight.plusSeconds(Math.floorMod(cabinet * 7_919L, DAY_S / 2)));
                }
                if (isDay(day, cabinet + 3, DIPS_A_YEAR)) {
                    Instant at = midnight.plusSeconds(DAY_S * 3 / 4 + cabinet % 3_600);
                    entry(at.plusSeconds(8), "dip-ended", cabinet, null, "{\"from\":\"" + at + "\",\"to\":\"" + at.plusSeconds(8) + "\"}");
                }
                if (isDay(day, cabinet, LOOKS_A_YEAR)) {
                    look(cabinet, midnight);
                }
            }
            send(WRITTEN_TOGETHER);
        }
        send(0);
        for (String table : List.of("journal_entry", "alarm", "call_out", "outgoing_message", "attendance_entry", "check_due", "check_record")) {
            connection.commit();
            restart(table);
        }
    }

    /** What the service writes next is behind what stands here. */
    private void restart(String table) throws SQLException {
        long next = ((Number) database.ask("SELECT COALESCE(MAX(id), 0) + 1 FROM " + table)).longValue();
        database.run("ALTER SEQUENCE " + table + "_seq RESTART WITH " + next);
    }

    private void send(int atLeast) throws SQLException {
        if (journal.waiting >= atLeast || looks.waiting >= atLeast) {
            for (Rows each : List.of(callOuts, alarms, messages, attendance, due, looks, journal)) {
                each.send();
            }
        }
    }

    private static boolean isDay(int day, int cabinet, int aYear) {
        int every = DAYS_A_YEAR / aYear;
        return day % every == cabinet % every;
    }

    private void loss(int cabinet, Instant since) throws SQLException {
        alarm++;
        Instant told = since.plusSeconds(22);
        Instant taken = since.plusSeconds(300);
        Instant there = since.plusSeconds(1_800);
        Instant back = since.plusSeconds(3_600L + cabinet % 600);
        Instant done = back.plusSeconds(900);
        callOuts.add(alarm, 1L, told, 1, back, 0L, "ENDED");
        alarms.add(alarm, "SUPPLY_LOST", 1L, (long) cabinet, "NORMAL", false, since, since.plusSeconds(20), 1L, taken, back, back, alarm, 0L, done);
        List<Long> written = new ArrayList<>();
        for (int copy = 0; copy < 2; copy++) {
            messages.add(++message, String.format("%064x", message), "ALARM", alarm, alarm, 1L, "MAIL", "duty@hallow-water.example", "No supply", "No supply at the stair.", told, "SENT", 1,
                    told.plusSeconds(1), message);
            written.add(message);
        }
        attendance.add(alarm, alarm, 1, done, 1L, true, there, "switched-off", "switched on", false, "INSPECTED", true, "YES");
        String of = "{\"alarm-kind\":\"SUPPLY_LOST\",\"live\":true,\"state\":\"UNACKNOWLEDGED\"";
        entry(since, "loss-suspected", cabinet, null, "{\"since\":\"" + since + "\"}");
        entry(since.plusSeconds(20), "loss-confirmed", cabinet, null, "{\"since\":\"" + since + "\"}");
        entry(since.plusSeconds(20), "alarm-raised", cabinet, alarm, of + ",\"past-limit-early\":\"" + since.plusSeconds(5_400) + "\",\"since\":\"" + since + "\"}");
        entry(since.plusSeconds(20), "call-out-opened", cabinet, alarm, of + ",\"call-out\":" + alarm + "}");
        for (long key : written) {
            // The head that a mail carries is one that stands there already.
            entry(told.plusSeconds(1), "message-sent", cabinet, alarm, "{\"attempt\":1,\"callOut\":" + alarm + ",\"journal-number\":" + (entry - 1) + ",\"message\":\"" + String.format("%064x", key)
                    + "\",\"purpose\":\"ALARM\",\"transport\":\"SMTP\"}");
        }
        entry(taken, "alarm-acknowledged", cabinet, alarm, of + ",\"person\":\"bench\"}");
        entry(back, "supply-returned", cabinet, null, "{\"at\":\"" + back + "\",\"lost-since\":\"" + since + "\"}");
        entry(back, "alarm-returned", cabinet, alarm, of + ",\"at\":\"" + back + "\"}");
        entry(done, "attendance-completed", cabinet, alarm, of + ",\"arrived\":\"" + there + "\",\"complete\":true,\"fit\":\"YES\",\"number\":1,\"visit\":1}");
    }

    private void look(int cabinet, Instant midnight) throws SQLException {
        look++;
        Instant opens = midnight.plus(Duration.ofHours(9));
        Instant looked = opens.plusSeconds(600L + cabinet % 3_600);
        due.add(look, (long) cabinet, 1L, (long) cabinet, "LAMP", LocalDate.ofInstant(midnight, ZoneOffset.UTC), opens, opens.plusSeconds(7_200), opens.plusSeconds(9_000), false, opens,
                "DONE", 1L);
        looks.add(look, look, 1L, (long) cabinet, 1L, "LIT", looked, looked, true, "HEALTHY");
        entry(looked, "check-recorded", cabinet, null, "{\"answer\":\"LIT\",\"counted\":true,\"look\":" + look + ",\"looked-at\":\"" + looked + "\",\"looks-at\":\"LAMP\",\"person\":\"bench\"}");
    }

    private void entry(Instant at, String kind, long cabinet, Long ofAlarm, String body) throws SQLException {
        journal.add(++entry, at, kind, 1L, cabinet, ofAlarm, body);
    }
}
