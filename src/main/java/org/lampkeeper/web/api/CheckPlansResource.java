package org.lampkeeper.web.api;

import java.io.InputStream;
import java.sql.SQLException;
import java.time.DateTimeException;
import java.time.Instant;
import java.time.LocalDate;
import java.time.LocalTime;
import java.util.List;
import java.util.Optional;
import java.util.OptionalLong;

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
import org.lampkeeper.callout.DutyRole;
import org.lampkeeper.callout.Whom;
import org.lampkeeper.check.CheckKind;
import org.lampkeeper.check.WhenClosed;
import org.lampkeeper.register.CheckPlans;
import org.lampkeeper.register.NewCheckPlan;
import org.lampkeeper.register.NotRegistered;
import org.lampkeeper.register.Problem;
import org.lampkeeper.web.Reads;
import org.lampkeeper.web.Reads.Row;
import org.lampkeeper.web.api.Listing.Order;
import org.lampkeeper.web.api.Listing.Source;

/** How often each cabinet is looked at, and who is asked. */
@Path("/api/check-plans")
@Produces(MediaType.APPLICATION_JSON)
@Consumes(MediaType.APPLICATION_JSON)
@Needs(Right.SEE)
@Tag(name = "check-plans", description = "How often each cabinet is looked at, between which times, and who is asked.")
class CheckPlansResource {

    private static final Source<CheckPlanAnswer> PLANS = new Source<>("check-plans", """
            SELECT p.id, p.site_id, p.cabinet_id, p.kind, p.rule, p.first_day, p.opens_minute, p.closes_minute, p.grace_minutes, p.when_closed, p.asked_role,
                   p.asked_person_id, p.closed_role, p.closed_person_id, p.sensor_counts, p.asks_code, p.ended_at, p.version FROM check_plan p""",
            "p.id", Order.OLDEST_FIRST, CheckPlanAnswer::read, CheckPlanAnswer::id);

    /** Ours: one transaction of a second or two. */
    private static final int MOST_CABINETS = 200;

    private static final String SITE_OF_CABINET = "SELECT site_id FROM cabinet WHERE id = ?";

    private final Reads reads;
    private final Listing listing;
    private final Desk desk;
    private final CheckPlans plans;

    CheckPlansResource(Reads reads, Listing listing, Desk desk, CheckPlans plans) {
        this.reads = reads;
        this.listing = listing;
        this.desk = desk;
        this.plans = plans;
    }

    /**
     * A plan.
     *
     * @param rule    a recurrence rule of RFC 5545 of whole days, counted from {@code first}
     * @param opens   on the clocks of the site
     * @param closes  where it is not later than {@code opens}, on the following day
     * @param asksCode whether the code on the label is asked for, which makes it a look at the cabinet
     * @param endedAt from here on nothing is due by it; absent while it counts
     */
    record CheckPlanAnswer(long id, long siteId, long cabinetId, CheckKind kind, String rule, LocalDate first, String opens, String closes, int graceMinutes,
            WhenClosed whenClosed, WhomAnswer asked, Optional<WhomAnswer> askedWhenClosed, boolean sensorCounts, boolean asksCode, Optional<Instant> endedAt, long version) {

        static CheckPlanAnswer read(Row row) throws SQLException {
            boolean isElse = row.has("closed_role") || row.has("closed_person_id");
            return new CheckPlanAnswer(row.number("id"), row.number("site_id"), row.number("cabinet_id"), CheckKind.valueOf(row.text("kind")), row.text("rule"),
                    row.date("first_day").orElseThrow(), clock(row.number("opens_minute")), clock(row.number("closes_minute")), (int) row.number("grace_minutes"),
                    WhenClosed.valueOf(row.text("when_closed")), whom(row, "asked"), isElse ? Optional.of(whom(row, "closed")) : Optional.empty(),
                    row.is("sensor_counts"), row.is("asks_code"), row.optionalInstant("ended_at"), row.number("version"));
        }

        private static WhomAnswer whom(Row row, String who) throws SQLException {
            return new WhomAnswer(row.optionalNumber(who + "_person_id"), row.optionalText(who + "_role").map(DutyRole::valueOf));
        }

        private static String clock(long minute) {
            return LocalTime.ofSecondOfDay(minute * 60).toString();
        }

        String tag() {
            return Versions.tag(version);
        }
    }

    /** A person, or whoever is on duty for a role. */
    record WhomAnswer(OptionalLong personId, Optional<DutyRole> role) {
    }

    record CheckPlanPage(List<CheckPlanAnswer> items, Optional<String> next) {
    }

