package org.lampkeeper.telemetry;

import java.sql.Connection;
import java.sql.PreparedStatement;
import java.sql.ResultSet;
import java.sql.SQLException;
import java.time.Instant;
import java.time.OffsetDateTime;
import java.util.ArrayList;
import java.util.HashMap;
import java.util.List;
import java.util.Map;

import org.jspecify.annotations.Nullable;

/**
 * The set-based path: many sensors that say again what they said before, in order and without doubt, move their rows in one statement.
 * A row that does not fit the rule is left untouched and handed back, for the path that locks and asks the core.
 */
public final class SteadyReports {

    /**
     * Touches no indexed column, so that PostgreSQL updates on the page (heap-only). A promise that ends before the next look at the
     * row is not steady: the look would come too late.
     */
    private static final String MOVE_STEADY_ROWS = """
            UPDATE sensor_status AS s
               SET observed_at = v.observed_at, seq = v.seq, received_at = v.received_at, silent_after = v.silent_after,
                   inside_c = COALESCE(v.inside_c, s.inside_c), outside_c = COALESCE(v.outside_c, s.outside_c),
                   inside_at = CASE WHEN v.inside_c IS NULL THEN s.inside_at ELSE v.observed_at END,
                   outside_at = CASE WHEN v.outside_c IS NULL THEN s.outside_at ELSE v.observed_at END,
                   content_c = COALESCE(v.content_c, s.content_c),
                   content_at = CASE WHEN v.content_c IS NULL THEN s.content_at ELSE v.observed_at END,
                   battery_percent = COALESCE(v.battery_percent, s.battery_percent),
                   heater_on = COALESCE(v.heater_on, s.heater_on), door_open = COALESCE(v.door_open, s.door_open),
                   inside_least_c = CASE WHEN v.quarter = FLOOR(EXTRACT(EPOCH FROM s.observed_at) / 900)
                        THEN COALESCE(LEAST(s.inside_least_c, v.inside_least_c), s.inside_least_c, v.inside_least_c) ELSE v.inside_least_c END,
                   inside_most_c = CASE WHEN v.quarter = FLOOR(EXTRACT(EPOCH FROM s.observed_at) / 900)
                        THEN COALESCE(GREATEST(s.inside_most_c, v.inside_most_c), s.inside_most_c, v.inside_most_c) ELSE v.inside_most_c END,
                   outside_least_c = CASE WHEN v.quarter = FLOOR(EXTRACT(EPOCH FROM s.observed_at) / 900)
                        THEN COALESCE(LEAST(s.outside_least_c, v.outside_least_c), s.outside_least_c, v.outside_least_c) ELSE v.outside_least_c END,
                   outside_most_c = CASE WHEN v.quarter = FLOOR(EXTRACT(EPOCH FROM s.observed_at) / 900)
                        THEN COALESCE(GREATEST(s.outside_most_c, v.outside_most_c), s.outside_most_c, v.outside_most_c) ELSE v.outside_most_c END,
                   content_least_c = CASE WHEN v.quarter = FLOOR(EXTRACT(EPOCH FROM s.observed_at) / 900)
                        THEN COALESCE(LEAST(s.content_least_c, v.content_least_c), s.content_least_c, v.content_least_c) ELSE v.content_least_c END,
                   content_most_c = CASE WHEN v.quarter = FLOOR(EXTRACT(EPOCH FROM s.observed_at) / 900)
                        THEN COALESCE(GREATEST(s.content_most_c, v.content_most_c), s.content_most_c, v.content_most_c) ELSE v.content_most_c END
              FROM UNNEST(CAST(? AS BIGINT ARRAY), CAST(? AS VARCHAR ARRAY), CAST(? AS TIMESTAMP(6) WITH TIME ZONE ARRAY),
                          CAST(? AS BIGINT ARRAY), CAST(? AS TIMESTAMP(6) WITH TIME ZONE ARRAY),
                          CAST(? AS TIMESTAMP(6) WITH TIME ZONE ARRAY), CAST(? AS DOUBLE PRECISION ARRAY),
                          CAST(? AS DOUBLE PRECISION ARRAY), CAST(? AS DOUBLE PRECISION ARRAY), CAST(? AS BOOLEAN ARRAY),
                          CAST(? AS BOOLEAN ARRAY), CAST(? AS BIGINT ARRAY), CAST(? AS DOUBLE PRECISION ARRAY),
                          CAST(? AS DOUBLE PRECISION ARRAY), CAST(? AS DOUBLE PRECISION ARRAY), CAST(? AS DOUBLE PRECISION ARRAY),
                          CAST(? AS DOUBLE PRECISION ARRAY), CAST(? AS DOUBLE PRECISION ARRAY), CAST(? AS DOUBLE PRECISION ARRAY))
                   AS v (sensor_id, reading, observed_at, seq, received_at, silent_after, inside_c, outside_c, battery_percent,
                         heater_on, door_open, quarter, inside_least_c, inside_most_c, outside_least_c, outside_most_c, content_c, content_least_c,
                         content_most_c)
             WHERE s.sensor_id = v.sensor_id AND s.settled AND s.reading = v.reading
               AND s.observed_at < v.observed_at AND s.silence_due <= v.silent_after""";

