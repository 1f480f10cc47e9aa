package org.lampkeeper.web.api;

import java.io.InputStream;
import java.sql.SQLException;
import java.time.Instant;
import java.time.LocalDate;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.OptionalLong;

import jakarta.ws.rs.Consumes;
import jakarta.ws.rs.DELETE;
import jakarta.ws.rs.DefaultValue;
import jakarta.ws.rs.GET;
import jakarta.ws.rs.NotFoundException;
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
import org.eclipse.microprofile.openapi.annotations.parameters.Parameter;
import org.eclipse.microprofile.openapi.annotations.parameters.RequestBodySchema;
import org.eclipse.microprofile.openapi.annotations.responses.APIResponseSchema;
import org.eclipse.microprofile.openapi.annotations.tags.Tag;
import org.jboss.resteasy.reactive.RestPath;
import org.jboss.resteasy.reactive.RestQuery;
import org.jspecify.annotations.Nullable;

import org.lampkeeper.access.Needs;
import org.lampkeeper.access.Right;
import org.lampkeeper.quantity.Celsius;
import org.lampkeeper.register.CabinetFacts;
import org.lampkeeper.register.ContentSheet;
import org.lampkeeper.register.DatedPart;
import org.lampkeeper.register.NewCabinet;
import org.lampkeeper.register.NewCircuit;
import org.lampkeeper.register.NewContent;
import org.lampkeeper.register.NewWarmth;
import org.lampkeeper.register.Problem;
import org.lampkeeper.register.Register;
import org.lampkeeper.register.Registration;
import org.lampkeeper.register.WarmthSheet;
import org.lampkeeper.web.Reads;
import org.lampkeeper.web.Reads.Row;
import org.lampkeeper.web.api.CircuitsResource.CircuitEntry;
import org.lampkeeper.web.api.Listing.Order;
import org.lampkeeper.web.api.Listing.Source;

/** The outdoor enclosures and what they hold. */
@Path("/api/cabinets")
@Produces(MediaType.APPLICATION_JSON)
@Consumes(MediaType.APPLICATION_JSON)
@Needs(Right.SEE)
@Tag(name = "cabinets", description = "The outdoor enclosures, and what they hold.")
class CabinetsResource {

    private static final Source<Cabinet> CABINETS = new Source<>("cabinets", """
            SELECT c.id, c.site_id, c.code, c.name, c.place, c.lamp_place, c.content, c.out_of_use_since, c.out_of_use_because, c.version, w.id AS circuit_id
              FROM cabinet c
              LEFT JOIN circuit w ON w.cabinet_id = c.id""", "c.id", Order.OLDEST_FIRST, Cabinet::read, Cabinet::id);

    private final Reads reads;
    private final Listing listing;
    private final Desk desk;
    private final BoardSites boards;
    private final Register register;
    private final Registration registration;

    CabinetsResource(Reads reads, Listing listing, Desk desk, BoardSites boards, Register register, Registration registration) {
        this.reads = reads;
        this.listing = listing;
        this.desk = desk;
        this.boards = boards;
        this.register = register;
        this.registration = registration;
    }

    /** As it is registered. {@code contentKind}: what it holds, in a word or two. */
    record Cabinet(long id, long siteId, String code, String name, String place, String lampPlace, String contentKind,
            OptionalLong circuitId,
            Optional<Instant> outOfUseSince, Optional<String> outOfUseBecause, long version) {

        static Cabinet read(Row row) throws SQLException {
            return new Cabinet(row.number("id"), row.number("site_id"), row.text("code"), row.text("name"), row.text("place"),
                    row.text("lamp_place"), row.text("content"), row.optionalNumber("circuit_id"), row.optionalInstant("out_of_use_since"),
                    row.optionalText("out_of_use_because"),
                    row.number("version"));
        }

        String tag() {
            return Versions.tag(version);
        }
    }

    record CabinetPage(List<Cabinet> items, Optional<String> next) {
    }

    /** A cabinet that is not registered yet, with what it holds and what feeds it. */
    record CabinetEntry(@Nullable Long siteId, @Nullable String code, @Nullable String name, @Nullable String place,
            @Nullable String lampPlace, @Nullable ContentEntry content, @Nullable CircuitEntry circuit) {

        private static final ContentEntry NO_CONTENT = new ContentEntry(null, null, null, null, null);
        private static final CircuitEntry NO_CIRCUIT = new CircuitEntry(null, null, null, null, null, null, null, null, null);

        NewCabinet entered() {
            Fields fields = new Fields();
            NewCabinet entered = new NewCabinet(fields.id("siteId", siteId), fields.text(code), fields.text(name), fields.text(place),
                    fields.required("content", content, NO_CONTENT).entered(fields, "content."), fields.text(lampPlace),
                    fields.required("circuit", circuit, NO_CIRCUIT).entered(fields, "circuit."));
            fields.and(entered.problems()).refuseIfWrong();
            return entered;
        }
    }

