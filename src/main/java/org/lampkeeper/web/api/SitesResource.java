package org.lampkeeper.web.api;

import java.io.InputStream;
import java.sql.SQLException;
import java.util.List;
import java.util.Optional;

import jakarta.ws.rs.Consumes;
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
import org.lampkeeper.register.NewSite;
import org.lampkeeper.register.Registration;
import org.lampkeeper.web.Reads;
import org.lampkeeper.web.Reads.Row;
import org.lampkeeper.web.api.Listing.Order;
import org.lampkeeper.web.api.Listing.Source;

/** Places with cabinets. */
@Path("/api/sites")
@Produces(MediaType.APPLICATION_JSON)
@Consumes(MediaType.APPLICATION_JSON)
@Needs(Right.SEE)
@Tag(name = "sites", description = "Places with cabinets: address, time zone, how to get in, where the supply comes in.")
class SitesResource {

    private static final Source<Site> SITES = new Source<>("sites", """
            SELECT s.id, s.name, s.address, s.zone, s.access, s.intake, s.electrician_name, s.electrician_phone, s.version FROM site s""",
            "s.id", Order.OLDEST_FIRST, Site::read, Site::id);

    private final Reads reads;
    private final Listing listing;
    private final Desk desk;
    private final Registration registration;

    SitesResource(Reads reads, Listing listing, Desk desk, Registration registration) {
        this.reads = reads;
        this.listing = listing;
        this.desk = desk;
        this.registration = registration;
    }

    /** As it is registered. */
    record Site(long id, String name, String address, String zone, String access, String intake, Optional<Electrician> electrician,
            long version) {

        static Site read(Row row) throws SQLException {
            Optional<String> phone = row.optionalText("electrician_phone");
            return new Site(row.number("id"), row.text("name"), row.text("address"), row.text("zone"), row.text("access"),
                    row.text("intake"),
                    row.optionalText("electrician_name").map(name -> new Electrician(name, phone)), row.number("version"));
        }

        String tag() {
            return Versions.tag(version);
        }
    }

    /** Who may open the electrical parts. */
    record Electrician(String name, Optional<String> phone) {
    }

    record SitePage(List<Site> items, Optional<String> next) {
    }

    /** As it is to be. */
    @JsonIgnoreProperties({"id", "version"})
    record SiteEntry(@Nullable String name, @Nullable String address, @Nullable String zone, @Nullable String access,
            @Nullable String intake,
            @Nullable ElectricianEntry electrician) {

        NewSite entered() {
            Fields fields = new Fields();
            NewSite entered = new NewSite(fields.text(name), fields.text(address), fields.zone("zone", zone), fields.text(access),
                    fields.text(intake), Optional.ofNullable(electrician).map(it -> new org.lampkeeper.register.Electrician(
                            fields.text(it.name()), Optional.ofNullable(it.phone()))));
            fields.and(entered.problems()).refuseIfWrong();
            return entered;
        }
    }

    record ElectricianEntry(@Nullable String name, @Nullable String phone) {
    }

    @GET
    @Operation(operationId = "listSites", summary = "Lists the sites that the caller may see")
    @APIResponseSchema(SitePage.class)
    public Response list(@Context UriInfo address) {
        return listing.page(SITES, new Where().within("s.id", desk.sitesWith(Right.SEE)), address);
    }

    @POST
    @Needs(value = Right.EDIT_SITE, everywhere = true)
    @Operation(operationId = "registerSite", summary = "Registers a site", description = "Takes the right to change sites at every site.")
    @APIResponseSchema(value = Site.class, responseCode = "201")
    public Response register(@RequestBodySchema(SiteEntry.class) InputStream body, @Context HttpHeaders headers, @Context UriInfo address) {
        return desk.post(headers, address, desk.read(body, SiteEntry.class), entry -> {
            Site made = stored(registration.addSite(entry.entered(), desk.by()).id()).orElseThrow();
            return Answer.created("/api/sites/" + made.id(), made.version(), made);
        });
    }

    @GET
    @Path("{site:\\d{1,18}}")
    @Operation(operationId = "readSite", summary = "Reads a site")
    @APIResponseSchema(Site.class)
    public Response read(@RestPath long site, @Context HttpHeaders headers) {
        return desk.found(stored(site), Site::tag, headers);
    }

    @PUT
    @Path("{site:\\d{1,18}}")
    @Needs(Right.EDIT_SITE)
    @Operation(operationId = "changeSite", summary = "Replaces what is registered of a site")
    @APIResponseSchema(Site.class)
    public Response change(@RestPath long site, @RequestBodySchema(SiteEntry.class) InputStream body, @Context HttpHeaders headers) {
        NewSite entered = desk.read(body, SiteEntry.class).value().entered();
        return desk.replace(headers, stored(site), Site::tag, before -> {
            registration.changeSite(site, (int) before.version(), entered, desk.by());
            return stored(site).orElseThrow();
        });
    }

    private Optional<Site> stored(long site) {
        return reads.first(SITES.select() + " WHERE s.id = ?", Site::read, site);
    }
}
