package org.lampkeeper.watch;

import java.sql.Connection;
import java.sql.SQLException;
import java.time.Instant;

import jakarta.enterprise.context.ApplicationScoped;

/** Events that programs outside took, or that were given up, and those of an endpoint that is gone. What waits is never removed. */
@ApplicationScoped
class OldWebhookDeliveries implements Retained {

    /** By webhook_delivery_by_created_at. */
    private static final String REMOVE = """
            DELETE FROM webhook_delivery WHERE id IN (
                SELECT d.id FROM webhook_delivery d
                 WHERE d.created_at < ? AND d.ended_at < ? AND d.state <> 'WAITING'
                 ORDER BY d.created_at LIMIT ?)""";

    private final RetentionConfig config;

    OldWebhookDeliveries(RetentionConfig config) {
        this.config = config;
    }

    @Override
    public String what() {
        return "webhook-deliveries";
    }

    @Override
    public int removeOld(Connection connection, Instant now, int most) throws SQLException {
        Instant before = now.minus(config.messages());
        return Retained.remove(connection, REMOVE, most, before, before);
    }
}
