package org.lampkeeper.web.api;

import java.io.InputStream;
import java.sql.SQLException;
import java.util.List;
import java.util.Optional;
import java.util.OptionalInt;
import java.util.OptionalLong;

import jakarta.ws.rs.Consumes;
import jakarta.ws.rs.GET;
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
import org.lampkeeper.electrical.Curve;
import org.lampkeeper.register.DeviceKind;
import org.lampkeeper.register.NewCircuit;
import org.lampkeeper.register.Registration;
import org.lampkeeper.web.Reads;
import org.lampkeeper.web.Reads.Row;
import org.lampkeeper.web.api.Listing.Order;
import org.lampkeeper.web.api.Listing.Source;

/** What feeds the cabinets. */
@Path("/api/circuits")
@Produces(MediaType.APPLICATION_JSON)
@Consumes(MediaType.APPLICATION_JSON)
@Needs(Right.SEE)
@Tag(name = "circuits",
        description = "What feeds a cabinet, from the way on its board to the fuse beside it. Made and given up with its cabinet.")
class CircuitsResource {

    private static final Source<Circuit> CIRCUITS = new Source<>("circuits", """
            SELECT w.id, w.cabinet_id, w.board_id, w.way, w.device_kind, w.device_curve, w.device_rating_a, w.residual_ma, w.cable, w.fuse_a,
                   w.fused_unit_place, w.version, c.site_id
              FROM circuit w
              JOIN cabinet c ON c.id = w.cabinet_id""", "w.id", Order.OLDEST_FIRST, Circuit::read, Circuit::id);

    private final Reads reads;
    private final Listing listing;
    private final Desk desk;
    private final BoardSites boards;
    private final Registration registration;

    CircuitsResource(Reads reads, Listing listing, Desk desk, BoardSites boards, Registration registration) {
        this.reads = reads;
        this.listing = listing;
        this.desk = desk;
        this.boards = boards;
        this.registration = registration;
    }

    /** As it is registered. */
    record Circuit(long id, long cabinetId, long boardId, String way, DeviceKind device, Curve curve, int ratingAmpere,
            OptionalInt residualMilliampere, String cable, int fuseAmpere, String fusedUnitPlace, long version) {

        static Circuit read(Row row) throws SQLException {
            OptionalLong residual = row.optionalNumber("residual_ma");
            return new Circuit(row.number("id"), row.number("cabinet_id"), row.number("board_id"), row.text("way"),
                    DeviceKind.valueOf(row.text("device_kind")), Curve.valueOf(row.text("device_curve")),
                            (int) row.number("device_rating_a"),
                    residual.isPresent() ? OptionalInt.of((int) residual.getAsLong()) : OptionalInt.empty(), row.text("cable"),
                    (int) row.number("fuse_a"), row.text("fused_unit_place"), row.number("version"));
        }

        String tag() {
            return Versions.tag(version);
        }
    }

    record CircuitPage(List<Circuit> items, Optional<String> next) {
    }

    /** As it is to be. */
    @JsonIgnoreProperties({"id", "cabinetId", "version"})
    record CircuitEntry(@Nullable Long boardId, @Nullable String way, @Nullable DeviceKind device, @Nullable Curve curve,
            @Nullable Integer ratingAmpere, @Nullable Integer residualMilliampere, @Nullable String cable, @Nullable Integer fuseAmpere,
            @Nullable String fusedUnitPlace) {

        /** {@code prefix}: of the fields in a body that holds this one: {@code circuit.} */
        NewCircuit entered(Fields fields, String prefix) {
            return new NewCircuit(fields.id(prefix + "boardId", boardId), fields.text(way), fields.required(prefix + "device", device,
                    DeviceKind.MCB),
                    fields.required(prefix + "curve", curve, Curve.B), fields.whole(prefix + "ratingAmpere", ratingAmpere),
                    Fields.optional(residualMilliampere), fields.text(cable), fields.whole(prefix + "fuseAmpere", fuseAmpere),
                    fields.text(fusedUnitPlace));
        }

        NewCircuit entered() {
            Fields fields = new Fields();
            NewCircuit entered = entered(fields, "");
            fields.and(entered.problems()).refuseIfWrong();
            return entered;
        }
    }

    @GET
    @Operation(operationId = "listCircuits", summary = "Lists the circuits of the cabinets that the caller may see",
            description = "Narrowed by the parameters site (of the cabinet), board and cabinet.")
    @APIResponseSchema(CircuitPage.class)
    public Response list(@Context UriInfo address) {
        return listing.page(CIRCUITS, new Where().within("c.site_id", desk.sitesWith(Right.SEE))
                .andIf(Listing.id("site", address), "c.site_id = ?").andIf(Listing.id("board", address), "w.board_id = ?")
                .andIf(Listing.id("cabinet", address), "w.cabinet_id = ?"), address);
    }

    @GET
    @Path("{circuit:\\d{1,18}}")
    @Operation(operationId = "readCircuit", summary = "Reads a circuit")
    @APIResponseSchema(Circuit.class)
    public Response read(@RestPath long circuit, @Context HttpHeaders headers) {
        return desk.found(stored(circuit), Circuit::tag, headers);
    }

    @PUT
    @Path("{circuit:\\d{1,18}}")
    @Needs(Right.EDIT_PLANT)
    @Operation(operationId = "changeCircuit", summary = "Replaces what is registered of a circuit")
    @APIResponseSchema(Circuit.class)
    public Response change(@RestPath long circuit, @RequestBodySchema(CircuitEntry.class) InputStream body, @Context HttpHeaders headers) {
        NewCircuit entered = desk.read(body, CircuitEntry.class).value().entered();
        return desk.replace(headers, stored(circuit), Circuit::tag, before -> {
            boards.mustBeSeen(entered.boardId(), "boardId");
            registration.changeCircuit(before.cabinetId(), (int) before.version(), entered, desk.by());
            return stored(circuit).orElseThrow();
        });
    }

    private Optional<Circuit> stored(long circuit) {
        return reads.first(CIRCUITS.select() + " WHERE w.id = ?", Circuit::read, circuit);
    }
}
