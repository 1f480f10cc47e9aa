package org.lampkeeper.watch;

import java.sql.Connection;
import java.sql.SQLException;
import java.time.Instant;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;

import org.lampkeeper.bench.Database;
import org.lampkeeper.bench.Results;
import org.lampkeeper.testing.TestDatabase;

/** What it costs to find and lock the overdue sensors of a small and of a large fleet, with as many overdue in both. */
public final class OverdueSpeed {

    private static final int OVERDUE = 50;
    private static final int TIMES = 400;
    private static final Instant NOW = Instant.parse("2026-11-02T12:00:00Z");
    private static final String INDEX = "sensor_status_by_silence_due";

    private OverdueSpeed() {
    }

    /** @param idleRows two fleets, the small one first */
    public static void run(List<Integer> idleRows, Results results, Database.Place place) throws Exception {
        TestDatabase few = seeded(place, idleRows.get(0));
        TestDatabase many = seeded(place, idleRows.get(1));
        List<Double> small = new ArrayList<>();
        List<Double> large = new ArrayList<>();
        try (Connection inFew = few.connect(); Connection inMany = many.connect()) {
            inFew.setAutoCommit(false);
            inMany.setAutoCommit(false);
            for (int i = 0; i < TIMES; i++) {
                small.add(micros(inFew));
                large.add(micros(inMany));
            }
            Map<String, Object> figures = new LinkedHashMap<>();
            figures.put("overdue", OVERDUE);
            figures.put("idle_rows", idleRows);
            // The first quarter warms the caches and the compiler.
            double one = Results.median(small.subList(TIMES / 4, TIMES));
            double other = Results.median(large.subList(TIMES / 4, TIMES));
            figures.put("ratio", Results.rounded(other / one));
            figures.put("few_us", Results.rounded(one));
            figures.put("many_us", Results.rounded(other));
            figures.put("by_index", plan(inMany).toLowerCase().contains(INDEX));
            results.keep("overdue", place.kind().title(), figures, "ratio at most 2, by index");
        }
        few.close();
        many.close();
    }

    private static double micros(Connection connection) throws SQLException {
        long began = System.nanoTime();
        int found = SensorStatuses.lockOverdue(connection, NOW).size();
        double micros = (System.nanoTime() - began) / 1e3;
        connection.rollback();
        if (found != OVERDUE) {
            throw new IllegalStateException(found + " sensors found overdue, " + OVERDUE + " are");
        }
        return micros;
    }

    private static String plan(Connection connection) throws SQLException {
        String query = SensorStatuses.LOCK_OVERDUE.replace("?", "CAST('2026-11-02 12:00:00+00:00' AS TIMESTAMP(6) WITH TIME ZONE)");
        StringBuilder plan = new StringBuilder();
        try (var statement = connection.createStatement(); var rows = statement.executeQuery("EXPLAIN " + query)) {
            while (rows.next()) {
                plan.append(rows.getString(1)).append('\n');
            }
        }
        connection.rollback();
        return plan.toString();
    }

    private static TestDatabase seeded(Database.Place place, int idle) throws SQLException {
        TestDatabase database = place.empty("idle_" + idle);
        database.migrate();
        // Nobody asks here which sensor it is; a million registered ones would only take long to write.
        database.run("ALTER TABLE sensor_status DROP CONSTRAINT sensor_status_has_a_sensor");
        String numbers = database.isPostgresql() ? "generate_series(1, " + (idle + OVERDUE) + ") AS g (n)"
                : "(SELECT \"X\" AS n FROM SYSTEM_RANGE(1, " + (idle + OVERDUE) + ")) AS g";
        // The overdue ones stand scattered among the others, as they would.
        String overdue = "MOD(n, " + ((idle + OVERDUE) / OVERDUE) + ") = 0 AND n <= " + (idle + OVERDUE) / OVERDUE * OVERDUE;
        String limit = "CASE WHEN " + overdue + " THEN CAST('2026-11-02 11:59:00+00:00' AS TIMESTAMP(6) WITH TIME ZONE)"
                + " ELSE CAST('2026-11-02 12:00:01+00:00' AS TIMESTAMP(6) WITH TIME ZONE) + MOD(n, 900) * INTERVAL '1' SECOND END";
        String observed = "CAST('2026-11-02 11:40:00+00:00' AS TIMESTAMP(6) WITH TIME ZONE)";
        database.run("INSERT INTO sensor_status (sensor_id, site_id, cabinet_id, reading, settled, observed_at, seq, received_at,"
                + " silent_after, silence_due, silent, link_down, clock_odd, dips, version) SELECT n, n / 5, n, 'HEALTHY', TRUE, " + observed
                + ", 1, " + observed + ", " + limit + ", " + limit + ", FALSE, FALSE, FALSE, 0, 0 FROM " + numbers);
        database.run(database.isPostgresql() ? "VACUUM ANALYZE" : "ANALYZE");
        return database;
    }
}
