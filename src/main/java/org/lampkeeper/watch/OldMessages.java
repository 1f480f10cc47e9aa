package org.lampkeeper.watch;

import java.sql.Connection;
import java.sql.SQLException;
import java.time.Instant;

import jakarta.enterprise.context.ApplicationScoped;

/** Messages that were handed over, or could not be. That they were sent, and what became of them, stays in the journal. */
@ApplicationScoped
class OldMessages implements Retained {

    /** By outgoing_message_by_created_at. What waits is never removed, nor what an open alarm's page tells of. */
    private static final String REMOVE = """
            DELETE FROM outgoing_message WHERE id IN (
                SELECT m.id FROM outgoing_message m
                 WHERE m.created_at < ? AND m.ended_at < ? AND m.state <> 'WAITING'
                   AND NOT EXISTS (SELECT 1 FROM alarm a WHERE a.id = m.alarm_id AND a.closed_at IS NULL)
                   AND NOT EXISTS (SELECT 1 FROM alarm a WHERE a.call_out_id = m.call_out_id AND a.closed_at IS NULL)
                 ORDER BY m.created_at LIMIT ?)""";

    private final RetentionConfig config;

    OldMessages(RetentionConfig config) {
        this.config = config;
    }

    @Override
    public String what() {
        return "messages";
    }

    @Override
    public int removeOld(Connection connection, Instant now, int most) throws SQLException {
        Instant before = now.minus(config.messages());
        return Retained.remove(connection, REMOVE, most, before, before);
    }
}