    /** As it is to be. */
    @JsonIgnoreProperties({"id", "siteId", "endedAt", "version"})
    record CheckPlanEntry(@Nullable Long cabinetId, @Nullable CheckKind kind, @Nullable String rule, @Nullable LocalDate first, @Nullable String opens,
            @Nullable String closes, @Nullable Integer graceMinutes, @Nullable WhenClosed whenClosed, @Nullable WhomEntry asked,
            @Nullable WhomEntry askedWhenClosed, @Nullable Boolean sensorCounts, @Nullable Boolean asksCode) {

        NewCheckPlan entered() {
            Fields fields = new Fields();
            fields.id("cabinetId", cabinetId);
            return entered(fields);
        }

        NewCheckPlan entered(Fields fields) {
            NewCheckPlan entered = new NewCheckPlan(fields.required("kind", kind, CheckKind.LAMP), fields.text(rule),
                    fields.required("first", first, LocalDate.EPOCH), clock(fields, "opens", opens), clock(fields, "closes", closes),
                    fields.whole("graceMinutes", graceMinutes), fields.required("whenClosed", whenClosed, WhenClosed.SKIP),
                    fields.required("asked", asked, new WhomEntry(null, DutyRole.SITE_DUTY)).entered(fields, "asked"),
                    Optional.ofNullable(askedWhenClosed).map(whom -> whom.entered(fields, "askedWhenClosed")), Boolean.TRUE.equals(sensorCounts),
                    Boolean.TRUE.equals(asksCode));
            fields.and(entered.problems()).refuseIfWrong();
            return entered;
        }

        private static LocalTime clock(Fields fields, String name, @Nullable String time) {
            try {
                return LocalTime.parse(fields.required(name, time, "00:00"));
            } catch (DateTimeException notATime) {
                fields.wrong(name, "is no time of day, must be written like 09:00");
                return LocalTime.MIDNIGHT;
            }
        }
    }

    /** The same plan for each of these cabinets. */
    record CheckPlansEntry(@Nullable List<Long> cabinetIds, @Nullable CheckKind kind, @Nullable String rule, @Nullable LocalDate first, @Nullable String opens,
            @Nullable String closes, @Nullable Integer graceMinutes, @Nullable WhenClosed whenClosed, @Nullable WhomEntry asked,
            @Nullable WhomEntry askedWhenClosed, @Nullable Boolean sensorCounts, @Nullable Boolean asksCode) {

        NewCheckPlan entered() {
            Fields fields = new Fields();
            List<@Nullable Long> sent = fields.required("cabinetIds", cabinetIds, List.of());
            if (sent.size() > MOST_CABINETS) {
                fields.wrong("cabinetIds", "names " + sent.size() + " cabinets, must be at most " + MOST_CABINETS + " at once");
            }
            for (int i = 0; i < sent.size(); i++) {
                fields.id("cabinetIds." + i, sent.get(i));
            }
            return new CheckPlanEntry(null, kind, rule, first, opens, closes, graceMinutes, whenClosed, asked, askedWhenClosed, sensorCounts, asksCode)
                    .entered(fields);
        }
    }

    /** Those that were added, in the order of their cabinets' numbers. */
    record CheckPlansAnswer(List<CheckPlanAnswer> items) {
    }

    /** A person or a role, not both. */
    record WhomEntry(@Nullable Long personId, @Nullable DutyRole role) {

        Whom entered(Fields fields, String name) {
            if (role != null && personId != null) {
                fields.wrong(name, "names a person and a role, must be the one or the other");
            }
            return role != null ? new Whom.OnDutyFor(role) : new Whom.Person(fields.id(name + ".personId", personId));
        }
    }

    @GET
    @Operation(operationId = "listCheckPlans", summary = "Lists the plans of looks at the sites that the caller may see",
            description = "Narrowed by the parameters site and cabinet. Those that have ended are among them, with when they did.")
    @APIResponseSchema(CheckPlanPage.class)
    public Response list(@Context UriInfo address) {
        return listing.page(PLANS, new Where().within("p.site_id", desk.sitesWith(Right.SEE)).andIf(Listing.id("site", address), "p.site_id = ?")
                .andIf(Listing.id("cabinet", address), "p.cabinet_id = ?"), address);
    }

