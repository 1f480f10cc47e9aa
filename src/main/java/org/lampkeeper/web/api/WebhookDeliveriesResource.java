package org.lampkeeper.web.api;

import java.io.InputStream;
import java.sql.SQLException;
import java.time.Instant;
import java.util.List;
import java.util.Optional;
import java.util.OptionalLong;

import jakarta.ws.rs.Consumes;
import jakarta.ws.rs.GET;
import jakarta.ws.rs.POST;
import jakarta.ws.rs.Path;
import jakarta.ws.rs.Produces;
import jakarta.ws.rs.core.Context;
import jakarta.ws.rs.core.HttpHeaders;
import jakarta.ws.rs.core.MediaType;
import jakarta.ws.rs.core.Response;
import jakarta.ws.rs.core.UriInfo;

import org.eclipse.microprofile.openapi.annotations.Operation;
import org.eclipse.microprofile.openapi.annotations.responses.APIResponseSchema;
import org.eclipse.microprofile.openapi.annotations.tags.Tag;
import org.jboss.resteasy.reactive.RestPath;

import org.lampkeeper.access.Needs;
import org.lampkeeper.access.Right;
import org.lampkeeper.message.Webhooks;
import org.lampkeeper.web.ProblemType;
import org.lampkeeper.web.Reads;
import org.lampkeeper.web.Reads.Row;
import org.lampkeeper.web.Refused;
import org.lampkeeper.web.api.Listing.Order;
import org.lampkeeper.web.api.Listing.Source;

/** What programs outside were told. */
@Path("/api/webhook-deliveries")
@Produces(MediaType.APPLICATION_JSON)
@Consumes(MediaType.APPLICATION_JSON)
@Needs(Right.EDIT_WEBHOOKS)
@Tag(name = "webhook-deliveries", description = "What programs outside were told, and what they answered.")
class WebhookDeliveriesResource {

    private static final Source<WebhookDelivery> DELIVERIES = new Source<>("webhook-deliveries", """
            SELECT d.id, d.endpoint_id, d.event, d.message_key, d.alarm_id, d.created_at, d.state, d.attempts, d.status, d.took_ms, d.last_error,
                   d.next_attempt_at, d.ended_at
              FROM webhook_delivery d
              JOIN webhook_endpoint e ON e.id = d.endpoint_id""", "d.id", Order.NEWEST_FIRST, WebhookDelivery::read, WebhookDelivery::id);

    private final Reads reads;
    private final Listing listing;
    private final Desk desk;
    private final Webhooks webhooks;

    WebhookDeliveriesResource(Reads reads, Listing listing, Desk desk, Webhooks webhooks) {
        this.reads = reads;
        this.listing = listing;
        this.desk = desk;
        this.webhooks = webhooks;
    }

    /**
     * One event for one webhook.
     *
     * @param messageId  the header webhook-id
     * @param state      WAITING, DELIVERED or UNDELIVERED (given up)
     * @param status     of the last answer; absent where there was none
     * @param tookMillis of the last try
     */
    record WebhookDelivery(long id, long webhookId, String event, String messageId, OptionalLong alarmId, Instant createdAt, String state, int attempts,
            OptionalLong status, OptionalLong tookMillis, Optional<String> lastError, Optional<Instant> nextAttemptAt, Optional<Instant> endedAt) {

        static WebhookDelivery read(Row row) throws SQLException {
            return new WebhookDelivery(row.number("id"), row.number("endpoint_id"), row.text("event"), row.text("message_key"),
                    row.optionalNumber("alarm_id"), row.instant("created_at"), row.text("state"), (int) row.number("attempts"),
                    row.optionalNumber("status"), row.optionalNumber("took_ms"), row.optionalText("last_error"), row.optionalInstant("next_attempt_at"),
                    row.optionalInstant("ended_at"));
        }
    }

    record WebhookDeliveryPage(List<WebhookDelivery> items, Optional<String> next) {
    }

    @GET
    @Operation(operationId = "listWebhookDeliveries", summary = "Lists what webhooks were told, newest first",
            description = "Narrowed by the parameters webhook and alarm.")
    @APIResponseSchema(WebhookDeliveryPage.class)
    public Response list(@Context UriInfo address) {
        return listing.page(DELIVERIES, new Where().within("COALESCE(e.site_id, 0)", desk.sitesWith(Right.EDIT_WEBHOOKS))
                .andIf(Listing.id("webhook", address), "d.endpoint_id = ?").andIf(Listing.id("alarm", address), "d.alarm_id = ?"), address);
    }

    @GET
    @Path("{delivery:\\d{1,18}}")
    @Operation(operationId = "readWebhookDelivery", summary = "Reads what became of an event")
    @APIResponseSchema(WebhookDelivery.class)
    public Response read(@RestPath long delivery, @Context HttpHeaders headers) {
        return desk.found(stored(reads, delivery), headers);
    }

    @POST
    @Path("{delivery:\\d{1,18}}/again")
    @Operation(operationId = "repeatWebhookDelivery", summary = "Sends an event again that was given up", description = "Under the same id.")
    @APIResponseSchema(WebhookDelivery.class)
    public Response again(@RestPath long delivery, InputStream body, @Context HttpHeaders headers, @Context UriInfo address) {
        return desk.post(headers, address, body, () -> {
            if (!webhooks.again(delivery, desk.by())) {
                throw new Refused(ProblemType.NOT_NEEDED, "It was not given up, or its webhook is switched off.");
            }
            return Answer.done(stored(reads, delivery).orElseThrow());
        });
    }

    static Optional<WebhookDelivery> stored(Reads reads, long delivery) {
        return reads.first(DELIVERIES.select() + " WHERE d.id = ?", WebhookDelivery::read, delivery);
    }
}
