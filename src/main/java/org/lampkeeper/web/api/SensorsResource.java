package org.lampkeeper.web.api;

import java.io.InputStream;
import java.sql.SQLException;
import java.time.Instant;
import java.util.List;
import java.util.Optional;

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
import org.lampkeeper.register.NewSensor;
import org.lampkeeper.register.RegisteredSensor;
import org.lampkeeper.register.Registration;
import org.lampkeeper.supply.Reading;
import org.lampkeeper.web.Reads;
import org.lampkeeper.web.Reads.Row;
import org.lampkeeper.web.api.Listing.Order;
import org.lampkeeper.web.api.Listing.Source;

/** The devices that report the supply. */
@Path("/api/sensors")
@Produces(MediaType.APPLICATION_JSON)
@Consumes(MediaType.APPLICATION_JSON)
@Needs(Right.SEE)
@Tag(name = "sensors", description = "The devices that report the supply of a cabinet, and what was heard of it last.")
class SensorsResource {

    private static final Source<Sensor> SENSORS = new Source<>("sensors", """
            SELECT s.id, s.device_id, s.base_name, s.cabinet_id, s.retired_at, s.version, t.reading, t.observed_at, t.silent_after, t.lost_since,
                   t.inside_c, t.outside_c, t.content_c, t.battery_percent
              FROM sensor s
              JOIN cabinet c ON c.id = s.cabinet_id
              LEFT JOIN sensor_status t ON t.sensor_id = s.id""", "s.id", Order.OLDEST_FIRST, Sensor::read, Sensor::id);

    private static final String SITE_OF_CABINET = "SELECT c.site_id FROM cabinet c WHERE c.id = ?";

    private final Reads reads;
    private final Listing listing;
    private final Desk desk;
    private final Registration registration;

    SensorsResource(Reads reads, Listing listing, Desk desk, Registration registration) {
        this.reads = reads;
        this.listing = listing;
        this.desk = desk;
        this.registration = registration;
    }

    /**
     * As it is registered, and what was heard of it last; {@code observedAt} says when that was true.
     *
     * @param reading    absent for a retired sensor
     * @param silentAfter until when the reading may be believed
     */
    record Sensor(long id, String deviceId, String baseName, long cabinetId, Optional<Instant> retiredAt, Optional<Reading> reading,
            Optional<Instant> observedAt, Optional<Instant> silentAfter, Optional<Instant> lostSince, Optional<Double> insideCelsius,
            Optional<Double> outsideCelsius, Optional<Double> contentCelsius, Optional<Double> batteryPercent, long version) {

        static Sensor read(Row row) throws SQLException {
            return new Sensor(row.number("id"), row.text("device_id"), row.text("base_name"), row.number("cabinet_id"),
                    row.optionalInstant("retired_at"), row.optionalText("reading").map(Reading::valueOf),
                            row.optionalInstant("observed_at"),
                    row.optionalInstant("silent_after"), row.optionalInstant("lost_since"), row.optionalDecimal("inside_c"),
                    row.optionalDecimal("outside_c"), row.optionalDecimal("content_c"), row.optionalDecimal("battery_percent"), row.number("version"));
        }

        String tag() {
            return Versions.tag(version);
        }
    }

    record SensorPage(List<Sensor> items, Optional<String> next) {
    }

    /**
     * A sensor with its secret, which is told only in this one answer; a repeat of the request is answered without it.
     *
     * @param secret what the sensor logs in with at the broker; absent in a repeated answer
     */
    record SensorWithSecret(long id, String deviceId, String baseName, long cabinetId, Optional<String> secret, long version) {

        SensorWithSecret withoutSecret() {
            return new SensorWithSecret(id, deviceId, baseName, cabinetId, Optional.empty(), version);
        }

        @Override
        public String toString() {
            return "SensorWithSecret[" + deviceId + "]";
        }
    }

    /** A sensor that is not registered yet. */
    record SensorEntry(@Nullable Long cabinetId, @Nullable String deviceId, @Nullable String baseName) {

        NewSensor entered() {
            Fields fields = new Fields();
            NewSensor entered = new NewSensor(fields.id("cabinetId", cabinetId), fields.text(deviceId), fields.text(baseName));
            fields.and(entered.problems()).refuseIfWrong();
            return entered;
        }
    }