    /** A cabinet as it is to be, without its circuit and its content, which are changed at their own addresses. */
    @JsonIgnoreProperties({"id", "siteId", "contentKind", "circuitId", "outOfUseSince", "outOfUseBecause", "version"})
    record CabinetFactsEntry(@Nullable String code, @Nullable String name, @Nullable String place, @Nullable String lampPlace) {

        CabinetFacts entered() {
            Fields fields = new Fields();
            CabinetFacts entered = new CabinetFacts(fields.text(code), fields.text(name), fields.text(place), fields.text(lampPlace));
            fields.and(entered.problems()).refuseIfWrong();
            return entered;
        }
    }

    /**
     * What a cabinet holds.
     *
     * @param limitsAsked whether somebody looked up the maker's storage limits; until then they are not known, which is not "none"
     */
    record Content(String kind, boolean limitsAsked, Optional<Double> lowestCelsius, Optional<Double> highestCelsius, List<Part> parts,
            long version) {

        static Content of(ContentSheet sheet) {
            return new Content(sheet.kind(), sheet.limitsAsked(), sheet.lowest().map(Celsius::value), sheet.highest().map(Celsius::value),
                    sheet.parts().stream().map(part -> new Part(part.name(), part.goodUntil())).toList(), sheet.version());
        }

        String tag() {
            return Versions.tag(version);
        }
    }

    /**
     * How a cabinet keeps warm; absent is not known.
     *
     * @param setPointCelsius below it the heater is on
     * @param wattPerKelvin   heat loss of all walls, U·A
     * @param joulePerKelvin  heat capacity of walls and content together
     * @param coldestCelsius  the coldest that the place reckons with in winter
     * @param needsSupply     what it holds does not work without supply
     * @param slowerWhenWarm  the owner has chosen that people are told more slowly while a forecast says that there is time
     * @param surfaceCoefficient  heat transfer between the content and the air around it, h in W/m²K; together with the next two or not at all
     * @param contentMillimetres  volume over surface of the content
     * @param contentConductivity thermal conductivity of the content in W/mK
     */
    record Warmth(Optional<Double> setPointCelsius, Optional<Double> heaterWatt, Optional<Double> wattPerKelvin, Optional<Double> joulePerKelvin,
            Optional<Double> coldestCelsius, boolean needsSupply, boolean slowerWhenWarm, Optional<Double> surfaceCoefficient,
            Optional<Double> contentMillimetres, Optional<Double> contentConductivity, long version) {

        static Warmth of(WarmthSheet sheet) {
            NewWarmth said = sheet.said();
            return new Warmth(said.setPoint().map(Celsius::value), said.heaterWatt(), said.wattPerKelvin(), said.joulePerKelvin(),
                    said.coldest().map(Celsius::value), said.needsSupply(), said.slowerWhenWarm(), said.body().surfaceCoefficient(), said.body().millimetres(),
                    said.body().conductivity(), sheet.version());
        }

        String tag() {
            return Versions.tag(version);
        }
    }

    @JsonIgnoreProperties({"version"})
    record WarmthEntry(@Nullable Double setPointCelsius, @Nullable Double heaterWatt, @Nullable Double wattPerKelvin, @Nullable Double joulePerKelvin,
            @Nullable Double coldestCelsius, @Nullable Boolean needsSupply, @Nullable Boolean slowerWhenWarm, @Nullable Double surfaceCoefficient,
            @Nullable Double contentMillimetres, @Nullable Double contentConductivity) {

        NewWarmth entered() {
            Fields fields = new Fields();
            boolean needs = fields.required("needsSupply", needsSupply, false);
            boolean slower = fields.required("slowerWhenWarm", slowerWhenWarm, false);
            NewWarmth entered = new NewWarmth(ContentEntry.celsius(fields, "setPointCelsius", setPointCelsius), Optional.ofNullable(heaterWatt),
                    Optional.ofNullable(wattPerKelvin), Optional.ofNullable(joulePerKelvin), ContentEntry.celsius(fields, "coldestCelsius", coldestCelsius),
                    needs, slower, new NewWarmth.Body(Optional.ofNullable(surfaceCoefficient), Optional.ofNullable(contentMillimetres),
                            Optional.ofNullable(contentConductivity)));
            fields.and(entered.problems().stream().map(WarmthEntry::asSent).toList()).refuseIfWrong();
            return entered;
        }

        /** The register knows temperatures without their unit in the name. */
        private static Problem asSent(Problem problem) {
            return problem.field().equals("setPoint") || problem.field().equals("coldest") ? new Problem(problem.field() + "Celsius", problem.text())
                    : problem;
        }
    }

