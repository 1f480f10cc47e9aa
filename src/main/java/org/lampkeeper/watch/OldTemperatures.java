package org.lampkeeper.watch;

import java.sql.Connection;
import java.sql.PreparedStatement;
import java.sql.ResultSet;
import java.sql.SQLException;
import java.time.Instant;

import jakarta.enterprise.context.ApplicationScoped;

import org.lampkeeper.telemetry.Quarters;

/** The history of temperatures: what grows most, with time and sensors. */
@ApplicationScoped
class OldTemperatures implements Retained {

    /** By sensor_quarter_by_quarter: the last row of this batch, if there are as many. */
    private static final String END_OF_BATCH = """
            SELECT quarter, sensor_id FROM sensor_quarter WHERE quarter < ? ORDER BY quarter, sensor_id LIMIT 1 OFFSET ?""";

    /** By sensor_quarter_by_quarter. */
    private static final String REMOVE_BEFORE = "DELETE FROM sensor_quarter WHERE quarter < ?";

    /** By sensor_quarter_by_quarter. */
    private static final String REMOVE_OF_QUARTER = "DELETE FROM sensor_quarter WHERE quarter = ? AND sensor_id <= ?";

    private final RetentionConfig config;

    OldTemperatures(RetentionConfig config) {
        this.config = config;
    }

    @Override
    public String what() {
        return "temperatures";
    }

    @Override
    public int removeOld(Connection connection, Instant now, int most) throws SQLException {
        long keptFrom = Quarters.of(now.minus(config.temperatures()));
        try (PreparedStatement end = connection.prepareStatement(END_OF_BATCH)) {
            end.setLong(1, keptFrom);
            end.setInt(2, most - 1);
            try (ResultSet row = end.executeQuery()) {
                if (!row.next()) {
                    return run(connection, REMOVE_BEFORE, keptFrom);
                }
                long quarter = row.getLong(1);
                return run(connection, REMOVE_BEFORE, quarter) + run(connection, REMOVE_OF_QUARTER, quarter, row.getLong(2));
            }
        }
    }

    private static int run(Connection connection, String sql, long... numbers) throws SQLException {
        try (PreparedStatement statement = connection.prepareStatement(sql)) {
            for (int i = 0; i < numbers.length; i++) {
                statement.setLong(i + 1, numbers[i]);
            }
            return statement.executeUpdate();
        }
    }
}
