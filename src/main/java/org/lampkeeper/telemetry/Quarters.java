package org.lampkeeper.telemetry;

import java.sql.Connection;
import java.sql.PreparedStatement;
import java.sql.SQLException;
import java.time.Duration;
import java.time.Instant;
import java.util.Collection;
import java.util.List;

/**
 * What was measured, a quarter of an hour at a time: one row a sensor and quarter that is over, with the newest of what was heard in it.
 * Any order of reports and any repeat of them comes to the same rows. Every method works in the transaction of the connection it is given,
 * which must hold the sensors' status rows.
 */
public final class Quarters {

    public static final Duration LENGTH = Duration.ofMinutes(15);

    /**
     * The quarter that a status row stands in, before a newer report moves it on. The present one is never stored: its row is the status
     * itself. Uses the primary keys.
     */
    private static final String CLOSE = """
            INSERT INTO sensor_quarter (sensor_id, quarter, observed_at, reading, inside_c, outside_c, battery_percent, heater_on, door_open)
            SELECT s.sensor_id, CAST(FLOOR(EXTRACT(EPOCH FROM s.observed_at) / 900) AS BIGINT), s.observed_at, s.reading, s.inside_c,
                   s.outside_c, s.battery_percent, s.heater_on, s.door_open
              FROM UNNEST(CAST(? AS BIGINT ARRAY), CAST(? AS BIGINT ARRAY)) AS v (sensor_id, quarter)
              JOIN sensor_status AS s ON s.sensor_id = v.sensor_id
             WHERE FLOOR(EXTRACT(EPOCH FROM s.observed_at) / 900) < v.quarter
               AND NOT EXISTS (SELECT 1 FROM sensor_quarter AS h
                                WHERE h.sensor_id = s.sensor_id AND h.quarter = FLOOR(EXTRACT(EPOCH FROM s.observed_at) / 900))""";

    private static final String ARRAYS = """
            UNNEST(CAST(? AS BIGINT ARRAY), CAST(? AS BIGINT ARRAY), CAST(? AS TIMESTAMP(6) WITH TIME ZONE ARRAY), CAST(? AS VARCHAR ARRAY),
                   CAST(? AS DOUBLE PRECISION ARRAY), CAST(? AS DOUBLE PRECISION ARRAY), CAST(? AS DOUBLE PRECISION ARRAY),
                   CAST(? AS BOOLEAN ARRAY), CAST(? AS BOOLEAN ARRAY))
                AS v (sensor_id, quarter, observed_at, reading, inside_c, outside_c, battery_percent, heater_on, door_open)
            """;

    private static final String REPLACE_BY_NEWER = """
            UPDATE sensor_quarter AS h
               SET observed_at = v.observed_at, reading = v.reading, inside_c = COALESCE(v.inside_c, h.inside_c),
                   outside_c = COALESCE(v.outside_c, h.outside_c), battery_percent = COALESCE(v.battery_percent, h.battery_percent),
                   heater_on = COALESCE(v.heater_on, h.heater_on), door_open = COALESCE(v.door_open, h.door_open)
              FROM """ + " " + ARRAYS + """
             WHERE h.sensor_id = v.sensor_id AND h.quarter = v.quarter AND h.observed_at < v.observed_at""";

    /** Only quarters before the one in which the status row stands now: that one is not over. */
    private static final String ADD_MISSING = """
            INSERT INTO sensor_quarter (sensor_id, quarter, observed_at, reading, inside_c, outside_c, battery_percent, heater_on, door_open)
            SELECT v.sensor_id, v.quarter, v.observed_at, v.reading, v.inside_c, v.outside_c, v.battery_percent, v.heater_on, v.door_open
              FROM """ + " " + ARRAYS + """
              JOIN sensor_status AS s ON s.sensor_id = v.sensor_id
             WHERE v.quarter < FLOOR(EXTRACT(EPOCH FROM s.observed_at) / 900)
               AND NOT EXISTS (SELECT 1 FROM sensor_quarter AS h WHERE h.sensor_id = v.sensor_id AND h.quarter = v.quarter)""";

    private Quarters() {
    }

    /** Where a sensor is about to stand. */
    public record Step(long sensorId, Instant observedAt) {

        private long quarter() {
            return of(observedAt);
        }
    }

    /** What was heard of a sensor at one moment. */
    public record Heard(long sensorId, Instant observedAt, boolean supplied, Readings readings) {

        private long quarter() {
            return of(observedAt);
        }
    }

    /** The number of the quarter in which a moment lies, counted from 1970 in UTC. */
    public static long of(Instant moment) {
        return Math.floorDiv(moment.getEpochSecond(), LENGTH.toSeconds());
    }

    /** When a quarter begins. */
    public static Instant beginning(long quarter) {
        return Instant.ofEpochSecond(Math.multiplyExact(quarter, LENGTH.toSeconds()));
    }

    /**
     * Writes down the quarters that are over once the sensors stand where {@code steps} say. To be called before their status rows move.
     *
     * @param steps at most one a sensor
     */
    public static void close(Connection connection, List<Step> steps) throws SQLException {
        if (steps.isEmpty()) {
            return;
        }
        try (PreparedStatement statement = connection.prepareStatement(CLOSE)) {
            Columns<Step> columns = new Columns<>(connection, statement, steps);
            columns.bind("bigint", Long[]::new, Step::sensorId);
            columns.bind("bigint", Long[]::new, Step::quarter);
            statement.executeUpdate();
        }
    }

    /**
     * Writes down what came late, or several quarters at once. To be called after the status rows have moved.
     *
     * @param heard at most one a sensor and quarter, the newest
     */
    public static void fill(Connection connection, Collection<Heard> heard) throws SQLException {
        if (heard.isEmpty()) {
            return;
        }
        List<Heard> rows = List.copyOf(heard);
        for (String sql : List.of(REPLACE_BY_NEWER, ADD_MISSING)) {
            try (PreparedStatement statement = connection.prepareStatement(sql)) {
                Columns<Heard> columns = new Columns<>(connection, statement, rows);
                columns.bind("bigint", Long[]::new, Heard::sensorId);
                columns.bind("bigint", Long[]::new, Heard::quarter);
                columns.bindTimes(Heard::observedAt);
                columns.bind("varchar", String[]::new, row -> row.supplied() ? "HEALTHY" : "LOST");
                columns.bind("double precision", Double[]::new, row -> Columns.orNull(row.readings().insideC()));
                columns.bind("double precision", Double[]::new, row -> Columns.orNull(row.readings().outsideC()));
                columns.bind("double precision", Double[]::new, row -> Columns.orNull(row.readings().batteryPercent()));
                columns.bind("boolean", Boolean[]::new, row -> row.readings().heaterOn().orElse(null));
                columns.bind("boolean", Boolean[]::new, row -> row.readings().doorOpen().orElse(null));
                statement.executeUpdate();
            }
        }
    }
}