    /** {@code goodUntil}: the last day on which it may be used. */
    record Part(String name, LocalDate goodUntil) {
    }

    @JsonIgnoreProperties({"version"})
    record ContentEntry(@Nullable String kind, @Nullable Boolean limitsAsked, @Nullable Double lowestCelsius,
            @Nullable Double highestCelsius,
            @Nullable List<PartEntry> parts) {

        NewContent entered(Fields fields, String prefix) {
            List<DatedPart> dated = new ArrayList<>();
            List<PartEntry> sent = parts == null ? List.of() : parts;
            for (int i = 0; i < sent.size(); i++) {
                dated.add(new DatedPart(fields.text(sent.get(i).name()),
                        fields.required(prefix + "parts." + i + ".goodUntil", sent.get(i).goodUntil(), LocalDate.of(2000, 1, 1))));
            }
            return new NewContent(fields.text(kind), limitsAsked != null && limitsAsked, celsius(fields, prefix + "lowestCelsius",
                    lowestCelsius),
                    celsius(fields, prefix + "highestCelsius", highestCelsius), dated);
        }

        NewContent entered() {
            Fields fields = new Fields();
            NewContent entered = entered(fields, "");
            fields.and(entered.problems()).refuseIfWrong();
            return entered;
        }

        private static Optional<Celsius> celsius(Fields fields, String field, @Nullable Double value) {
            if (value == null) {
                return Optional.empty();
            }
            try {
                return Optional.of(new Celsius(value));
            } catch (IllegalArgumentException impossible) {
                fields.wrong(field, impossible.getMessage());
                return Optional.empty();
            }
        }
    }

    record PartEntry(@Nullable String name, @Nullable LocalDate goodUntil) {
    }

    @GET
    @Operation(operationId = "listCabinets", summary = "Lists the cabinets of the sites that the caller may see",
            description = "Narrowed to one site by the parameter site. Cabinets out of use are listed too.")
    @APIResponseSchema(CabinetPage.class)
    public Response list(@Context UriInfo address) {
        return listing.page(CABINETS, new Where().within("c.site_id", desk.sitesWith(Right.SEE))
                .andIf(Listing.id("site", address), "c.site_id = ?"), address);
    }

    @POST
    @Needs(Right.EDIT_PLANT)
    @Operation(operationId = "registerCabinet", summary = "Registers a cabinet with its content and the circuit that feeds it")
    @APIResponseSchema(value = Cabinet.class, responseCode = "201")
    public Response register(@RequestBodySchema(CabinetEntry.class) InputStream body, @Context HttpHeaders headers,
            @Context UriInfo address) {
        return desk.post(headers, address, desk.read(body, CabinetEntry.class), entry -> {
            NewCabinet entered = entry.entered();
            desk.mustReach(Right.EDIT_PLANT, entered.siteId(), "siteId");
            boards.mustBeSeen(entered.circuit().boardId(), "circuit.boardId");
            Cabinet made = stored(registration.addCabinet(entered, desk.by()).cabinetId()).orElseThrow();
            return Answer.created("/api/cabinets/" + made.id(), made.version(), made);
        });
    }

    @GET
    @Path("{cabinet:\\d{1,18}}")
    @Operation(operationId = "readCabinet", summary = "Reads a cabinet")
    @APIResponseSchema(Cabinet.class)
    public Response read(@RestPath long cabinet, @Context HttpHeaders headers) {
        return desk.found(stored(cabinet), Cabinet::tag, headers);
    }

    @PUT
    @Path("{cabinet:\\d{1,18}}")
    @Needs(Right.EDIT_PLANT)
    @Operation(operationId = "changeCabinet", summary = "Replaces what is registered of a cabinet itself",
            description = "Its circuit and its content have addresses of their own.")
    @APIResponseSchema(Cabinet.class)
    public Response change(@RestPath long cabinet, @RequestBodySchema(CabinetFactsEntry.class) InputStream body,
            @Context HttpHeaders headers) {
        CabinetFacts entered = desk.read(body, CabinetFactsEntry.class).value().entered();
        return desk.replace(headers, stored(cabinet), Cabinet::tag, before -> {
            registration.changeCabinet(cabinet, (int) before.version(), entered, desk.by());
            return stored(cabinet).orElseThrow();
        });
    }

