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

import com.fasterxml.jackson.annotation.JsonRawValue;
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

/** What happened. */
@Path("/api/journal")
@Produces(MediaType.APPLICATION_JSON)
@Consumes(MediaType.APPLICATION_JSON)
@Needs(Right.READ_JOURNAL)
@Tag(name = "journal",
        description = "Everything observed, decided and told, in the order in which it was written down. People appear by their reference.")
class JournalResource {

    private static final Source<JournalEntry> ENTRIES = new Source<>("journal", """
            SELECT j.id, j.at, j.kind, j.site_id, j.cabinet_id, j.alarm_id, j.body, j.seal_number, j.seal_hash, j.seal_salt FROM journal_entry j""",
            "j.id", Order.NEWEST_FIRST, JournalEntry::read, JournalEntry::id);

    private final Reads reads;
    private final Listing listing;
    private final Desk desk;

    JournalResource(Reads reads, Listing listing, Desk desk) {
        this.reads = reads;
        this.listing = listing;
        this.desk = desk;
    }

    /**
     * One entry.
     *
     * @param number its place in the chain, and its address; absent until it is sealed, about a second later
     * @param hash   see docs/journal.md
     * @param salt   see there
     * @param facts  what the kind of entry says, as it was written
     */
    record JournalEntry(long id, OptionalLong number, Instant at, String kind, OptionalLong siteId, OptionalLong cabinetId,
            OptionalLong alarmId,
            @JsonRawValue String facts, Optional<String> hash, Optional<String> salt) {

        static JournalEntry read(Row row) throws SQLException {
            return new JournalEntry(row.number("id"), row.optionalNumber("seal_number"), row.instant("at"), row.text("kind"),
                    row.optionalNumber("site_id"), row.optionalNumber("cabinet_id"), row.optionalNumber("alarm_id"), row.text("body"),
                    row.optionalText("seal_hash"), row.optionalText("seal_salt"));
        }
    }

    record JournalEntryPage(List<JournalEntry> items, Optional<String> next) {
    }

    @GET
    @Operation(operationId = "listJournal", summary = "Lists the entries about the sites whose journal the caller may read, newest first",
            description = "Narrowed by the parameters site, cabinet and alarm. Entries about no site are for whoever may read it at every site.")
    @APIResponseSchema(JournalEntryPage.class)
    public Response list(@Context UriInfo address) {
        return listing.page(ENTRIES, new Where().within("j.site_id", desk.sitesWith(Right.READ_JOURNAL))
                .andIf(Listing.id("site", address), "j.site_id = ?").andIf(Listing.id("cabinet", address), "j.cabinet_id = ?")
                .andIf(Listing.id("alarm", address), "j.alarm_id = ?"), address);
    }

    @GET
    @Path("{entry:\\d{1,18}}")
    @Operation(operationId = "readJournalEntry", summary = "Reads one sealed entry by its number in the chain")
    @APIResponseSchema(JournalEntry.class)
    public Response read(@RestPath long entry, @Context HttpHeaders headers) {
        return desk.found(reads.first(ENTRIES.select() + " WHERE j.seal_number = ?", JournalEntry::read, entry), headers);
    }
}