    @GET
    @Operation(operationId = "listSensors", summary = "Lists the sensors of the cabinets that the caller may see",
            description = "Narrowed by the parameters site and cabinet. Retired sensors are listed only with retired=true.")
    @APIResponseSchema(SensorPage.class)
    public Response list(@Context UriInfo address) {
        Where where = new Where().within("c.site_id", desk.sitesWith(Right.SEE)).andIf(Listing.id("site", address), "c.site_id = ?")
                .andIf(Listing.id("cabinet", address), "s.cabinet_id = ?");
        return listing.page(SENSORS, Listing.isWished("retired", address) ? where : where.and("s.retired_at IS NULL"), address);
    }

    @POST
    @Needs(Right.EDIT_PLANT)
    @Operation(operationId = "registerSensor", summary = "Registers a sensor and makes its secret",
            description = "The secret is in this answer and nowhere else. A repeat with the same key is answered without it: renew it then.")
    @APIResponseSchema(value = SensorWithSecret.class, responseCode = "201")
    public Response register(@RequestBodySchema(SensorEntry.class) InputStream body, @Context HttpHeaders headers,
            @Context UriInfo address) {
        return desk.post(headers, address, desk.read(body, SensorEntry.class), entry -> {
            NewSensor entered = entry.entered();
            long siteId = reads.first(SITE_OF_CABINET, row -> row.number("site_id"), entered.cabinetId()).filter(desk::sees)
                    .orElseThrow(() -> Desk.notRegistered("cabinetId", "cabinet", entered.cabinetId()));
            desk.mustReach(Right.EDIT_PLANT, siteId, "cabinetId");
            SensorWithSecret made = withSecret(registration.addSensor(entered, desk.by()));
            return Answer.created("/api/sensors/" + made.deviceId(), made.version(), made).keeping(made.withoutSecret());
        });
    }

    @GET
    @Path("{sensor:[A-Za-z0-9_-]{1,64}}")
    @Operation(operationId = "readSensor", summary = "Reads a sensor and what was heard of it last",
            description = "The ETag is that of the registration: reports do not change it, so use no If-None-Match to wait for one.")
    @APIResponseSchema(Sensor.class)
    public Response read(@RestPath String sensor, @Context HttpHeaders headers) {
        return desk.foundAlways(stored(sensor), Sensor::tag);
    }

    @DELETE
    @Path("{sensor:[A-Za-z0-9_-]{1,64}}")
    @Needs(Right.EDIT_PLANT)
    @Operation(operationId = "retireSensor", summary = "Takes a sensor out of use", description = "From then on it cannot log in.")
    public Response retire(@RestPath String sensor, @Context HttpHeaders headers) {
        return desk.remove(headers, stored(sensor).filter(it -> it.retiredAt().isEmpty()), Sensor::tag,
                before -> registration.retireSensor(sensor, desk.by()));
    }

    @POST
    @Path("{sensor:[A-Za-z0-9_-]{1,64}}/secret")
    @Needs(Right.EDIT_PLANT)
    @Operation(operationId = "renewSecret", summary = "Makes a new secret for a sensor", description = "The old one is refused at once.")
    @APIResponseSchema(SensorWithSecret.class)
    public Response renewSecret(@RestPath String sensor, InputStream body, @Context HttpHeaders headers, @Context UriInfo address) {
        return desk.post(headers, address, body, () -> {
            SensorWithSecret made = withSecret(registration.renewSecret(sensor, desk.by()));
            return Answer.done(made).keeping(made.withoutSecret());
        });
    }

    private SensorWithSecret withSecret(RegisteredSensor made) {
        Sensor sensor = stored(made.key().deviceId()).orElseThrow();
        return new SensorWithSecret(sensor.id(), sensor.deviceId(), sensor.baseName(), sensor.cabinetId(), Optional.of(made.secret()),
                sensor.version());
    }

    private Optional<Sensor> stored(String deviceId) {
        return reads.first(SENSORS.select() + " WHERE s.device_id = ?", Sensor::read, deviceId);
    }
}
