package org.lampkeeper.web.api;

import java.sql.SQLException;
import java.time.Duration;
import java.time.Instant;
import java.util.List;
import java.util.Optional;
import java.util.OptionalLong;

import jakarta.ws.rs.GET;
import jakarta.ws.rs.Path;
import jakarta.ws.rs.Produces;
import jakarta.ws.rs.core.Context;
import jakarta.ws.rs.core.MediaType;
import jakarta.ws.rs.core.Response;
import jakarta.ws.rs.core.UriInfo;

import org.eclipse.microprofile.openapi.annotations.Operation;
import org.eclipse.microprofile.openapi.annotations.responses.APIResponseSchema;
import org.eclipse.microprofile.openapi.annotations.tags.Tag;

import org.lampkeeper.access.Needs;
import org.lampkeeper.access.Right;
import org.lampkeeper.check.Answer;
import org.lampkeeper.supply.Reading;
import org.lampkeeper.web.Reads.Row;
import org.lampkeeper.web.api.Listing.Order;
import org.lampkeeper.web.api.Listing.Source;

/** What people said that they saw. */
@Path("/api/check-records")
@Produces(MediaType.APPLICATION_JSON)
@Needs(Right.SEE)
@Tag(name = "check-records", description = "What people said that they saw. Said by a person with a link of their own, never by a program.")
class CheckRecordsResource {

    private static final Source<CheckRecordAnswer> RECORDS = new Source<>("check-records", """
            SELECT r.id, r.due_id, r.site_id, r.cabinet_id, r.person_id, r.answer, r.looked_at, r.received_at, r.clock_wrong_by_ms, r.is_counted, r.corrects_id,
                   r.note, r.reading, r.at_cabinet FROM check_record r""", "r.id", Order.NEWEST_FIRST, CheckRecordAnswer::read, CheckRecordAnswer::id);

    private final Listing listing;
    private final Desk desk;

    CheckRecordsResource(Listing listing, Desk desk) {
        this.listing = listing;
        this.desk = desk;
    }

    /**
     * What was said once; it is never changed.
     *
     * @param personId           absent where a sensor stood in for the look
     * @param clockWrongBySeconds how far the phone's clock was behind, below zero ahead; absent where it was right
     * @param isCounted          whether it was a look on time
     * @param corrects           the record of the same person that was tapped wrong; absent otherwise
     * @param supply             what the sensor said when it was received
     * @param atCabinet          whether it was said with the code that stands on the label of the cabinet alone
     */
    record CheckRecordAnswer(long id, long checkId, long siteId, long cabinetId, OptionalLong personId, Answer answer, Instant lookedAt, Instant receivedAt,
            OptionalLong clockWrongBySeconds, boolean isCounted, OptionalLong corrects, Optional<String> note, Reading supply, boolean atCabinet) {

        static CheckRecordAnswer read(Row row) throws SQLException {
            OptionalLong wrong = row.optionalNumber("clock_wrong_by_ms");
            return new CheckRecordAnswer(row.number("id"), row.number("due_id"), row.number("site_id"), row.number("cabinet_id"), row.optionalNumber("person_id"),
                    Answer.valueOf(row.text("answer")), row.instant("looked_at"), row.instant("received_at"),
                    wrong.isPresent() ? OptionalLong.of(Duration.ofMillis(wrong.getAsLong()).toSeconds()) : OptionalLong.empty(), row.is("is_counted"),
                    row.optionalNumber("corrects_id"), row.optionalText("note"), Reading.valueOf(row.text("reading")), row.is("at_cabinet"));
        }
    }

    record CheckRecordPage(List<CheckRecordAnswer> items, Optional<String> next) {
    }

    @GET
    @Operation(operationId = "listCheckRecords", summary = "Lists what was said about looks at the sites that the caller may see",
            description = "The newest first; narrowed by the parameters site and cabinet. What was tapped wrong is among them.")
    @APIResponseSchema(CheckRecordPage.class)
    public Response list(@Context UriInfo address) {
        return listing.page(RECORDS, new Where().within("r.site_id", desk.sitesWith(Right.SEE)).andIf(Listing.id("site", address), "r.site_id = ?")
                .andIf(Listing.id("cabinet", address), "r.cabinet_id = ?"), address);
    }
}
