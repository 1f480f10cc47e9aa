package org.lampkeeper.web.api;

import java.io.InputStream;
import java.time.LocalDate;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;

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
import org.lampkeeper.register.ClosedDay;
import org.lampkeeper.register.ClosedDays;
import org.lampkeeper.register.Holidays;
import org.lampkeeper.register.Register;
import org.lampkeeper.web.api.Listing.Order;
import org.lampkeeper.web.api.Listing.Source;

/** On which days nobody is at a site. One list a site, at the site's id. */
@Path("/api/closed-days")
@Produces(MediaType.APPLICATION_JSON)
@Consumes(MediaType.APPLICATION_JSON)
@Needs(Right.SEE)
@Tag(name = "closed-days", description = "On which days nobody is at a site, and which public holidays it keeps: one list a site, at the id of the site.")
class ClosedDaysResource {

    private static final Source<Long> SITES = new Source<>("closed-days", "SELECT s.id FROM site s", "s.id", Order.OLDEST_FIRST, row -> row.number("id"),
            id -> id);

    private final Listing listing;
    private final Desk desk;
    private final ClosedDays closedDays;
    private final Register register;

    ClosedDaysResource(Listing listing, Desk desk, ClosedDays closedDays, Register register) {
        this.listing = listing;
        this.desk = desk;
        this.closedDays = closedDays;
        this.register = register;
    }

    /**
     * The closed days of a site.
     *
     * @param days         those that were entered, in order; those that are over are among them
     * @param calendar     of public holidays, whose days are closed ones too: a country as gb, or one with its part as gb_sct; absent for none
     * @param calendarName the same in words
     */
    record ClosedDaysAnswer(long siteId, List<ClosedDayAnswer> days, Optional<String> calendar, Optional<String> calendarName) {
    }

    /** A day, and what is on. */
    record ClosedDayAnswer(LocalDate day, String name) {
    }

    record ClosedDaysPage(List<ClosedDaysAnswer> items, Optional<String> next) {
    }

    /** As they are to be; without a calendar no public holidays are kept. */
    @JsonIgnoreProperties({"siteId", "calendarName"})
    record ClosedDaysEntry(@Nullable List<ClosedDayEntry> days, @Nullable String calendar) {

        List<ClosedDay> entered() {
            Fields fields = new Fields();
            List<ClosedDayEntry> sent = fields.required("days", days, List.of());
            List<ClosedDay> entered = new ArrayList<>();
            for (int i = 0; i < sent.size(); i++) {
                entered.add(new ClosedDay(fields.required("days." + i + ".day", sent.get(i).day(), LocalDate.EPOCH), fields.text(sent.get(i).name())));
            }
            fields.refuseIfWrong();
            return entered;
        }
    }

    /** A day, and what is on. */
    record ClosedDayEntry(@Nullable LocalDate day, @Nullable String name) {
    }

    @GET
    @Operation(operationId = "listClosedDays", summary = "Lists the closed days of the sites that the caller may see", description = "One list a site.")
    @APIResponseSchema(ClosedDaysPage.class)
    public Response list(@Context UriInfo address) {
        return listing.page(SITES, new Where().within("s.id", desk.sitesWith(Right.SEE)), address, this::ofSite);
    }

    @GET
    @Path("{site:\\d{1,18}}")
    @Operation(operationId = "readClosedDays", summary = "Reads the closed days of a site, and which public holidays it keeps")
    @APIResponseSchema(ClosedDaysAnswer.class)
    public Response read(@RestPath long site) {
        return desk.foundAlways(stored(site), desk::tagOf);
    }

    @PUT
    @Path("{site:\\d{1,18}}")
    @Needs(Right.EDIT_CALL_OUT)
    @Operation(operationId = "changeClosedDays", summary = "Replaces the closed days of a site, and the public holidays that it keeps",
            description = "A day that is not among them is an open one again. What becomes of a look on a closed day is said in its plan; what has opened already "
                    + "stays as it was.")
    @APIResponseSchema(ClosedDaysAnswer.class)
    public Response change(@RestPath long site, @RequestBodySchema(ClosedDaysEntry.class) InputStream body, @Context HttpHeaders headers) {
        ClosedDaysEntry entry = desk.read(body, ClosedDaysEntry.class).value();
        List<ClosedDay> entered = entry.entered();
        return desk.replace(headers, stored(site), desk::tagOf, before -> {
            closedDays.replace(site, entered, Optional.ofNullable(entry.calendar()), desk.by());
            return ofSite(site);
        });
    }

    private Optional<ClosedDaysAnswer> stored(long site) {
        return register.site(site).map(found -> ofSite(site));
    }

    private ClosedDaysAnswer ofSite(long site) {
        Optional<Holidays> holidays = closedDays.holidays(site);
        return new ClosedDaysAnswer(site, closedDays.ofSite(site).entrySet().stream().map(each -> new ClosedDayAnswer(each.getKey(), each.getValue())).toList(),
                holidays.map(Holidays::code), holidays.map(Holidays::words));
    }
}
