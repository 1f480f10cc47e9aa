package org.lampkeeper.watch;

import java.sql.Connection;
import java.sql.PreparedStatement;
import java.sql.ResultSet;
import java.sql.SQLException;
import java.sql.Types;
import java.time.Instant;
import java.time.OffsetDateTime;
import java.time.ZoneOffset;
import java.util.ArrayList;
import java.util.Collection;
import java.util.List;
import java.util.Optional;
import java.util.OptionalLong;

import org.lampkeeper.supply.Reading;
import org.lampkeeper.supply.SensorState;
import org.lampkeeper.telemetry.Readings;

/** The status rows, locked and moved one by one: the path for everything that is not steady. */
final class SensorStatuses {

    private static final String COLUMNS = """
            sensor_id, site_id, cabinet_id, reading, observed_at, seq, silent_after, suspected_at, confirm_at, lost_since, quiet_since,
            silent, link_down, clock_odd, dips, dips_since, version""";

    /**
     * In id order, as everywhere: two instances then never wait for each other in a circle. A join, because H2 takes time by the square
     * of the ids for the same as {@code IN}; H2 locks in the order of the array, PostgreSQL in that of {@code ORDER BY}.
     */
    private static final String LOCK = "SELECT " + COLUMNS + """
             FROM UNNEST(CAST(? AS BIGINT ARRAY)) AS v (id) JOIN sensor_status AS s ON s.sensor_id = v.id
            ORDER BY s.sensor_id FOR UPDATE OF s""";

    /**
     * Finds by the index sensor_status_by_silence_due: the cost follows the number overdue, not the fleet. Strictly before: a report at
     * its very limit is still in time. The speed command measures this statement.
     */
    static final String LOCK_OVERDUE = "SELECT " + COLUMNS + """
             FROM sensor_status
            WHERE sensor_id IN (SELECT sensor_id FROM sensor_status WHERE silence_due < ? ORDER BY silence_due LIMIT 100)
            ORDER BY sensor_id FOR UPDATE SKIP LOCKED""";

    private static final String PUT_OFF_THE_NEXT_LOOK = "UPDATE sensor_status SET silence_due = ? WHERE sensor_id = ?";

    private static final String STORE = """
            UPDATE sensor_status SET reading = ?, settled = ?, observed_at = ?, seq = ?, silent_after = ?, silence_due = ?,
                   suspected_at = ?, confirm_at = ?, lost_since = ?, quiet_since = ?, silent = ?, link_down = ?, clock_odd = ?, dips = ?,
                   dips_since = ?, version = version + 1
             WHERE sensor_id = ?""";

    private static final String STORE_READINGS = """
            UPDATE sensor_status SET received_at = ?, inside_c = COALESCE(?, inside_c), outside_c = COALESCE(?, outside_c),
                   inside_at = COALESCE(?, inside_at), outside_at = COALESCE(?, outside_at), battery_percent = COALESCE(?, battery_percent),
                   heater_on = COALESCE(?, heater_on), door_open = COALESCE(?, door_open),
                   content_c = COALESCE(?, content_c), content_at = COALESCE(?, content_at)
             WHERE sensor_id = ?""";

    /** One sensor and what is remembered of it. */
    record Status(long sensorId, long siteId, long cabinetId, SensorState state, long version) {
    }

    private SensorStatuses() {
    }

    static List<Status> lock(Connection connection, Collection<Long> sensorIds) throws SQLException {
        try (PreparedStatement statement = connection.prepareStatement(LOCK)) {
            statement.setArray(1, connection.createArrayOf("bigint", sensorIds.stream().sorted().distinct().toArray(Long[]::new)));
            return read(statement);
        }
    }

    /** Locks up to 100 rows whose next look is due and which no other instance looks at. */
    static List<Status> lockOverdue(Connection connection, Instant now) throws SQLException {
        try (PreparedStatement statement = connection.prepareStatement(LOCK_OVERDUE)) {
            statement.setObject(1, utc(now));
            return read(statement);
        }
    }

    static void putOff(Connection connection, Status status) throws SQLException {
        try (PreparedStatement statement = connection.prepareStatement(PUT_OFF_THE_NEXT_LOOK)) {
            set(statement, 1, status.state().silent() ? Optional.empty() : status.state().silentAfter());
            statement.setLong(2, status.sensorId());
            statement.executeUpdate();
        }
    }

