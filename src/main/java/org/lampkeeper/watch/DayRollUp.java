package org.lampkeeper.watch;

import java.sql.Connection;
import java.sql.PreparedStatement;
import java.sql.ResultSet;
import java.sql.SQLException;
import java.time.Clock;
import java.time.Duration;
import java.time.Instant;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.persistence.EntityManager;
import jakarta.transaction.Transactional;

import io.quarkus.scheduler.Scheduled;

/**
 * Makes the row of a day out of its quarters, on one instance at a time. The last three days that are over are made anew each time, so that what a
 * sensor kept back for a day or two is in them; a day of UTC, so that it is 96 quarters everywhere and the same for all sites.
 */
@ApplicationScoped
class DayRollUp {

    /** Ours: a sensor whose connection was away keeps its reports for some days at most. */
    private static final int DAYS_MADE_ANEW = 3;

    private static final int QUARTERS_A_DAY = 96;

    /** Ours: a transaction of about a second. */
    private static final int SENSORS = 2000;

    /** By the primary key of sensor_status: the last sensor of the next batch. */
    private static final String END_OF_BATCH = """
            SELECT MAX(b.sensor_id) AS last_id FROM (SELECT st.sensor_id FROM sensor_status st WHERE st.sensor_id > ? ORDER BY st.sensor_id LIMIT ?) AS b""";

    /** By sensor_day_is_unique. */
    private static final String FORGET = "DELETE FROM sensor_day WHERE sensor_id > ? AND sensor_id <= ? AND on_day >= ? AND on_day <= ?";

    /** By sensor_quarter_is_unique. Least and most of a quarter are empty where its newest is it. */
    private static final String MAKE = """
            INSERT INTO sensor_day (sensor_id, on_day, quarters, quarters_lost, inside_min_c, inside_mean_c, inside_max_c, outside_min_c, outside_mean_c,
                                    outside_max_c, heater_known, heater_on, door_known, door_open, content_min_c, content_mean_c, content_max_c)
            SELECT q.sensor_id, CAST(q.quarter / 96 AS INTEGER), COUNT(*), SUM(CASE WHEN q.reading = 'LOST' THEN 1 ELSE 0 END),
                   MIN(COALESCE(q.inside_least_c, q.inside_c)), AVG(q.inside_c), MAX(COALESCE(q.inside_most_c, q.inside_c)),
                   MIN(COALESCE(q.outside_least_c, q.outside_c)), AVG(q.outside_c), MAX(COALESCE(q.outside_most_c, q.outside_c)),
                   COUNT(q.heater_on), SUM(CASE WHEN q.heater_on THEN 1 ELSE 0 END), COUNT(q.door_open), SUM(CASE WHEN q.door_open THEN 1 ELSE 0 END),
                   MIN(COALESCE(q.content_least_c, q.content_c)), AVG(q.content_c), MAX(COALESCE(q.content_most_c, q.content_c))
              FROM sensor_quarter q
             WHERE q.sensor_id > ? AND q.sensor_id <= ? AND q.quarter >= ? AND q.quarter < ?
             GROUP BY q.sensor_id, CAST(q.quarter / 96 AS INTEGER)""";

    private final EntityManager entities;
    private final Clock clock;

    DayRollUp(EntityManager entities, Clock clock) {
        this.entities = entities;
        this.clock = clock;
    }

    /** The night of most of Europe and America's evening; which hour matters to nobody. */
    @Scheduled(identity = "day-roll-up", cron = "0 40 1 * * ?")
    void everyNight() {
        roll(clock.instant());
    }

    void roll(Instant now) {
        long last = 0;
        for (long next = last; next >= 0; last = next) {
            next = rollSome(last, now);
        }
    }

    /** One batch of sensors; the last of them, or -1 where there is no more. */
    @Transactional
    long rollSome(long after, Instant now) {
        int today = dayOf(now);
        return SqlWork.on(entities, connection -> {
            long end = end(connection, after);
            if (end < 0) {
                return end;
            }
            make(connection, after, end, today - DAYS_MADE_ANEW, today);
            return end;
        });
    }

    /** The days from {@code first} up to, but without, {@code before}, of the sensors after {@code after} up to {@code end}. */
    static void make(Connection connection, long after, long end, int first, int before) throws SQLException {
        run(connection, FORGET, after, end, first, before - 1);
        run(connection, MAKE, after, end, (long) first * QUARTERS_A_DAY, (long) before * QUARTERS_A_DAY);
    }

    static int dayOf(Instant moment) {
        return (int) Math.floorDiv(moment.getEpochSecond(), Duration.ofDays(1).toSeconds());
    }

    private static long end(Connection connection, long after) throws SQLException {
        try (PreparedStatement statement = connection.prepareStatement(END_OF_BATCH)) {
            statement.setLong(1, after);
            statement.setInt(2, SENSORS);
            try (ResultSet row = statement.executeQuery()) {
                row.next();
                long last = row.getLong(1);
                return row.wasNull() ? -1 : last;
            }
        }
    }

    private static void run(Connection connection, String sql, long... numbers) throws SQLException {
        try (PreparedStatement statement = connection.prepareStatement(sql)) {
            for (int i = 0; i < numbers.length; i++) {
                statement.setLong(i + 1, numbers[i]);
            }
            statement.executeUpdate();
        }
    }
}
