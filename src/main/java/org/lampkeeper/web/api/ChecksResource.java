package org.lampkeeper.web.api;

import java.sql.SQLException;
import java.time.Instant;
import java.time.LocalDate;
import java.util.List;
import java.util.Optional;
import java.util.OptionalLong;

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
import org.lampkeeper.check.CheckKind;
import org.lampkeeper.check.CheckState;
import org.lampkeeper.web.Reads;
import org.lampkeeper.web.Reads.Row;
import org.lampkeeper.web.api.Listing.Order;
import org.lampkeeper.web.api.Listing.Source;

/** Looks that are due. */
@Path("/api/checks")
@Produces(MediaType.APPLICATION_JSON)
@Needs(Right.SEE)
@Tag(name = "checks", description = "Looks that are or were due, and how each stands.")
class ChecksResource {

    private static final Source<CheckDueAnswer> DUE = new Source<>("checks", """
            SELECT d.id, d.plan_id, d.site_id, d.cabinet_id, d.kind, d.on_day, d.opens_at, d.closes_at, d.missed_at, d.by_somebody_else, d.extra, d.from_label, d.opened_at, d.state,
                   d.withdrawn_at FROM check_due d""", "d.id", Order.NEWEST_FIRST, CheckDueAnswer::read, CheckDueAnswer::id);

    private final Reads reads;
    private final Listing listing;
    private final Desk desk;

    ChecksResource(Reads reads, Listing listing, Desk desk) {
        this.reads = reads;
        this.listing = listing;
        this.desk = desk;
    }

    /**
     * A look that is due.
     *
     * @param planId         absent for one that somebody took at the label with nothing due
     * @param day            of the site, on which it opens
     * @param missedAt       nobody looked until here: it was missed
     * @param bySomebodyElse the day is a closed one, on which somebody else is asked
     * @param isExtra        it was asked for because the sensor was silent, beside those of the plan
     * @param isFromLabel    nothing was due: somebody who stood there said so of their own accord. Such a look has no plan
     * @param openedAt       absent while it may still be planned otherwise
     * @param withdrawnAt    its cabinet went out of use meanwhile; absent otherwise
     */
    record CheckDueAnswer(long id, OptionalLong planId, long siteId, long cabinetId, CheckKind kind, LocalDate day, Instant opensAt, Instant closesAt, Instant missedAt,
            boolean bySomebodyElse, boolean isExtra, boolean isFromLabel, Optional<Instant> openedAt, CheckState state, Optional<Instant> withdrawnAt) {

        static CheckDueAnswer read(Row row) throws SQLException {
            return new CheckDueAnswer(row.number("id"), row.optionalNumber("plan_id"), row.number("site_id"), row.number("cabinet_id"), CheckKind.valueOf(row.text("kind")),
                    row.date("on_day").orElseThrow(), row.instant("opens_at"), row.instant("closes_at"), row.instant("missed_at"), row.is("by_somebody_else"), row.number("extra") > 0, row.is("from_label"),
                    row.optionalInstant("opened_at"), CheckState.valueOf(row.text("state")), row.optionalInstant("withdrawn_at"));
        }
    }

    record CheckDuePage(List<CheckDueAnswer> items, Optional<String> next) {
    }

    @GET
    @Operation(operationId = "listChecks", summary = "Lists the looks that are or were due at the sites that the caller may see",
            description = "The newest first; narrowed by the parameters site and cabinet. Those of the coming four days are among them.")
    @APIResponseSchema(CheckDuePage.class)
    public Response list(@Context UriInfo address) {
        return listing.page(DUE, new Where().within("d.site_id", desk.sitesWith(Right.SEE)).andIf(Listing.id("site", address), "d.site_id = ?")
                .andIf(Listing.id("cabinet", address), "d.cabinet_id = ?"), address);
    }

    @GET
    @Path("{check:\\d{1,18}}")
    @Operation(operationId = "readCheck", summary = "Reads a look that is or was due")
    @APIResponseSchema(CheckDueAnswer.class)
    public Response read(@RestPath long check, @Context HttpHeaders headers) {
        return desk.found(reads.first(DUE.select() + " WHERE d.id = ?", CheckDueAnswer::read, check), headers);
    }
}