    static void store(Connection connection, long sensorId, SensorState state) throws SQLException {
        try (PreparedStatement statement = connection.prepareStatement(STORE)) {
            statement.setString(1, state.reading().name());
            statement.setBoolean(2, state.isSettled());
            set(statement, 3, state.observedAt());
            if (state.seq().isPresent()) {
                statement.setLong(4, state.seq().getAsLong());
            } else {
                statement.setNull(4, Types.BIGINT);
            }
            set(statement, 5, state.silentAfter());
            set(statement, 6, state.silent() ? Optional.empty() : state.silentAfter());
            set(statement, 7, state.suspectedAt());
            set(statement, 8, state.confirmAt());
            set(statement, 9, state.lostSince());
            set(statement, 10, state.quietSince());
            statement.setBoolean(11, state.silent());
            statement.setBoolean(12, state.linkDown());
            statement.setBoolean(13, state.clockOdd());
            statement.setInt(14, state.dips());
            set(statement, 15, state.dipsSince());
            statement.setLong(16, sensorId);
            statement.executeUpdate();
        }
    }

    static void storeReadings(Connection connection, long sensorId, Readings readings, Instant observedAt, Instant receivedAt) throws SQLException {
        try (PreparedStatement statement = connection.prepareStatement(STORE_READINGS)) {
            statement.setObject(1, utc(receivedAt));
            statement.setObject(2, readings.insideC().isPresent() ? readings.insideC().getAsDouble() : null, Types.DOUBLE);
            statement.setObject(3, readings.outsideC().isPresent() ? readings.outsideC().getAsDouble() : null, Types.DOUBLE);
            set(statement, 4, readings.insideC().isPresent() ? Optional.of(observedAt) : Optional.empty());
            set(statement, 5, readings.outsideC().isPresent() ? Optional.of(observedAt) : Optional.empty());
            statement.setObject(6, readings.batteryPercent().isPresent() ? readings.batteryPercent().getAsDouble() : null, Types.DOUBLE);
            statement.setObject(7, readings.heaterOn().orElse(null), Types.BOOLEAN);
            statement.setObject(8, readings.doorOpen().orElse(null), Types.BOOLEAN);
            statement.setObject(9, readings.contentC().isPresent() ? readings.contentC().getAsDouble() : null, Types.DOUBLE);
            set(statement, 10, readings.contentC().isPresent() ? Optional.of(observedAt) : Optional.empty());
            statement.setLong(11, sensorId);
            statement.executeUpdate();
        }
    }

    private static List<Status> read(PreparedStatement statement) throws SQLException {
        List<Status> statuses = new ArrayList<>();
        try (ResultSet row = statement.executeQuery()) {
            while (row.next()) {
                long seq = row.getLong("seq");
                OptionalLong knownSeq = row.wasNull() ? OptionalLong.empty() : OptionalLong.of(seq);
                SensorState state = new SensorState(Reading.valueOf(row.getString("reading")), time(row, "observed_at"), knownSeq,
                        time(row, "silent_after"), time(row, "suspected_at"), time(row, "confirm_at"), time(row, "lost_since"),
                        time(row, "quiet_since"), row.getBoolean("silent"), row.getBoolean("link_down"), row.getBoolean("clock_odd"),
                        row.getInt("dips"), time(row, "dips_since"));
                statuses.add(new Status(row.getLong("sensor_id"), row.getLong("site_id"), row.getLong("cabinet_id"), state,
                        row.getLong("version")));
            }
        }
        return statuses;
    }

    private static Optional<Instant> time(ResultSet row, String column) throws SQLException {
        return Optional.ofNullable(row.getObject(column, OffsetDateTime.class)).map(OffsetDateTime::toInstant);
    }

    private static void set(PreparedStatement statement, int index, Optional<Instant> time) throws SQLException {
        if (time.isPresent()) {
            statement.setObject(index, utc(time.get()));
        } else {
            statement.setNull(index, Types.TIMESTAMP_WITH_TIMEZONE);
        }
    }

    private static OffsetDateTime utc(Instant time) {
        return OffsetDateTime.ofInstant(time, ZoneOffset.UTC);
    }
}