    /** In id order, as everywhere. Only where a quarter of an hour may end: then two instances must not both write it down. */
    private static final String LOCK = """
            SELECT s.sensor_id FROM UNNEST(CAST(? AS BIGINT ARRAY)) AS v (id) JOIN sensor_status AS s ON s.sensor_id = v.id
             ORDER BY s.sensor_id FOR UPDATE OF s""";

    private static final String ROWS_AS_THEY_ARE = """
            SELECT s.sensor_id, s.reading, s.observed_at
              FROM UNNEST(CAST(? AS BIGINT ARRAY)) AS v (id) JOIN sensor_status AS s ON s.sensor_id = v.id""";

    private SteadyReports() {
    }

    /**
     * What a run of equal reports of one sensor comes to: the newest, with the newest of each reading.
     *
     * @param silentAfter the newest promise plus the grace
     * @param extremes    of those that are in the same quarter of an hour as the newest
     */
    public record Row(long sensorId, boolean supplied, Instant observedAt, @Nullable Long seq, Instant receivedAt,
            Instant silentAfter, @Nullable Double insideC, @Nullable Double outsideC, @Nullable Double contentC,
            @Nullable Double batteryPercent,
            @Nullable Boolean heaterOn, @Nullable Boolean doorOpen, Extremes extremes) {

        private String reading() {
            return supplied ? "HEALTHY" : "LOST";
        }
    }

    /**
     * Moves the rows that are steady, at most one a sensor; returns those that are not, without repeats of what is already known.
     *
     * @param mayCross those of {@code rows} that may be the first of a new quarter of an hour: the old one is then written down. Where
     *                 there is none, nothing but the status rows is touched
     */
    public static List<Row> move(Connection connection, List<Row> rows, List<Row> mayCross) throws SQLException {
        if (rows.isEmpty()) {
            return List.of();
        }
        if (!mayCross.isEmpty()) {
            try (PreparedStatement statement = connection.prepareStatement(LOCK)) {
                new Columns<>(connection, statement, rows).bind("bigint", Long[]::new, Row::sensorId);
                statement.executeQuery().close();
            }
            Quarters.close(connection, mayCross.stream().map(row -> new Quarters.Step(row.sensorId(), row.observedAt())).toList());
        }
        int moved;
        try (PreparedStatement statement = connection.prepareStatement(MOVE_STEADY_ROWS)) {
            Columns<Row> columns = new Columns<>(connection, statement, rows);
            columns.bind("bigint", Long[]::new, Row::sensorId);
            columns.bind("varchar", String[]::new, Row::reading);
            columns.bindTimes(Row::observedAt);
            columns.bind("bigint", Long[]::new, Row::seq);
            columns.bindTimes(Row::receivedAt);
            columns.bindTimes(Row::silentAfter);
            columns.bind("double precision", Double[]::new, Row::insideC);
            columns.bind("double precision", Double[]::new, Row::outsideC);
            columns.bind("double precision", Double[]::new, Row::batteryPercent);
            columns.bind("boolean", Boolean[]::new, Row::heaterOn);
            columns.bind("boolean", Boolean[]::new, Row::doorOpen);
            columns.bind("bigint", Long[]::new, row -> Quarters.of(row.observedAt()));
            Quarters.bindExtremes(columns, Row::extremes, Row::contentC);
            moved = statement.executeUpdate();
        }
        return moved == rows.size() ? List.of() : notMoved(connection, rows);
    }

    private static List<Row> notMoved(Connection connection, List<Row> rows) throws SQLException {
        Map<Long, String> known = new HashMap<>();
        try (PreparedStatement statement = connection.prepareStatement(ROWS_AS_THEY_ARE)) {
            new Columns<>(connection, statement, rows).bind("bigint", Long[]::new, Row::sensorId);
            try (ResultSet found = statement.executeQuery()) {
                while (found.next()) {
                    OffsetDateTime observed = found.getObject(3, OffsetDateTime.class);
                    if (observed != null) {
                        known.put(found.getLong(1), found.getString(2) + observed.toInstant());
                    }
                }
            }
        }
        List<Row> rest = new ArrayList<>();
        for (Row row : rows) {
            // Same reading at the same moment: moved just now, or delivered again. Nothing to do either way.
            if (!(row.reading() + row.observedAt()).equals(known.get(row.sensorId()))) {
                rest.add(row);
            }
        }
        return rest;
    }
}
