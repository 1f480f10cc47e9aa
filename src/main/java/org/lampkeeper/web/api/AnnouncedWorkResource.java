package org.lampkeeper.web.api;

import java.io.InputStream;
import java.sql.SQLException;
import java.time.Clock;
import java.time.Instant;
import java.util.List;
import java.util.Optional;
import java.util.OptionalLong;

import jakarta.ws.rs.Consumes;
import jakarta.ws.rs.DELETE;
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
import org.eclipse.microprofile.openapi.annotations.parameters.RequestBodySchema;
import org.eclipse.microprofile.openapi.annotations.responses.APIResponseSchema;
import org.eclipse.microprofile.openapi.annotations.tags.Tag;
import org.jboss.resteasy.reactive.RestPath;
import org.jspecify.annotations.Nullable;

import org.lampkeeper.access.Needs;
import org.lampkeeper.access.Right;
import org.lampkeeper.watch.AlarmDesk;
import org.lampkeeper.watch.AlarmDesk.EndResult;
import org.lampkeeper.watch.AlarmDesk.WorkResult;
import org.lampkeeper.watch.SuppressionKind;
import org.lampkeeper.web.ProblemType;
import org.lampkeeper.web.Reads;
import org.lampkeeper.web.Reads.Row;
import org.lampkeeper.web.Refused;
import org.lampkeeper.web.api.Listing.Order;
import org.lampkeeper.web.api.Listing.Source;

/** Times during which the supply is off on purpose. */
@Path("/api/announced-work")
@Produces(MediaType.APPLICATION_JSON)
@Consumes(MediaType.APPLICATION_JSON)
@Needs(Right.SEE)
@Tag(name = "announced-work",
        description = "Times during which the supply is off on purpose: no alarm calls anybody out meanwhile, and afterwards the state counts at once.")
class AnnouncedWorkResource {

    private static final Source<Work> WORK = new Source<>("announced-work", """
            SELECT x.id, x.site_id, x.board_id, x.cabinet_id, x.starts_at, x.ends_at, x.ended_at, x.reason, x.person_id FROM suppression x""",
            "x.id", Order.NEWEST_FIRST, Work::read, Work::id);

    private static final String IS_WORK = "x.kind = 'ANNOUNCED_WORK'";

    private final Reads reads;
    private final Listing listing;
    private final Desk desk;
    private final AlarmDesk alarms;
    private final Clock clock;

    AnnouncedWorkResource(Reads reads, Listing listing, Desk desk, AlarmDesk alarms, Clock clock) {
        this.reads = reads;
        this.listing = listing;
        this.desk = desk;
        this.alarms = alarms;
        this.clock = clock;
    }

    /**
     * One announcement. Without a board and a cabinet it is about the whole site.
     *
     * @param endedAt when it was ended early; absent otherwise
     */
    record Work(long id, long siteId, OptionalLong boardId, OptionalLong cabinetId, Instant startsAt, Instant endsAt,
            Optional<Instant> endedAt,
            String reason, OptionalLong announcedBy) {

        static Work read(Row row) throws SQLException {
            return new Work(row.number("id"), row.number("site_id"), row.optionalNumber("board_id"), row.optionalNumber("cabinet_id"),
                    row.instant("starts_at"), row.instant("ends_at"), row.optionalInstant("ended_at"), row.text("reason"),
                    row.optionalNumber("person_id"));
        }
    }

    record WorkPage(List<Work> items, Optional<String> next) {
    }

    /** Work that is to be announced; without {@code startsAt} it begins at once. At most one of {@code boardId} and {@code cabinetId}. */
    record WorkEntry(@Nullable Long siteId, @Nullable Long boardId, @Nullable Long cabinetId, @Nullable Instant startsAt,
            @Nullable Instant endsAt, @Nullable String reason) {
    }

    @GET
    @Operation(operationId = "listAnnouncedWork", summary = "Lists announced work at the sites that the caller may see, newest first",
            description = "Narrowed to one site by the parameter site.")
    @APIResponseSchema(WorkPage.class)
    public Response list(@Context UriInfo address) {
        return listing.page(WORK, new Where().and(IS_WORK).within("x.site_id", desk.sitesWith(Right.SEE))
                .andIf(Listing.id("site", address), "x.site_id = ?"), address);
    }

    @POST
    @Needs(Right.HOLD_BACK)
    @Operation(operationId = "announceWork", summary = "Announces work that takes the supply away, from now on or ahead",
            description = "For a site, one of its boards or one of its cabinets. It ends by itself.")
    @APIResponseSchema(value = Work.class, responseCode = "201")
    public Response announce(@RequestBodySchema(WorkEntry.class) InputStream body, @Context HttpHeaders headers, @Context UriInfo address) {
        return desk.post(headers, address, desk.read(body, WorkEntry.class), entry -> {
            Fields fields = new Fields();
            long siteId = fields.id("siteId", entry.siteId());
            Instant endsAt = fields.required("endsAt", entry.endsAt(), Instant.EPOCH);
            String reason = fields.reason(entry.reason());
            if (entry.boardId() != null && entry.cabinetId() != null) {
                fields.wrong("cabinetId", "is given beside boardId, must be only one of them");
            }
            fields.refuseIfWrong();
            desk.mustReach(Right.HOLD_BACK, siteId, "siteId");
            WorkResult result = alarms.announce(SuppressionKind.ANNOUNCED_WORK, siteId, optional(entry.boardId()),
                    optional(entry.cabinetId()),
                    Optional.ofNullable(entry.startsAt()).orElseGet(clock::instant), endsAt, reason, OptionalLong.of(desk.personId()));
            if (result instanceof WorkResult.Refused refused) {
                refused.problems().forEach(problem -> fields.wrong(field(problem.field(), entry), problem.text()));
                fields.refuseIfWrong();
            }
            Work made = stored(((WorkResult.Announced) result).work().id()).orElseThrow();
            return new Answer(201, Optional.of("/api/announced-work/" + made.id()), Optional.of(desk.tagOf(made)), made, made);
        });
    }

    @GET
    @Path("{work:\\d{1,18}}")
    @Operation(operationId = "readAnnouncedWork", summary = "Reads one announcement")
    @APIResponseSchema(Work.class)
    public Response read(@RestPath long work, @Context HttpHeaders headers) {
        return desk.found(stored(work), headers);
    }

    @DELETE
    @Path("{work:\\d{1,18}}")
    @Needs(Right.HOLD_BACK)
    @Operation(operationId = "endAnnouncedWork", summary = "Ends announced work early, or calls it off",
            description = "What is true of the supply counts at once.")
    public Response end(@RestPath long work, @Context HttpHeaders headers) {
        return desk.remove(headers, stored(work), desk::tagOf, before -> {
            EndResult result = alarms.endEarly(work, OptionalLong.of(desk.personId()));
            if (result instanceof EndResult.NotNeeded not) {
                throw new Refused(ProblemType.NOT_NEEDED, not.why());
            }
        });
    }

    /** What the watch calls the fields of a form. */
    private static String field(String field, WorkEntry entry) {
        return switch (field) {
            case "from" -> "startsAt";
            case "until" -> "endsAt";
            case "where" -> entry.boardId() != null ? "boardId" : "cabinetId";
            default -> field;
        };
    }

    private static OptionalLong optional(@Nullable Long id) {
        return id == null ? OptionalLong.empty() : OptionalLong.of(id);
    }

    private Optional<Work> stored(long work) {
        return reads.first(WORK.select() + " WHERE x.id = ? AND " + IS_WORK, Work::read, work);
    }
}
