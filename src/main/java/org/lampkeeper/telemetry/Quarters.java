package org.lampkeeper.telemetry;

import java.sql.Connection;
import java.sql.PreparedStatement;
import java.sql.SQLException;
import java.time.Duration;
import java.time.Instant;
import java.util.Collection;
import java.util.List;
import java.util.function.Function;

import org.jspecify.annotations.Nullable;

/**
 * What was measured, a quarter of an hour at a time: one row a sensor and quarter that is over, with the newest of what was heard in it.
 * Any order of reports and any repeat of them comes to the same rows. Every method works in the transaction of the connection it is given,
 * which must hold the sensors' status rows. Beside the newest stand least and most of the quarter; each may be empty where the newest is it.
 */
public final class Quarters {

    public static final Duration LENGTH = Duration.ofMinutes(15);

    /**
     * The quarter that a status row stands in, before a newer report moves it on. The present one is never stored: its row is the status
     * itself. Uses the primary keys.
     */
    private static final String CLOSE = """
            INSERT INTO sensor_quarter (sensor_id, quarter, observed_at, reading, inside_c, outside_c, battery_percent, heater_on, door_open,
                                        inside_least_c, inside_most_c, outside_least_c, outside_most_c, content_c, content_least_c, content_most_c)
            SELECT s.sensor_id, CAST(FLOOR(EXTRACT(EPOCH FROM s.observed_at) / 900) AS BIGINT), s.observed_at, s.reading, s.inside_c,
                   s.outside_c, s.battery_percent, s.heater_on, s.door_open, NULLIF(s.inside_least_c, s.inside_c), NULLIF(s.inside_most_c, s.inside_c),
                   NULLIF(s.outside_least_c, s.outside_c), NULLIF(s.outside_most_c, s.outside_c), s.content_c,
                   NULLIF(s.content_least_c, s.content_c), NULLIF(s.content_most_c, s.content_c)
              FROM UNNEST(CAST(? AS BIGINT ARRAY), CAST(? AS BIGINT ARRAY)) AS v (sensor_id, quarter)
              JOIN sensor_status AS s ON s.sensor_id = v.sensor_id
             WHERE FLOOR(EXTRACT(EPOCH FROM s.observed_at) / 900) < v.quarter
               AND NOT EXISTS (SELECT 1 FROM sensor_quarter AS h
                                WHERE h.sensor_id = s.sensor_id AND h.quarter = FLOOR(EXTRACT(EPOCH FROM s.observed_at) / 900))""";

    private static final String ARRAYS = """
            UNNEST(CAST(? AS BIGINT ARRAY), CAST(? AS BIGINT ARRAY), CAST(? AS TIMESTAMP(6) WITH TIME ZONE ARRAY), CAST(? AS VARCHAR ARRAY),
                   CAST(? AS DOUBLE PRECISION ARRAY), CAST(? AS DOUBLE PRECISION ARRAY), CAST(? AS DOUBLE PRECISION ARRAY),
                   CAST(? AS BOOLEAN ARRAY), CAST(? AS BOOLEAN ARRAY), CAST(? AS DOUBLE PRECISION ARRAY), CAST(? AS DOUBLE PRECISION ARRAY),
                   CAST(? AS DOUBLE PRECISION ARRAY), CAST(? AS DOUBLE PRECISION ARRAY), CAST(? AS DOUBLE PRECISION ARRAY),
                   CAST(? AS DOUBLE PRECISION ARRAY), CAST(? AS DOUBLE PRECISION ARRAY))
                AS v (sensor_id, quarter, observed_at, reading, inside_c, outside_c, battery_percent, heater_on, door_open,
                      inside_least_c, inside_most_c, outside_least_c, outside_most_c, content_c, content_least_c, content_most_c)
            """;

    /** Before the newest is replaced: it may be the least or the most of the quarter. The same again changes nothing. */
    private static final String WIDEN = """
            UPDATE sensor_quarter AS h
               SET inside_least_c = COALESCE(LEAST(COALESCE(h.inside_least_c, h.inside_c), v.inside_least_c), h.inside_least_c, h.inside_c, v.inside_least_c),
                   inside_most_c = COALESCE(GREATEST(COALESCE(h.inside_most_c, h.inside_c), v.inside_most_c), h.inside_most_c, h.inside_c, v.inside_most_c),
                   outside_least_c = COALESCE(LEAST(COALESCE(h.outside_least_c, h.outside_c), v.outside_least_c), h.outside_least_c, h.outside_c, v.outside_least_c),
                   outside_most_c = COALESCE(GREATEST(COALESCE(h.outside_most_c, h.outside_c), v.outside_most_c), h.outside_most_c, h.outside_c, v.outside_most_c),
                   content_least_c = COALESCE(LEAST(COALESCE(h.content_least_c, h.content_c), v.content_least_c), h.content_least_c, h.content_c, v.content_least_c),
                   content_most_c = COALESCE(GREATEST(COALESCE(h.content_most_c, h.content_c), v.content_most_c), h.content_most_c, h.content_c, v.content_most_c)
              FROM """ + " " + ARRAYS + """
             WHERE h.sensor_id = v.sensor_id AND h.quarter = v.quarter""";

