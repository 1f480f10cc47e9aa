package org.lampkeeper.watch;

import java.sql.Connection;
import java.sql.PreparedStatement;
import java.sql.SQLException;
import java.time.Instant;

import jakarta.enterprise.context.ApplicationScoped;

/** Days of temperatures: a row a sensor and day, so that they may be kept for years. */
@ApplicationScoped
class OldDays implements Retained {

    /** By sensor_day_by_day. */
    private static final String REMOVE_OLDEST = """
            DELETE FROM sensor_day WHERE (sensor_id, on_day) IN (SELECT d.sensor_id, d.on_day FROM sensor_day d WHERE d.on_day < ?
                                                                  ORDER BY d.on_day, d.sensor_id LIMIT ?)""";

    private final RetentionConfig config;

    OldDays(RetentionConfig config) {
        this.config = config;
    }

    @Override
    public String what() {
        return "days of temperatures";
    }

    @Override
    public int removeOld(Connection connection, Instant now, int most) throws SQLException {
        try (PreparedStatement statement = connection.prepareStatement(REMOVE_OLDEST)) {
            statement.setInt(1, DayRollUp.dayOf(now.minus(config.days())));
            statement.setInt(2, most);
            return statement.executeUpdate();
        }
    }
}
