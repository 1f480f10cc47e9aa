package org.lampkeeper.web.api;

import java.sql.SQLException;
import java.time.Instant;
import java.util.List;
import java.util.Optional;
import java.util.OptionalLong;

import jakarta.ws.rs.Consumes;
import jakarta.ws.rs.GET;
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
import org.lampkeeper.web.Reads;
import org.lampkeeper.web.Reads.Row;
import org.lampkeeper.web.api.Listing.Order;
import org.lampkeeper.web.api.Listing.Source;

/**
 * What was sent to whom, and what became of it. Without the text: its link would take an alarm in the name of the person it was sent to.
 */
@Path("/api/messages")
@Produces(MediaType.APPLICATION_JSON)
@Consumes(MediaType.APPLICATION_JSON)
@Needs(Right.SEE)
@Tag(name = "messages",
        description = "What was sent to whom, and what became of it. Without the text, whose link is for the person told alone.")
class MessagesResource {

    private static final Source<Message> MESSAGES = new Source<>("messages", """
            SELECT m.id, m.purpose, m.alarm_id, m.person_id, m.channel, m.subject, m.created_at, m.state, m.attempts, m.next_attempt_at, m.ended_at,
                   m.last_error, p.name, COALESCE(a.site_id, 0) AS site_id
              FROM outgoing_message m
              JOIN person p ON p.id = m.person_id
              LEFT JOIN alarm a ON a.id = m.alarm_id""", "m.id", Order.NEWEST_FIRST, Message::read, Message::id);

    private final Reads reads;
    private final Listing listing;
    private final Desk desk;

    MessagesResource(Reads reads, Listing listing, Desk desk) {
        this.reads = reads;
        this.listing = listing;
        this.desk = desk;
    }

    /**
     * One message on its way, or at its end.
     *
     * @param siteId 0: about the installation itself
     * @param state  WAITING, SENT (accepted by the mail server; whether it arrived is not known), UNDELIVERED or NOT_NEEDED
     */
    record Message(long id, long siteId, OptionalLong alarmId, long personId, String person, String purpose, String channel, String subject,
            String state, int attempts, Instant createdAt, Optional<Instant> nextAttemptAt, Optional<Instant> endedAt,
                    Optional<String> lastError) {

        static Message read(Row row) throws SQLException {
            return new Message(row.number("id"), row.number("site_id"), row.optionalNumber("alarm_id"), row.number("person_id"),
                    row.text("name"),
                    row.text("purpose"), row.text("channel"), row.text("subject"), row.text("state"), (int) row.number("attempts"),
                    row.instant("created_at"), row.optionalInstant("next_attempt_at"), row.optionalInstant("ended_at"),
                    row.optionalText("last_error"));
        }
    }

    record MessagePage(List<Message> items, Optional<String> next) {
    }

    @GET
    @Operation(operationId = "listMessages", summary = "Lists the messages about the sites that the caller may see, newest first",
            description = "Narrowed by the parameters site, alarm and person.")
    @APIResponseSchema(MessagePage.class)
    public Response list(@Context UriInfo address) {
        return listing.page(MESSAGES, new Where().within("COALESCE(a.site_id, 0)", desk.sitesWith(Right.SEE))
                .andIf(Listing.id("site", address), "COALESCE(a.site_id, 0) = ?").andIf(Listing.id("alarm", address), "m.alarm_id = ?")
                .andIf(Listing.id("person", address), "m.person_id = ?"), address);
    }

    @GET
    @Path("{message:\\d{1,18}}")
    @Operation(operationId = "readMessage", summary = "Reads what became of a message")
    @APIResponseSchema(Message.class)
    public Response read(@RestPath long message, @Context HttpHeaders headers) {
        return desk.found(reads.first(MESSAGES.select() + " WHERE m.id = ?", Message::read, message), headers);
    }
}