    /** The quarter that is not over stands in the status row. */
    private static final String WIDEN_STATUS = """
            UPDATE sensor_status AS s
               SET inside_least_c = COALESCE(LEAST(s.inside_least_c, v.inside_least_c), s.inside_least_c, v.inside_least_c),
                   inside_most_c = COALESCE(GREATEST(s.inside_most_c, v.inside_most_c), s.inside_most_c, v.inside_most_c),
                   outside_least_c = COALESCE(LEAST(s.outside_least_c, v.outside_least_c), s.outside_least_c, v.outside_least_c),
                   outside_most_c = COALESCE(GREATEST(s.outside_most_c, v.outside_most_c), s.outside_most_c, v.outside_most_c),
                   content_least_c = COALESCE(LEAST(s.content_least_c, v.content_least_c), s.content_least_c, v.content_least_c),
                   content_most_c = COALESCE(GREATEST(s.content_most_c, v.content_most_c), s.content_most_c, v.content_most_c)
              FROM """ + " " + ARRAYS + """
             WHERE s.sensor_id = v.sensor_id AND v.quarter = FLOOR(EXTRACT(EPOCH FROM s.observed_at) / 900)""";

    private static final String FORGET = """
            UPDATE sensor_status SET inside_least_c = NULL, inside_most_c = NULL, outside_least_c = NULL, outside_most_c = NULL,
                   content_least_c = NULL, content_most_c = NULL
             WHERE sensor_id = ANY (?)""";

    private static final String REPLACE_BY_NEWER = """
            UPDATE sensor_quarter AS h
               SET observed_at = v.observed_at, reading = v.reading, inside_c = COALESCE(v.inside_c, h.inside_c),
                   outside_c = COALESCE(v.outside_c, h.outside_c), battery_percent = COALESCE(v.battery_percent, h.battery_percent),
                   heater_on = COALESCE(v.heater_on, h.heater_on), door_open = COALESCE(v.door_open, h.door_open),
                   content_c = COALESCE(v.content_c, h.content_c)
              FROM """ + " " + ARRAYS + """
             WHERE h.sensor_id = v.sensor_id AND h.quarter = v.quarter AND h.observed_at < v.observed_at""";

    /** Only quarters before the one in which the status row stands now: that one is not over. */
    private static final String ADD_MISSING = """
            INSERT INTO sensor_quarter (sensor_id, quarter, observed_at, reading, inside_c, outside_c, battery_percent, heater_on, door_open,
                                        inside_least_c, inside_most_c, outside_least_c, outside_most_c, content_c, content_least_c, content_most_c)
            SELECT v.sensor_id, v.quarter, v.observed_at, v.reading, v.inside_c, v.outside_c, v.battery_percent, v.heater_on, v.door_open,
                   NULLIF(v.inside_least_c, v.inside_c), NULLIF(v.inside_most_c, v.inside_c), NULLIF(v.outside_least_c, v.outside_c),
                   NULLIF(v.outside_most_c, v.outside_c), v.content_c, NULLIF(v.content_least_c, v.content_c), NULLIF(v.content_most_c, v.content_c)
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

    /** What was heard of a sensor in one quarter: the newest, and between what it all lay. */
    public record Heard(long sensorId, Instant observedAt, boolean supplied, Readings readings, Extremes extremes) {

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

    /** The same where the status rows are then moved one by one: they begin their new quarter with nothing measured in it. */
    public static void closeAndBegin(Connection connection, List<Step> steps) throws SQLException {
        close(connection, steps);
        if (steps.isEmpty()) {
            return;
        }
        try (PreparedStatement statement = connection.prepareStatement(FORGET)) {
            new Columns<>(connection, statement, steps).bind("bigint", Long[]::new, Step::sensorId);
            statement.executeUpdate();
        }
    }

    /** What stands last in the arrays of both statements: least and most inside and outside, then all three of the content. */
    static <R> void bindExtremes(Columns<R> columns, Function<R, Extremes> of, Function<R, @Nullable Double> content) throws SQLException {
        columns.bind("double precision", Double[]::new, row -> of.apply(row).inside().least());
        columns.bind("double precision", Double[]::new, row -> of.apply(row).inside().most());
        columns.bind("double precision", Double[]::new, row -> of.apply(row).outside().least());
        columns.bind("double precision", Double[]::new, row -> of.apply(row).outside().most());
        columns.bind("double precision", Double[]::new, content);
        columns.bind("double precision", Double[]::new, row -> of.apply(row).content().least());
        columns.bind("double precision", Double[]::new, row -> of.apply(row).content().most());
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
        for (String sql : List.of(WIDEN, REPLACE_BY_NEWER, ADD_MISSING, WIDEN_STATUS)) {
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
                bindExtremes(columns, Heard::extremes, row -> Columns.orNull(row.readings().contentC()));
                statement.executeUpdate();
            }
        }
    }
}
