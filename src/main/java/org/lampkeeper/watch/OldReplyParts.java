package org.lampkeeper.watch;

import java.sql.Connection;
import java.sql.SQLException;
import java.time.Duration;
import java.time.Instant;

import jakarta.enterprise.context.ApplicationScoped;

/** Parts of texts that people sent back and whose other parts never came: each has somebody's number. */
@ApplicationScoped
class OldReplyParts implements Retained {

    /** The rows are few: all that came within an hour, and what was left over since the last night. */
    private static final String REMOVE = """
            DELETE FROM reply_part WHERE heard_at <= (SELECT MAX(old.heard_at)
                FROM (SELECT p.heard_at FROM reply_part p WHERE p.heard_at < ? ORDER BY p.heard_at LIMIT ?) old)""";

    private static final Duration KEPT = Duration.ofDays(1);

    @Override
    public String what() {
        return "reply-parts";
    }

    @Override
    public int removeOld(Connection connection, Instant now, int most) throws SQLException {
        return Retained.remove(connection, REMOVE, most, now.minus(KEPT));
    }
}
