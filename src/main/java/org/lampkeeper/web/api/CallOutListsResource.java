package org.lampkeeper.web.api;

import java.io.InputStream;
import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
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
import org.lampkeeper.callout.CallOutList;
import org.lampkeeper.callout.DutyRole;
import org.lampkeeper.callout.Turn;
import org.lampkeeper.callout.Whom;
import org.lampkeeper.register.CallOutLists;
import org.lampkeeper.register.CallOutSheet;
import org.lampkeeper.register.Registration;
import org.lampkeeper.web.api.Listing.Order;
import org.lampkeeper.web.api.Listing.Source;

/** Who is told, in order. One list a site, at the site's id; the operator's at 0. */
@Path("/api/call-out-lists")
@Produces(MediaType.APPLICATION_JSON)
@Consumes(MediaType.APPLICATION_JSON)
@Needs(Right.SEE)
@Tag(name = "call-out-lists",
        description = "Who is told of an alarm, in order: one list a site, at the id of the site; the list of the operator at 0.")
class CallOutListsResource {

    private static final Source<Long> SITES = new Source<>("call-out-lists", "SELECT s.id FROM site s", "s.id", Order.OLDEST_FIRST,
            row -> row.number("id"), id -> id);

    private final Listing listing;
    private final Desk desk;
    private final CallOutLists lists;
    private final Registration registration;

    CallOutListsResource(Listing listing, Desk desk, CallOutLists lists, Registration registration) {
        this.listing = listing;
        this.desk = desk;
        this.lists = lists;
        this.registration = registration;
    }

    /**
     * The list of a site.
     *
     * @param isStored           false where nobody has made one: then the operator's list is used
     * @param repeatAfterSeconds after the last turn, until the first is told again; absent where nothing is stored
     * @param rounds             how often the list is gone through before the last resort
     * @param lastResort         whether everybody of the site is told then, again and again; without it the list goes on from the first
     */
    record CallOutListAnswer(long siteId, boolean isStored, List<TurnAnswer> turns, Optional<Long> repeatAfterSeconds, int rounds,
            boolean lastResort, long version) {

        static CallOutListAnswer of(CallOutSheet sheet) {
            boolean isStored = sheet.version() != CallOutLists.NONE_STORED;
            return new CallOutListAnswer(sheet.siteId(), isStored,
                    sheet.list().turns().stream().map(turn -> new TurnAnswer(turn.personId(), turn.role(), turn.after().toSeconds())).toList(),
                    isStored ? Optional.of(sheet.list().repeatAfter().toSeconds()) : Optional.empty(), sheet.list().rounds(),
                    sheet.list().lastResort(), sheet.version());
        }

        String tag() {
            return Versions.tag(version);
        }
    }

    /** A person, or whoever is on duty for a role. {@code afterSeconds}: after the turn before, or after the start for the first. */
    record TurnAnswer(OptionalLong personId, Optional<DutyRole> role, long afterSeconds) {
    }

    record CallOutListPage(List<CallOutListAnswer> items, Optional<String> next) {
    }

    @JsonIgnoreProperties({"siteId", "isStored", "version"})
    record CallOutListEntry(@Nullable List<TurnEntry> turns, @Nullable Long repeatAfterSeconds, @Nullable Integer rounds,
            @Nullable Boolean lastResort) {

        CallOutList entered() {
            Fields fields = new Fields();
            List<Turn> entered = new ArrayList<>();
            List<TurnEntry> sent = fields.required("turns", turns, List.of());
            for (int i = 0; i < sent.size(); i++) {
                long after = fields.id("turns." + i + ".afterSeconds", sent.get(i).afterSeconds());
                DutyRole role = sent.get(i).role();
                if (role != null && sent.get(i).personId() != null) {
                    fields.wrong("turns." + i + ".role", "is given besides a person, must be the one or the other");
                }
                long person = role == null ? fields.id("turns." + i + ".personId", sent.get(i).personId()) : 0;
                if (after < 0 || after > Duration.ofDays(1).toSeconds()) {
                    fields.wrong("turns." + i + ".afterSeconds", "is " + after + ", must be 0 to 86400");
                    after = 0;
                }
                entered.add(new Turn(role == null ? new Whom.Person(person) : new Whom.OnDutyFor(role), Duration.ofSeconds(after)));
            }
            long repeat = fields.id("repeatAfterSeconds", repeatAfterSeconds);
            if (repeatAfterSeconds != null && (repeat < 1 || repeat > Duration.ofDays(1).toSeconds())) {
                fields.wrong("repeatAfterSeconds", "is " + repeat + ", must be 1 to 86400");
            }
            int through = rounds == null ? CallOutList.USUAL_ROUNDS : rounds;
            if (through < 1 || through > 100) {
                fields.wrong("rounds", "is " + through + ", must be 1 to 100");
            }
            fields.refuseIfWrong();
            return new CallOutList(entered, Duration.ofSeconds(repeat), through, !Boolean.FALSE.equals(lastResort));
        }
    }

    /** A person or a role, not both. */
    record TurnEntry(@Nullable Long personId, @Nullable DutyRole role, @Nullable Long afterSeconds) {
    }

    @GET
    @Operation(operationId = "listCallOutLists", summary = "Lists the call-out lists of the sites that the caller may see",
            description = "The operator's own list is at 0 and is not among them.")
    @APIResponseSchema(CallOutListPage.class)
    public Response list(@Context UriInfo address) {
        return listing.page(SITES, new Where().within("s.id", desk.sitesWith(Right.SEE)), address,
                siteId -> CallOutListAnswer.of(lists.sheet(siteId)));
    }

    @GET
    @Path("{site:\\d{1,18}}")
    @Operation(operationId = "readCallOutList", summary = "Reads the call-out list of a site, or the operator's at 0")
    @APIResponseSchema(CallOutListAnswer.class)
    public Response read(@RestPath long site, @Context HttpHeaders headers) {
        return desk.found(stored(site), CallOutListAnswer::tag, headers);
    }

    @PUT
    @Path("{site:\\d{1,18}}")
    @Needs(Right.EDIT_CALL_OUT)
    @Operation(operationId = "changeCallOutList", summary = "Replaces the call-out list of a site, or the operator's at 0",
            description = "Also makes the first list of a site that has none: read it, and send the ETag that you were answered.")
    @APIResponseSchema(CallOutListAnswer.class)
    public Response change(@RestPath long site, @RequestBodySchema(CallOutListEntry.class) InputStream body, @Context HttpHeaders headers) {
        CallOutList entered = desk.read(body, CallOutListEntry.class).value().entered();
        return desk.replace(headers, stored(site), CallOutListAnswer::tag, before -> {
            registration.changeCallOutList(site, (int) before.version(), entered, desk.by());
            return stored(site).orElseThrow();
        });
    }

    private Optional<CallOutListAnswer> stored(long site) {
        return Optional.of(CallOutListAnswer.of(lists.sheet(site)));
    }
}
