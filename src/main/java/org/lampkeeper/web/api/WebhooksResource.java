package org.lampkeeper.web.api;

import java.io.InputStream;
import java.sql.SQLException;
import java.time.Instant;
import java.util.List;
import java.util.Optional;
import java.util.OptionalLong;

import jakarta.ws.rs.Consumes;
import jakarta.ws.rs.DELETE;
import jakarta.ws.rs.GET;
import jakarta.ws.rs.POST;
import jakarta.ws.rs.PUT;
import jakarta.ws.rs.Path;
import jakarta.ws.rs.Produces;
import jakarta.ws.rs.core.Context;
import jakarta.ws.rs.core.HttpHeaders;
import jakarta.ws.rs.core.MediaType;
import jakarta.ws.rs.core.Response;
import jakarta.ws.rs.core.UriInfo;

import com.fasterxml.jackson.annotation.JsonIgnoreProperties;
import org.eclipse.microprofile.openapi.annotations.Operation;
import org.eclipse.microprofile.openapi.annotations.parameters.RequestBodySchema;
import org.eclipse.microprofile.openapi.annotations.responses.APIResponseSchema;
import org.eclipse.microprofile.openapi.annotations.tags.Tag;
import org.jboss.resteasy.reactive.RestPath;
import org.jspecify.annotations.Nullable;

import org.lampkeeper.access.Needs;
import org.lampkeeper.access.Right;
import org.lampkeeper.message.NewWebhook;
import org.lampkeeper.message.Webhooks;
import org.lampkeeper.web.ProblemType;
import org.lampkeeper.web.Reads;
import org.lampkeeper.web.Reads.Row;
import org.lampkeeper.web.Refused;
import org.lampkeeper.web.api.Listing.Order;
import org.lampkeeper.web.api.Listing.Source;
import org.lampkeeper.web.api.WebhookDeliveriesResource.WebhookDelivery;

/** Programs outside that hear of alarms. */
@Path("/api/webhooks")
@Produces(MediaType.APPLICATION_JSON)
@Consumes(MediaType.APPLICATION_JSON)
@Needs(Right.EDIT_WEBHOOKS)
@Tag(name = "webhooks", description = "Programs outside that hear of alarms, by events signed as Standard Webhooks (docs/webhooks.md).")
class WebhooksResource {

    private static final Source<Webhook> WEBHOOKS = new Source<>("webhooks", """
            SELECT e.id, e.site_id, e.name, e.url, e.is_on, e.version, h.failing_since, h.reason
              FROM webhook_endpoint e
              LEFT JOIN channel_health h ON h.kind = 'WEBHOOK_' || e.id""", "e.id", Order.OLDEST_FIRST, Webhook::read, Webhook::id);

    private final Reads reads;
    private final Listing listing;
    private final Desk desk;
    private final Webhooks webhooks;

    WebhooksResource(Reads reads, Listing listing, Desk desk, Webhooks webhooks) {
        this.reads = reads;
        this.listing = listing;
        this.desk = desk;
        this.webhooks = webhooks;
    }

    /**
     * As it is registered, and how it fares.
     *
     * @param siteId       whose alarms it hears of; absent: those of every site, and of Lampkeeper itself
     * @param failingSince since when it takes nothing; absent while all is well
     */
    record Webhook(long id, OptionalLong siteId, String name, String url, boolean on, Optional<Instant> failingSince, Optional<String> reason,
            long version) {

        static Webhook read(Row row) throws SQLException {
            return new Webhook(row.number("id"), row.optionalNumber("site_id"), row.text("name"), row.text("url"), row.is("is_on"),
                    row.optionalInstant("failing_since"), row.optionalText("reason"), row.number("version"));
        }

        String tag() {
            return Versions.tag(version);
        }
    }

    record WebhookPage(List<Webhook> items, Optional<String> next) {
    }

    /**
     * A webhook with its secret, which is told only in this one answer; a repeat of the request is answered without it.
     *
     * @param secret by which its receiver verifies events; absent in a repeated answer
     */
    record WebhookWithSecret(long id, OptionalLong siteId, String name, String url, boolean on, Optional<String> secret, long version) {

        static WebhookWithSecret of(Webhook webhook, String secret) {
            return new WebhookWithSecret(webhook.id(), webhook.siteId(), webhook.name(), webhook.url(), webhook.on(), Optional.of(secret),
                    webhook.version());
        }

        WebhookWithSecret withoutSecret() {
            return new WebhookWithSecret(id, siteId, name, url, on, Optional.empty(), version);
        }

        @Override
        public String toString() {
            return "WebhookWithSecret[" + id + "]";
        }
    }

    /** As it is to be. Without {@code siteId}: for every site. Without {@code on}: it is on. */
    @JsonIgnoreProperties({"id", "version", "failingSince", "reason"})
    record WebhookEntry(@Nullable Long siteId, @Nullable String name, @Nullable String url, @Nullable Boolean on) {
    }

    @GET
    @Operation(operationId = "listWebhooks", summary = "Lists the webhooks of the sites that the caller administers",
            description = "Narrowed to one site by the parameter site. Those of every site are listed for who administers every site.")
    @APIResponseSchema(WebhookPage.class)
    public Response list(@Context UriInfo address) {
        return listing.page(WEBHOOKS, new Where().within("COALESCE(e.site_id, 0)", desk.sitesWith(Right.EDIT_WEBHOOKS))
                .andIf(Listing.id("site", address), "e.site_id = ?"), address);
    }

