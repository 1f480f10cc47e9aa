package org.lampkeeper.watch;

import java.sql.Connection;
import java.sql.SQLException;
import java.time.Instant;

import jakarta.enterprise.context.ApplicationScoped;

/** Samples of reports that could not be used. */
@ApplicationScoped
class OldRefusedReports implements Retained {

    /** By refused_report_by_received_at. */
    private static final String REMOVE = """
            DELETE FROM refused_report WHERE id IN (SELECT r.id FROM refused_report r WHERE r.received_at < ? ORDER BY r.received_at LIMIT ?)""";

    private final RetentionConfig config;

    OldRefusedReports(RetentionConfig config) {
        this.config = config;
    }

    @Override
    public String what() {
        return "refused-reports";
    }

    @Override
    public int removeOld(Connection connection, Instant now, int most) throws SQLException {
        return Retained.remove(connection, REMOVE, most, now.minus(config.refusedReports()));
    }
}