    @POST
    @Needs(Right.EDIT_CALL_OUT)
    @Operation(operationId = "addCheckPlan", summary = "Adds a plan for a cabinet", description = "A window that has closed already is not due by it.")
    @APIResponseSchema(value = CheckPlanAnswer.class, responseCode = "201")
    public Response add(@RequestBodySchema(CheckPlanEntry.class) InputStream body, @Context HttpHeaders headers, @Context UriInfo address) {
        return desk.post(headers, address, desk.read(body, CheckPlanEntry.class), entry -> {
            NewCheckPlan entered = entry.entered();
            long cabinet = entry.cabinetId() == null ? 0 : entry.cabinetId();
            mustReach(cabinet, "cabinetId");
            CheckPlanAnswer made = add(List.of(cabinet), entered, "cabinetId").get(0);
            return Answer.created("/api/check-plans/" + made.id(), made.version(), made);
        });
    }

    @POST
    @Path("for-cabinets")
    @Needs(Right.EDIT_CALL_OUT)
    @Operation(operationId = "addCheckPlans", summary = "Adds the same plan for many cabinets",
            description = "Of one site or of several. For all of them, or, where something is wrong with one, for none.")
    @APIResponseSchema(value = CheckPlansAnswer.class, responseCode = "201")
    public Response addMany(@RequestBodySchema(CheckPlansEntry.class) InputStream body, @Context HttpHeaders headers, @Context UriInfo address) {
        return desk.post(headers, address, desk.read(body, CheckPlansEntry.class), entry -> {
            NewCheckPlan entered = entry.entered();
            List<Long> cabinets = entry.cabinetIds() == null ? List.of() : entry.cabinetIds();
            for (int i = 0; i < cabinets.size(); i++) {
                mustReach(cabinets.get(i), "cabinetIds." + i);
            }
            CheckPlansAnswer made = new CheckPlansAnswer(add(cabinets, entered, "cabinetIds"));
            return new Answer(201, Optional.empty(), Optional.empty(), made, made);
        });
    }

    private void mustReach(long cabinet, String field) {
        long site = reads.first(SITE_OF_CABINET, row -> row.number("site_id"), cabinet).filter(desk::sees)
                .orElseThrow(() -> Desk.notRegistered(field, "cabinet", cabinet));
        desk.mustReach(Right.EDIT_CALL_OUT, site, field);
    }

    /** {@code field}: what the body calls what the register calls the cabinets. */
    private List<CheckPlanAnswer> add(List<Long> cabinets, NewCheckPlan entered, String field) {
        try {
            return plans.add(cabinets, entered, desk.by()).stream().map(sheet -> stored(sheet.id()).orElseThrow()).toList();
        } catch (NotRegistered wrong) {
            throw Fields.refused(new NotRegistered("check plan", wrong.problems().stream()
                    .map(problem -> problem.field().equals("cabinets") ? new Problem(field, problem.text()) : problem).toList()));
        }
    }

    @GET
    @Path("{plan:\\d{1,18}}")
    @Operation(operationId = "readCheckPlan", summary = "Reads a plan")
    @APIResponseSchema(CheckPlanAnswer.class)
    public Response read(@RestPath long plan, @Context HttpHeaders headers) {
        return desk.found(stored(plan), CheckPlanAnswer::tag, headers);
    }

    @PUT
    @Path("{plan:\\d{1,18}}")
    @Needs(Right.EDIT_CALL_OUT)
    @Operation(operationId = "changeCheckPlan", summary = "Replaces a plan", description = "It stays with its cabinet. What has opened already stays as it was.")
    @APIResponseSchema(CheckPlanAnswer.class)
    public Response change(@RestPath long plan, @RequestBodySchema(CheckPlanEntry.class) InputStream body, @Context HttpHeaders headers) {
        CheckPlanEntry entry = desk.read(body, CheckPlanEntry.class).value();
        NewCheckPlan entered = entry.entered();
        return desk.replace(headers, stored(plan), CheckPlanAnswer::tag, before -> {
            if (entry.cabinetId() == null || before.cabinetId() != entry.cabinetId()) {
                new Fields().wrong("cabinetId", "is " + entry.cabinetId() + ", must stay " + before.cabinetId() + ": add a plan for another cabinet instead")
                        .refuseIfWrong();
            }
            plans.change(plan, (int) before.version(), entered, desk.by());
            return stored(plan).orElseThrow();
        });
    }

    @DELETE
    @Path("{plan:\\d{1,18}}")
    @Needs(Right.EDIT_CALL_OUT)
    @Operation(operationId = "endCheckPlan", summary = "Ends a plan", description = "It can still be read, with when it ended; what was looked at stays.")
    public Response end(@RestPath long plan, @Context HttpHeaders headers) {
        return desk.remove(headers, stored(plan), CheckPlanAnswer::tag, before -> plans.end(plan, desk.by()));
    }

    private Optional<CheckPlanAnswer> stored(long plan) {
        return reads.first(PLANS.select() + " WHERE p.id = ?", CheckPlanAnswer::read, plan);
    }
}
