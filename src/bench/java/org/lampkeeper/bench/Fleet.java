package org.lampkeeper.bench;

import java.nio.charset.StandardCharsets;
import java.sql.SQLException;
import java.time.Instant;
import java.time.ZoneOffset;
import java.time.format.DateTimeFormatter;
import java.util.Locale;

import org.lampkeeper.testing.TestDatabase;

/**
 * Sensors numbered from 1, five a site on one board if nothing else is asked for, all healthy and settled; one person hears of every alarm. Written by set-based
 * statements: the register would take minutes for so many.
 */
final class Fleet {

    static final int PER_SITE = 5;
    /** Their promise; long, so that no run lasts until a sensor is overdue. */
    private static final int PROMISE_SECONDS = 3_600;
    private static final DateTimeFormatter SQL_TIME = DateTimeFormatter.ofPattern("yyyy-MM-dd HH:mm:ssXXX", Locale.ROOT)
            .withZone(ZoneOffset.UTC);

    private Fleet() {
    }

    /** Migrates {@code database}, which must be empty, and registers {@code sensors}; leaves it closed. */
    static void seed(TestDatabase database, int sensors, Instant now) throws SQLException {
        seed(database, sensors, PER_SITE, PER_SITE, now);
    }

    /** The same with so many at each site, on boards of {@code perBoard}, of which {@code perSite} is a multiple. */
    static void seed(TestDatabase database, int sensors, int perSite, int perBoard, Instant now) throws SQLException {
        database.migrate();
        String each = numbers(database, sensors);
        String site = numbers(database, (sensors + perSite - 1) / perSite);
        String board = numbers(database, (sensors + perBoard - 1) / perBoard);
        String siteOf = "(n - 1) / " + perSite + " + 1";
        String number = "LPAD(CAST(n AS VARCHAR(8)), 7, '0')";
        database.run("INSERT INTO person (id, reference, salt, name, mail, version)"
                + " VALUES (1, 'bench', 'bench', 'Duty manager', 'duty@hallow-water.example', 0)");
        database.run("INSERT INTO person_channel (id, person_id, kind, address, place, follows_sign_in, added_at, proven_at, version)"
                + " VALUES (1, 1, 'MAIL', 'duty@hallow-water.example', 1, TRUE, " + time(now) + ", " + time(now) + ", 0)");
        database.run("INSERT INTO call_out_list (id, site_id, repeat_after_seconds, version) VALUES (1, NULL, 86400, 0)");
        database.run("INSERT INTO call_out_step (list_id, position, person_id, after_seconds) VALUES (1, 0, 1, 0)");
        database.run("INSERT INTO site (id, name, address, zone, access, intake, version)"
                + " SELECT n, 'Quay ' || n, 'Hallow Water', 'Europe/London', 'gate', 'intake room', 0 FROM " + site);
        database.run("INSERT INTO site_watch (site_id, version) SELECT n, 0 FROM " + site);
        database.run("INSERT INTO board (id, site_id, name, place, access, version)"
                + " SELECT n, (n - 1) / " + perSite / perBoard + " + 1, 'Board ' || n, 'landing hall', 'key 4', 0 FROM " + board);
        database.run("INSERT INTO cabinet (id, site_id, code, name, place, content, lamp_place, version) SELECT n, " + siteOf
                + ", 'K' || " + number + ", 'K' || " + number + ", 'at the stair', 'defibrillator', 'on its roof', 0 FROM " + each);
        database.run("INSERT INTO circuit (id, cabinet_id, board_id, way, device_kind, device_curve, device_rating_a, residual_ma, cable,"
                + " fuse_a, fused_unit_place, version) SELECT n, n, (n - 1) / " + perBoard
                + " + 1, 'W' || n, 'RCBO', 'C', 16, 30, '2.5 mm2', 3, 'behind it', 0 FROM " + each);
        database.run("INSERT INTO sensor (id, cabinet_id, device_id, base_name, secret_hash, version) SELECT n, n, 'b' || " + number
                + ", 'urn:dev:ops:b' || " + number + " || ':', '-', 0 FROM " + each);
        String observed = time(now.minusSeconds(60));
        String limit = time(now.plusSeconds(PROMISE_SECONDS));
        database.run("INSERT INTO sensor_status (sensor_id, site_id, cabinet_id, reading, settled, observed_at, seq, received_at,"
                + " silent_after, silence_due, silent, link_down, clock_odd, dips, version) SELECT n, " + siteOf
                + ", n, 'HEALTHY', TRUE, " + observed + ", 0, " + observed + ", " + limit + ", " + limit
                + ", FALSE, FALSE, FALSE, 0, 0 FROM " + each);
        database.run(database.isPostgresql() ? "VACUUM ANALYZE" : "ANALYZE");
        database.close();
    }

    static String deviceId(int sensor) {
        return "b" + padded(sensor);
    }

    static String cabinet(int sensor) {
        return "K" + padded(sensor);
    }

    /** A whole report, as docs/report-format.md shows it. */
    static byte[] report(int sensor, boolean supplied, long seq, long epochMilli) {
        String text = "[{\"bn\":\"urn:dev:ops:b" + padded(sensor) + ":\",\"bt\":" + epochMilli / 1_000 + '.'
                + Long.toString(1_000 + epochMilli % 1_000).substring(1) + ",\"n\":\"supply\",\"vb\":" + supplied + ",\"ut\":"
                + PROMISE_SECONDS + "},{\"n\":\"inside\",\"u\":\"Cel\",\"v\":9." + seq % 10
                + "},{\"n\":\"outside\",\"u\":\"Cel\",\"v\":2.1},{\"n\":\"battery\",\"u\":\"%EL\",\"v\":87},{\"n\":\"heater\",\"vb\":true},"
                + "{\"n\":\"door\",\"vb\":false},{\"n\":\"seq\",\"v\":" + seq + "}]";
        return text.getBytes(StandardCharsets.US_ASCII);
    }

    /** A table of the numbers from 1 to {@code last}, in column {@code n}. */
    static String numbers(TestDatabase database, int last) {
        return database.isPostgresql() ? "(SELECT s.n FROM generate_series(1, " + last + ") AS s (n)) AS g"
                : "(SELECT \"X\" AS n FROM SYSTEM_RANGE(1, " + last + ")) AS g";
    }

    static String time(Instant time) {
        return "CAST('" + SQL_TIME.format(time) + "' AS TIMESTAMP(6) WITH TIME ZONE)";
    }

    private static String padded(int sensor) {
        return Integer.toString(10_000_000 + sensor).substring(1);
    }
}