    @POST
    @Operation(operationId = "registerWebhook", summary = "Registers a webhook and makes its secret",
            description = "The secret is in this answer and nowhere else. A repeat with the same key is answered without it: renew it then.")
    @APIResponseSchema(value = WebhookWithSecret.class, responseCode = "201")
    public Response register(@RequestBodySchema(WebhookEntry.class) InputStream body, @Context HttpHeaders headers, @Context UriInfo address) {
        return desk.post(headers, address, desk.read(body, WebhookEntry.class), entry -> {
            NewWebhook entered = entered(entry);
            if (entered.siteId().isPresent()) {
                desk.mustReach(Right.EDIT_WEBHOOKS, entered.siteId().getAsLong(), "siteId");
            } else if (desk.sitesWith(Right.EDIT_WEBHOOKS).isPresent()) {
                throw new Refused(ProblemType.NOT_PERMITTED, "This takes the role administrator for every site. Name a siteId for one of yours.");
            }
            Webhooks.Registered made = webhooks.register(entered, desk.by());
            WebhookWithSecret told = WebhookWithSecret.of(stored(made.id()).orElseThrow(), made.secret());
            return Answer.created("/api/webhooks/" + made.id(), told.version(), told).keeping(told.withoutSecret());
        });
    }

    @GET
    @Path("{webhook:\\d{1,18}}")
    @Operation(operationId = "readWebhook", summary = "Reads a webhook and how it fares",
            description = "The ETag is that of the registration: what became of events does not change it, so use no If-None-Match to wait for that.")
    @APIResponseSchema(Webhook.class)
    public Response read(@RestPath long webhook, @Context HttpHeaders headers) {
        return desk.foundAlways(stored(webhook), Webhook::tag);
    }

    @PUT
    @Path("{webhook:\\d{1,18}}")
    @Operation(operationId = "changeWebhook", summary = "Replaces name and URL of a webhook, and switches it on or off",
            description = "It stays at its site. Switched off, it hears of nothing, and what waits for it is given up.")
    @APIResponseSchema(Webhook.class)
    public Response change(@RestPath long webhook, @RequestBodySchema(WebhookEntry.class) InputStream body, @Context HttpHeaders headers) {
        NewWebhook entered = entered(desk.read(body, WebhookEntry.class).value());
        return desk.replace(headers, stored(webhook), Webhook::tag, before -> {
            if (!before.siteId().equals(entered.siteId())) {
                new Fields().wrong("siteId", "must stay as it is: a webhook does not move").refuseIfWrong();
            }
            webhooks.change(webhook, (int) before.version(), entered, desk.by());
            return stored(webhook).orElseThrow();
        });
    }

    @DELETE
    @Path("{webhook:\\d{1,18}}")
    @Operation(operationId = "removeWebhook", summary = "Removes a webhook, with the list of what it was told")
    public Response remove(@RestPath long webhook, @Context HttpHeaders headers) {
        return desk.remove(headers, stored(webhook), Webhook::tag, before -> webhooks.remove(webhook, (int) before.version(), desk.by()));
    }

    @POST
    @Path("{webhook:\\d{1,18}}/secret")
    @Operation(operationId = "renewWebhookSecret", summary = "Makes a new secret for a webhook",
            description = "The one before signs as well for a while, so that the receiver can change over.")
    @APIResponseSchema(WebhookWithSecret.class)
    public Response renewSecret(@RestPath long webhook, InputStream body, @Context HttpHeaders headers, @Context UriInfo address) {
        return desk.post(headers, address, body, () -> {
            String secret = webhooks.renewSecret(webhook, desk.by());
            WebhookWithSecret told = WebhookWithSecret.of(stored(webhook).orElseThrow(), secret);
            return Answer.done(told).keeping(told.withoutSecret());
        });
    }

    @POST
    @Path("{webhook:\\d{1,18}}/test")
    @Operation(operationId = "testWebhook", summary = "Sends a webhook an event that says nothing", description = "What became of it is at its address.")
    @APIResponseSchema(value = WebhookDelivery.class, responseCode = "201")
    public Response test(@RestPath long webhook, InputStream body, @Context HttpHeaders headers, @Context UriInfo address) {
        return desk.post(headers, address, body, () -> {
            OptionalLong put = webhooks.test(webhook, desk.by());
            if (put.isEmpty()) {
                throw new Refused(ProblemType.NOT_NEEDED, "This webhook is switched off. Switch it on first.");
            }
            WebhookDelivery delivery = WebhookDeliveriesResource.stored(reads, put.getAsLong()).orElseThrow();
            return new Answer(201, Optional.of("/api/webhook-deliveries/" + delivery.id()), Optional.of(desk.tagOf(delivery)), delivery, delivery);
        });
    }

    private NewWebhook entered(WebhookEntry entry) {
        Fields fields = new Fields();
        NewWebhook entered = new NewWebhook(fields.text(entry.name()), fields.text(entry.url()),
                entry.siteId() == null ? OptionalLong.empty() : OptionalLong.of(entry.siteId()), entry.on() == null || entry.on());
        fields.and(webhooks.problems(entered)).refuseIfWrong();
        return entered;
    }

    private Optional<Webhook> stored(long webhook) {
        return reads.first(WEBHOOKS.select() + " WHERE e.id = ?", Webhook::read, webhook);
    }
}
