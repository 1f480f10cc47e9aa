package org.lampkeeper.web;

import java.sql.SQLException;
import java.time.Instant;
import java.time.ZoneId;
import java.time.ZoneOffset;
import java.util.List;
import java.util.Optional;
import java.util.OptionalLong;
import java.util.Set;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.ws.rs.NotFoundException;

import org.lampkeeper.web.Reads.Row;

/** What the database knows of webhooks and of what they were told. */
@ApplicationScoped
class WebhookReading {

    private static final String ENDPOINTS = """
            SELECT e.id, e.site_id, s.name AS site, s.zone, e.name, e.url, e.is_on, e.secret_before_until, e.version, h.failing_since, h.reason
              FROM webhook_endpoint e
              LEFT JOIN site s ON s.id = e.site_id
              LEFT JOIN channel_health h ON h.kind = 'WEBHOOK_' || e.id
            """;

    private static final String ONE = ENDPOINTS + " WHERE e.id = ?";

    private static final String WITHIN = ENDPOINTS + " WHERE (? OR e.site_id = ANY (?)) ORDER BY e.name, e.id";

    /** By webhook_delivery_by_endpoint, backwards. */
    private static final String DELIVERIES = """
            SELECT d.id, d.event, d.alarm_id, d.body, d.created_at, d.state, d.attempts, d.next_attempt_at, d.status, d.took_ms, d.last_error, d.ended_at
              FROM webhook_delivery d WHERE d.endpoint_id = ? AND d.id < ? ORDER BY d.id DESC LIMIT ?
            """;

    private static final String OF_DELIVERY = "SELECT endpoint_id FROM webhook_delivery WHERE id = ?";

    private final Reads reads;

    WebhookReading(Reads reads) {
        this.reads = reads;
    }

    /**
     * @param site   its name; empty for every site
     * @param zone   whose clocks its page shows
     * @param reason why it does not take events, while it does not
     */
    record EndpointRow(long id, OptionalLong siteId, Optional<String> site, ZoneId zone, String name, String url, boolean isOn,
            Optional<Instant> secretBeforeUntil, int version, Optional<Instant> failingSince, Optional<String> reason) {

        static EndpointRow read(Row row) throws SQLException {
            return new EndpointRow(row.number("id"), row.optionalNumber("site_id"), row.optionalText("site"),
                    row.optionalText("zone").map(ZoneId::of).orElse(ZoneOffset.UTC), row.text("name"), row.text("url"), row.is("is_on"),
                    row.optionalInstant("secret_before_until"), (int) row.number("version"), row.optionalInstant("failing_since"),
                    row.optionalText("reason"));
        }
    }

    record DeliveryRow(long id, String event, OptionalLong alarmId, String body, Instant at, String state, int attempts, Optional<Instant> nextAttempt,
            OptionalLong status, OptionalLong tookMs, Optional<String> reason, Optional<Instant> ended) {

        static DeliveryRow read(Row row) throws SQLException {
            return new DeliveryRow(row.number("id"), row.text("event"), row.optionalNumber("alarm_id"), row.text("body"), row.instant("created_at"),
                    row.text("state"), (int) row.number("attempts"), row.optionalInstant("next_attempt_at"), row.optionalNumber("status"),
                    row.optionalNumber("took_ms"), row.optionalText("last_error"), row.optionalInstant("ended_at"));
        }
    }

    /** {@code sites}: those whose endpoints are asked for; empty: every site's, and those of every site. */
    List<EndpointRow> endpoints(Optional<Set<Long>> sites) {
        return reads.list(WITHIN, EndpointRow::read, sites.isEmpty(), sites.orElse(Set.of()).toArray(Long[]::new));
    }

    EndpointRow endpoint(long id) {
        return reads.first(ONE, EndpointRow::read, id).orElseThrow(NotFoundException::new);
    }

    /** Newest first, at most {@code count}, of those before that one. */
    List<DeliveryRow> deliveries(long endpoint, long before, int count) {
        return reads.list(DELIVERIES, DeliveryRow::read, endpoint, before, count);
    }

    long endpointOf(long delivery) {
        return reads.first(OF_DELIVERY, row -> row.number("endpoint_id"), delivery).orElseThrow(NotFoundException::new);
    }
}
