package org.lampkeeper.watch;

import java.sql.Connection;
import java.sql.SQLException;
import java.util.LinkedHashMap;
import java.util.Map;

import org.lampkeeper.bench.Database;
import org.lampkeeper.bench.Results;
import org.lampkeeper.testing.TestDatabase;

/** What a year of temperatures takes on disk, and how long a night's making of days does, on a sample of cabinets. */
public final class YearSpeed {

    private static final int QUARTERS_A_YEAR = 35_040;
    private static final int DAYS_A_YEAR = 365;

    /** 1 December 2025, in days since 1970. */
    private static final int FIRST_DAY = 20_423;

    private static final long FLEET = 100_000;

    private YearSpeed() {
    }

    /** The sample of it stays in the database that is handed back, as sensors 1 and on. */
    public static TestDatabase run(int cabinets, Results results, Database.Place place) throws Exception {
        TestDatabase database = place.empty("year");
        database.migrate();
        String quarters = series(database, QUARTERS_A_YEAR, "q");
        database.run("INSERT INTO sensor_quarter (sensor_id, quarter, observed_at, reading, inside_c, outside_c, content_c, battery_percent, heater_on, door_open)"
                + " SELECT s.n, " + FIRST_DAY * 96L + " + q.n - 1, CAST('2025-12-01 00:00:00+00:00' AS TIMESTAMP(6) WITH TIME ZONE) + q.n * INTERVAL '15' MINUTE,"
                + " 'HEALTHY', 8 + MOD(q.n * 37, 100) / 100.0, MOD(q.n * 53, 1500) / 100.0 - 5, 7 + MOD(q.n * 41, 100) / 100.0, 87, MOD(q.n, 3) = 0, FALSE FROM "
                + series(database, cabinets, "s") + ", " + quarters);
        double began = System.nanoTime();
        try (Connection connection = database.connect()) {
            DayRollUp.make(connection, 0, cabinets, FIRST_DAY, FIRST_DAY + DAYS_A_YEAR);
        }
        double millis = (System.nanoTime() - began) / 1e6;
        database.run(database.isPostgresql() ? "VACUUM ANALYZE" : "CHECKPOINT SYNC");
        Map<String, Object> figures = new LinkedHashMap<>();
        double ofQuarters = bytes(database, "sensor_quarter") / ((double) cabinets * QUARTERS_A_YEAR);
        double ofDays = bytes(database, "sensor_day") / ((double) cabinets * DAYS_A_YEAR);
        figures.put("cabinets", cabinets);
        figures.put("bytes_a_quarter", Results.rounded(ofQuarters));
        figures.put("bytes_a_day", Results.rounded(ofDays));
        figures.put("gib_of_quarters_100000_cabinets", Results.rounded(ofQuarters * QUARTERS_A_YEAR * FLEET / (1L << 30)));
        figures.put("gib_of_days_100000_cabinets", Results.rounded(ofDays * DAYS_A_YEAR * FLEET / (1L << 30)));
        figures.put("days_made_a_second", Results.rounded(cabinets * DAYS_A_YEAR / (millis / 1000)));
        results.keep("year", place.kind().title(), figures, "grows with time and cabinets only");
        return database;
    }

    private static String series(TestDatabase database, int many, String name) {
        return database.isPostgresql() ? "generate_series(1, " + many + ") AS " + name + " (n)"
                : "(SELECT \"X\" AS n FROM SYSTEM_RANGE(1, " + many + ")) AS " + name;
    }

    /** With its indexes. */
    private static double bytes(TestDatabase database, String table) throws SQLException {
        return ((Number) database.ask(database.isPostgresql() ? "SELECT pg_total_relation_size('" + table + "')"
                : "CALL DISK_SPACE_USED('" + table + "')")).doubleValue();
    }
}
