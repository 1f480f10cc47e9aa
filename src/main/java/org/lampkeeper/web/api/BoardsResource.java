package org.lampkeeper.web.api;

import java.io.InputStream;
import java.sql.SQLException;
import java.util.List;
import java.util.Optional;

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
import org.lampkeeper.register.NewBoard;
import org.lampkeeper.register.Registration;
import org.lampkeeper.web.Reads;
import org.lampkeeper.web.Reads.Row;
import org.lampkeeper.web.api.Listing.Order;
import org.lampkeeper.web.api.Listing.Source;

/** Where circuits begin. */
@Path("/api/boards")
@Produces(MediaType.APPLICATION_JSON)
@Consumes(MediaType.APPLICATION_JSON)
@Needs(Right.SEE)
@Tag(name = "boards", description = "Where circuits begin. Cabinets on the same board are lost together.")
class BoardsResource {

    private static final Source<Board> BOARDS = new Source<>("boards",
            "SELECT b.id, b.site_id, b.name, b.place, b.access, b.version FROM board b",
            "b.id", Order.OLDEST_FIRST, Board::read, Board::id);

    private final Reads reads;
    private final Listing listing;
    private final Desk desk;
    private final Registration registration;

    BoardsResource(Reads reads, Listing listing, Desk desk, Registration registration) {
        this.reads = reads;
        this.listing = listing;
        this.desk = desk;
        this.registration = registration;
    }

    /** As it is registered. {@code siteId}: where it stands; it may feed cabinets of other sites. */
    record Board(long id, long siteId, String name, String place, String access, long version) {

        static Board read(Row row) throws SQLException {
            return new Board(row.number("id"), row.number("site_id"), row.text("name"), row.text("place"), row.text("access"),
                    row.number("version"));
        }

        String tag() {
            return Versions.tag(version);
        }
    }

    record BoardPage(List<Board> items, Optional<String> next) {
    }

    /** As it is to be. */
    @JsonIgnoreProperties({"id", "version"})
    record BoardEntry(@Nullable Long siteId, @Nullable String name, @Nullable String place, @Nullable String access) {

        NewBoard entered() {
            Fields fields = new Fields();
            NewBoard entered = new NewBoard(fields.id("siteId", siteId), fields.text(name), fields.text(place), fields.text(access));
            fields.and(entered.problems()).refuseIfWrong();
            return entered;
        }
    }

    @GET
    @Operation(operationId = "listBoards", summary = "Lists the boards of the sites that the caller may see",
            description = "Narrowed to one site by the parameter site.")
    @APIResponseSchema(BoardPage.class)
    public Response list(@Context UriInfo address) {
        return listing.page(BOARDS, new Where().within("b.site_id", desk.sitesWith(Right.SEE))
                .andIf(Listing.id("site", address), "b.site_id = ?"), address);
    }

    @POST
    @Needs(Right.EDIT_PLANT)
    @Operation(operationId = "registerBoard", summary = "Registers a board")
    @APIResponseSchema(value = Board.class, responseCode = "201")
    public Response register(@RequestBodySchema(BoardEntry.class) InputStream body, @Context HttpHeaders headers,
            @Context UriInfo address) {
        return desk.post(headers, address, desk.read(body, BoardEntry.class), entry -> {
            NewBoard entered = entry.entered();
            desk.mustReach(Right.EDIT_PLANT, entered.siteId(), "siteId");
            Board made = stored(registration.addBoard(entered, desk.by()).id()).orElseThrow();
            return Answer.created("/api/boards/" + made.id(), made.version(), made);
        });
    }

    @GET
    @Path("{board:\\d{1,18}}")
    @Operation(operationId = "readBoard", summary = "Reads a board")
    @APIResponseSchema(Board.class)
    public Response read(@RestPath long board, @Context HttpHeaders headers) {
        return desk.found(stored(board), Board::tag, headers);
    }

    @PUT
    @Path("{board:\\d{1,18}}")
    @Needs(Right.EDIT_PLANT)
    @Operation(operationId = "changeBoard", summary = "Replaces what is registered of a board", description = "It stays at its site.")
    @APIResponseSchema(Board.class)
    public Response change(@RestPath long board, @RequestBodySchema(BoardEntry.class) InputStream body, @Context HttpHeaders headers) {
        NewBoard entered = desk.read(body, BoardEntry.class).value().entered();
        return desk.replace(headers, stored(board), Board::tag, before -> {
            if (before.siteId() != entered.siteId()) {
                new Fields().wrong("siteId", "is " + entered.siteId() + ", must stay " + before.siteId() + ": a board does not move")
                        .refuseIfWrong();
            }
            registration.changeBoard(board, (int) before.version(), entered, desk.by());
            return stored(board).orElseThrow();
        });
    }

    @DELETE
    @Path("{board:\\d{1,18}}")
    @Needs(Right.EDIT_PLANT)
    @Operation(operationId = "removeBoard", summary = "Removes a board that feeds nothing")
    public Response remove(@RestPath long board, @Context HttpHeaders headers) {
        return desk.remove(headers, stored(board), Board::tag, before -> registration.removeBoard(board, (int) before.version(),
                desk.by()));
    }

    private Optional<Board> stored(long board) {
        return reads.first(BOARDS.select() + " WHERE b.id = ?", Board::read, board);
    }
}