    @DELETE
    @Path("{cabinet:\\d{1,18}}")
    @Needs(Right.EDIT_PLANT)
    @Operation(operationId = "takeCabinetOutOfUse", summary = "Takes a cabinet out of use",
            description = "Its sensor is retired, its open alarms end and its circuit is given up. Its code, its name and its history stay."
                    + " The parameter reason says why, in 1 to 200 characters.")
    public Response takeOutOfUse(@RestPath long cabinet,
            @Parameter(description = "Why, in 1 to 200 characters") @RestQuery @DefaultValue("") String reason,
            @Context HttpHeaders headers) {
        return desk.remove(headers, stored(cabinet), Cabinet::tag,
                before -> registration.takeOutOfUse(cabinet, (int) before.version(), reason.strip(), desk.by()));
    }

    @POST
    @Path("{cabinet:\\d{1,18}}/in-use")
    @Needs(Right.EDIT_PLANT)
    @Operation(operationId = "bringCabinetBackIntoUse", summary = "Brings a cabinet that is out of use back, with the circuit that feeds it now",
            description = "It keeps its code, its name, its content and its history. No sensor watches it until one is registered.")
    @APIResponseSchema(Cabinet.class)
    public Response bringBack(@RestPath long cabinet, @RequestBodySchema(CircuitEntry.class) InputStream body, @Context HttpHeaders headers,
            @Context UriInfo address) {
        Cabinet before = stored(cabinet).orElseThrow(NotFoundException::new);
        return desk.post(headers, address, desk.read(body, CircuitEntry.class), entry -> {
            NewCircuit entered = entry.entered();
            boards.mustBeSeen(entered.boardId(), "boardId");
            registration.bringBackIntoUse(cabinet, (int) before.version(), entered, desk.by());
            return Answer.done(stored(cabinet).orElseThrow());
        });
    }

    @GET
    @Path("{cabinet:\\d{1,18}}/content")
    @Operation(operationId = "readContent", summary = "Reads what a cabinet holds")
    @APIResponseSchema(Content.class)
    public Response content(@RestPath long cabinet, @Context HttpHeaders headers) {
        return desk.found(register.content(cabinet).map(Content::of), Content::tag, headers);
    }

    @PUT
    @Path("{cabinet:\\d{1,18}}/content")
    @Needs(Right.EDIT_PLANT)
    @Operation(operationId = "changeContent", summary = "Replaces what a cabinet holds")
    @APIResponseSchema(Content.class)
    public Response changeContent(@RestPath long cabinet, @RequestBodySchema(ContentEntry.class) InputStream body,
            @Context HttpHeaders headers) {
        NewContent entered = desk.read(body, ContentEntry.class).value().entered();
        return desk.replace(headers, register.content(cabinet).map(Content::of), Content::tag,
                before -> Content.of(registration.changeContent(cabinet, (int) before.version(), entered, desk.by())));
    }

    @GET
    @Path("{cabinet:\\d{1,18}}/warmth")
    @Operation(operationId = "readWarmth", summary = "Reads how a cabinet keeps warm",
            description = "Where nobody has said anything, all but the two choices is absent and the version is -1.")
    @APIResponseSchema(Warmth.class)
    public Response warmth(@RestPath long cabinet, @Context HttpHeaders headers) {
        return desk.found(storedWarmth(cabinet), Warmth::tag, headers);
    }

    @PUT
    @Path("{cabinet:\\d{1,18}}/warmth")
    @Needs(Right.EDIT_PLANT)
    @Operation(operationId = "changeWarmth", summary = "Replaces what is known of how a cabinet keeps warm",
            description = "What is absent is not known; nothing usual takes its place.")
    @APIResponseSchema(Warmth.class)
    public Response changeWarmth(@RestPath long cabinet, @RequestBodySchema(WarmthEntry.class) InputStream body, @Context HttpHeaders headers) {
        NewWarmth entered = desk.read(body, WarmthEntry.class).value().entered();
        return desk.replace(headers, storedWarmth(cabinet), Warmth::tag,
                before -> Warmth.of(registration.changeWarmth(cabinet, (int) before.version(), entered, desk.by())));
    }

    private Optional<Warmth> storedWarmth(long cabinet) {
        return register.findSheet(cabinet).map(sheet -> Warmth.of(register.warmth(cabinet)));
    }

    private Optional<Cabinet> stored(long cabinet) {
        return reads.first(CABINETS.select() + " WHERE c.id = ?", Cabinet::read, cabinet);
    }
}
