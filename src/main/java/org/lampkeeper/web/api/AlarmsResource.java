package org.lampkeeper.web.api;

import java.io.InputStream;
import java.sql.SQLException;
import java.time.Instant;
import java.util.List;
import java.util.Optional;
import java.util.OptionalInt;
import java.util.OptionalLong;
import java.util.TreeSet;

import jakarta.ws.rs.Consumes;
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
import org.eclipse.microprofile.openapi.annotations.parameters.RequestBodySchema;
import org.eclipse.microprofile.openapi.annotations.responses.APIResponseSchema;
import org.eclipse.microprofile.openapi.annotations.tags.Tag;
import org.jboss.resteasy.reactive.RestPath;
import org.jspecify.annotations.Nullable;

import org.lampkeeper.access.Needs;
import org.lampkeeper.access.Right;
import org.lampkeeper.alarm.AlarmKind;
import org.lampkeeper.alarm.AlarmState;
import org.lampkeeper.alarm.Attendance;
import org.lampkeeper.alarm.AttendanceCause;
import org.lampkeeper.alarm.Priority;
import org.lampkeeper.watch.AlarmDesk;
import org.lampkeeper.watch.AlarmDesk.HandResult;
import org.lampkeeper.watch.AlarmDesk.HoldResult;
import org.lampkeeper.watch.AlarmDesk.PassResult;
import org.lampkeeper.watch.AlarmDesk.TakeResult;
import org.lampkeeper.watch.AttendanceCauses;
import org.lampkeeper.watch.AttendanceDesk;
import org.lampkeeper.watch.AttendanceDesk.SaveResult;
import org.lampkeeper.watch.AttendanceEntry;
import org.lampkeeper.web.ProblemType;
import org.lampkeeper.web.Reads;
import org.lampkeeper.web.Reads.Row;
import org.lampkeeper.web.Refused;
import org.lampkeeper.web.api.Listing.Order;
import org.lampkeeper.web.api.Listing.Source;

/** What needs a person, and what people do about it. */
@Path("/api/alarms")
@Produces(MediaType.APPLICATION_JSON)
@Consumes(MediaType.APPLICATION_JSON)
@Needs(Right.SEE)
@Tag(name = "alarms",
        description = "What needs a person, who has it, and what was done about it. Actions are in the name of the token's owner.")
class AlarmsResource {

    private static final Source<Alarm> ALARMS = new Source<>("alarms", """
            SELECT a.id, a.kind, a.site_id, a.cabinet_id, a.state, a.live, a.since, a.raised_at, a.acknowledged_by, a.acknowledged_at, a.returned_at,
                   a.held_until, a.closed_at, a.attended_at, a.call_out_id, p.name,
                   CASE WHEN o.phase IN ('CLIMBING', 'LAST_RESORT') THEN o.next_at END AS next_at,
                   CASE WHEN a.acknowledged_by IS NOT NULL THEN o.promised_at END AS promised_at,
                   CASE WHEN a.acknowledged_by IS NOT NULL THEN o.asked_person END AS asked_person
              FROM alarm a
              LEFT JOIN person p ON p.id = a.acknowledged_by
              LEFT JOIN call_out o ON o.id = a.call_out_id""", "a.id", Order.NEWEST_FIRST, Alarm::read, Alarm::id);

    private final Reads reads;
    private final Listing listing;
    private final Desk desk;
    private final AlarmDesk alarms;
    private final AttendanceDesk attendances;
    private final AttendanceCauses causes;

    AlarmsResource(Reads reads, Listing listing, Desk desk, AlarmDesk alarms, AttendanceDesk attendances, AttendanceCauses causes) {
        this.reads = reads;
        this.listing = listing;
        this.desk = desk;
        this.alarms = alarms;
        this.attendances = attendances;
        this.causes = causes;
    }

    /**
     * An alarm.
     *
     * @param siteId        0: about the installation itself
     * @param cabinetId     absent: about the whole site, or the installation
     * @param live          whether the condition is there
     * @param nextToldAt    when the next person is told; absent when somebody has it, or it is over
     * @param arrivalAt     when who has it said they would be there; absent where they did not say
     * @param handedOnTo    who is asked to take it over; until they do, the other has it
     * @param attendedAt    when it was settled what was done about it
     */
    record Alarm(long id, AlarmKind kind, Priority priority, long siteId, OptionalLong cabinetId, AlarmState state, boolean live,
            Instant since,
            Instant raisedAt, Optional<Taker> takenBy, Optional<Instant> returnedAt, Optional<Instant> heldUntil,
                    Optional<Instant> nextToldAt,
            Optional<Instant> arrivalAt, OptionalLong handedOnTo, Optional<Instant> closedAt, Optional<Instant> attendedAt) {

        static Alarm read(Row row) throws SQLException {
            AlarmKind kind = AlarmKind.valueOf(row.text("kind"));
            Optional<Taker> taker = row.has("acknowledged_by") && row.has("acknowledged_at") ? Optional.of(new Taker(
                    row.number("acknowledged_by"), row.optionalText("name").orElse("erased"), row.instant("acknowledged_at")))
                            : Optional.empty();
            return new Alarm(row.number("id"), kind, kind.priority(), row.number("site_id"), row.optionalNumber("cabinet_id"),
                    AlarmState.valueOf(row.text("state")), row.is("live"), row.instant("since"), row.instant("raised_at"), taker,
                    row.optionalInstant("returned_at"), row.optionalInstant("held_until"), row.optionalInstant("next_at"),
                    row.optionalInstant("promised_at"), row.optionalNumber("asked_person"), row.optionalInstant("closed_at"), row.optionalInstant("attended_at"));
        }
    }

    record Taker(long personId, String name, Instant at) {
    }

    record AlarmPage(List<Alarm> items, Optional<String> next) {
    }

    /** {@code arrivalAt}: when they will be there, within twelve hours; may be left out, as the whole body may. */
    record TakeEntry(@Nullable Instant arrivalAt) {
    }

    /** Who is asked to take the alarm over. */
    record HandOnEntry(@Nullable Long personId) {
    }

    /** Until when an alarm is held back, and why. */
    record ShelveEntry(@Nullable Instant until, @Nullable String reason) {
    }

    /**
     * What was done about an alarm, as last saved.
     *
     * @param visit     which going there, from 1
     * @param number    of the saving; 0: nothing was saved yet
     * @param isComplete whether it settles the matter
     * @param missing   what is still to be said
     */
    record AttendanceAnswer(long alarmId, int visit, int number, Optional<Instant> writtenAt, OptionalLong writtenBy, boolean isComplete,
            List<MissingAnswer> missing, Optional<Instant> arrivedAt, Optional<String> cause, Optional<String> done,
                    Optional<String> retestedBy,
            boolean retesterCompetent, OptionalInt fuseFittedAmpere, Optional<Attendance.Content> content, Optional<String> contentMovedTo,
            boolean peopleTold, Optional<Attendance.Fit> fit, Optional<String> noneBecause) {

        String tag() {
            return Versions.tag(number);
        }
    }

    /** What was done at each visit, in the order in which people went. */
    record AttendanceVisits(List<AttendanceAnswer> items) {
    }

    /** {@code field}: what to fill in; {@code text}: what it is about. */
    record MissingAnswer(String field, String text) {
    }

    /** What was done about an alarm, as far as somebody says; what is left out has not been said. */
    @JsonIgnoreProperties({"alarmId", "visit", "number", "writtenAt", "writtenBy", "isComplete", "missing"})
    record AttendanceEntryBody(@Nullable Instant arrivedAt, @Nullable String cause, @Nullable String done, @Nullable String retestedBy,
            @Nullable Boolean retesterCompetent, @Nullable Integer fuseFittedAmpere, Attendance.@Nullable Content content,
            @Nullable String contentMovedTo, @Nullable Boolean peopleTold, Attendance.@Nullable Fit fit, @Nullable String noneBecause) {
    }

    @GET
    @Operation(operationId = "listAlarms", summary = "Lists the alarms of the sites that the caller may see, newest first",
            description = "Narrowed by the parameters open=true, site and cabinet.")
    @APIResponseSchema(AlarmPage.class)
    public Response list(@Context UriInfo address) {
        Where where = new Where().within("a.site_id", desk.sitesWith(Right.SEE)).andIf(Listing.id("site", address), "a.site_id = ?")
                .andIf(Listing.id("cabinet", address), "a.cabinet_id = ?");
        // By one_open_alarm_per_cabinet_and_kind: the key is there exactly while the alarm is open.
        return listing.page(ALARMS, Listing.isWished("open", address) ? where.and("a.open_key IS NOT NULL") : where, address);
    }

    @GET
    @Path("{alarm:\\d{1,18}}")
    @Operation(operationId = "readAlarm", summary = "Reads an alarm")
    @APIResponseSchema(Alarm.class)
    public Response read(@RestPath long alarm, @Context HttpHeaders headers) {
        return desk.found(stored(alarm), headers);
    }

    @POST
    @Path("{alarm:\\d{1,18}}/take")
    @Needs(Right.TAKE)
    @Operation(operationId = "takeAlarm", summary = "Takes an alarm: the owner of the token goes there",
            description = "Takes all others of the same call-out with it; nobody else is told any more, unless they are not there by the"
                    + " arrival that they promise, or it is not back to normal in time. Taken again by the same person, it stays as it is,"
                    + " but for the arrival. May be sent without a body.")
    @APIResponseSchema(Alarm.class)
    public Response take(@RestPath long alarm, @RequestBodySchema(TakeEntry.class) InputStream body, @Context HttpHeaders headers,
            @Context UriInfo address) {
        return desk.post(headers, address, desk.readOrNothing(body, TakeEntry.class, new TakeEntry(null)), entry -> {
            Optional<Instant> arrival = Optional.ofNullable(entry.arrivalAt());
            Fields fields = new Fields();
            Instant now = desk.by().at();
            arrival.filter(at -> !at.isAfter(now) || at.isAfter(now.plus(AlarmDesk.FARTHEST_ARRIVAL))).ifPresent(at -> fields
                    .wrong("arrivalAt", "is " + at + ", must lie ahead and be at most " + AlarmDesk.FARTHEST_ARRIVAL.toHours() + " hours away"));
            fields.refuseIfWrong();
            TakeResult result = alarms.take(alarm, desk.personId(), arrival);
            if (result instanceof TakeResult.AlreadyTaken taken) {
                throw new Refused(ProblemType.TAKEN_ALREADY, taken.byName() + " has it since " + taken.at() + ".");
            }
            if (result instanceof TakeResult.NotNeeded not) {
                throw new Refused(ProblemType.NOT_NEEDED, not.why());
            }
            return answered(alarm, result instanceof TakeResult.NotFound);
        });
    }

    @POST
    @Path("{alarm:\\d{1,18}}/pass-on")
    @Needs(Right.TAKE)
    @Operation(operationId = "passAlarmOn", summary = "Passes an alarm on: the owner of the token cannot come, the next one is told now")
    @APIResponseSchema(Alarm.class)
    public Response passOn(@RestPath long alarm, InputStream body, @Context HttpHeaders headers, @Context UriInfo address) {
        return desk.post(headers, address, body, () -> {
            PassResult result = alarms.cannot(alarm, desk.personId());
            if (result instanceof PassResult.NotNeeded not) {
                throw new Refused(ProblemType.NOT_NEEDED, not.why());
            }
            return answered(alarm, result instanceof PassResult.NotFound);
        });
    }

    @POST
    @Path("{alarm:\\d{1,18}}/hand-on")
    @Needs(Right.TAKE)
    @Operation(operationId = "handAlarmOn", summary = "Asks another to take over an alarm that the owner of the token has",
            description = "Until that person takes it themself it stays where it is, also when they do not answer.")
    @APIResponseSchema(Alarm.class)
    public Response handOn(@RestPath long alarm, @RequestBodySchema(HandOnEntry.class) InputStream body, @Context HttpHeaders headers,
            @Context UriInfo address) {
        return desk.post(headers, address, desk.read(body, HandOnEntry.class), entry -> {
            Fields fields = new Fields();
            long to = fields.id("personId", entry.personId());
            fields.refuseIfWrong();
            HandResult result = alarms.handOn(alarm, desk.personId(), to);
            if (result instanceof HandResult.Refused refused) {
                throw new Refused(ProblemType.NOT_NEEDED, refused.why());
            }
            return answered(alarm, result instanceof HandResult.NotFound);
        });
    }

    @POST
    @Path("{alarm:\\d{1,18}}/arrive")
    @Needs(Right.TAKE)
    @Operation(operationId = "arriveAtAlarm", summary = "Records that the owner of the token is there now",
            description = "In the attendance record, unless their arrival is recorded already. Where somebody else's is, it begins a further visit.")
    @APIResponseSchema(AttendanceAnswer.class)
    public Response arrive(@RestPath long alarm, InputStream body, @Context HttpHeaders headers, @Context UriInfo address) {
        return desk.post(headers, address, body, () -> {
            SaveResult result = attendances.arrive(alarm, desk.personId());
            if (result instanceof SaveResult.Refused refused) {
                throw new Refused(ProblemType.NOT_NEEDED, refused.remarks().get(0).text());
            }
            return Answer.done(attendanceOf(alarm, OptionalLong.empty()).orElseThrow(NotFoundException::new));
        });
    }

    @POST
    @Path("{alarm:\\d{1,18}}/shelve")
    @Needs(Right.HOLD_BACK)
    @Operation(operationId = "shelveAlarm", summary = "Holds an alarm back for a time",
            description = "At the end the state counts at once.")
    @APIResponseSchema(Alarm.class)
    public Response shelve(@RestPath long alarm, @RequestBodySchema(ShelveEntry.class) InputStream body, @Context HttpHeaders headers,
            @Context UriInfo address) {
        return desk.post(headers, address, desk.read(body, ShelveEntry.class), entry -> {
            Fields fields = new Fields();
            Instant until = fields.required("until", entry.until(), Instant.EPOCH);
            String reason = fields.reason(entry.reason());
            fields.refuseIfWrong();
            if (alarms.shelve(alarm, until, reason, OptionalLong.of(desk.personId())) instanceof HoldResult.Refused refused) {
                throw new Refused(ProblemType.INVALID, refused.why());
            }
            return answered(alarm, false);
        });
    }

    @GET
    @Path("{alarm:\\d{1,18}}/attendance")
    @Operation(operationId = "readAttendance", summary = "Reads what was done about an alarm, at the last visit or at that of the parameter visit")
    @APIResponseSchema(AttendanceAnswer.class)
    public Response attendance(@RestPath long alarm, @Context HttpHeaders headers, @Context UriInfo address) {
        return desk.found(attendanceOf(alarm, Listing.id("visit", address)), AttendanceAnswer::tag, headers);
    }

    @PUT
    @Path("{alarm:\\d{1,18}}/attendance")
    @Needs(Right.TAKE)
    @Operation(operationId = "writeAttendance", summary = "Says what was done about an alarm",
            description = "May be said in steps and by several: send everything that is known, and the ETag of what you read. Of the last visit,"
                    + " or of that of the parameter visit.")
    @APIResponseSchema(AttendanceAnswer.class)
    public Response attend(@RestPath long alarm, @RequestBodySchema(AttendanceEntryBody.class) InputStream body,
            @Context HttpHeaders headers, @Context UriInfo address) {
        OptionalLong visit = Listing.id("visit", address);
        Attendance said = said(desk.read(body, AttendanceEntryBody.class).value());
        return desk.replace(headers, attendanceOf(alarm, visit), AttendanceAnswer::tag, before -> {
            SaveResult result = attendances.saveVisit(alarm, before.visit(), before.number(), said, desk.personId());
            refuseIfWrong(result);
            if (result instanceof SaveResult.ChangedMeanwhile changed) {
                throw Versions.stale(Versions.tag(changed.current().number()));
            }
            return attendanceOf(alarm, visit).orElseThrow(NotFoundException::new);
        });
    }

    @GET
    @Path("{alarm:\\d{1,18}}/visits")
    @Operation(operationId = "listVisits", summary = "Reads what was done at each visit, in the order in which people went")
    @APIResponseSchema(AttendanceVisits.class)
    public Response visits(@RestPath long alarm, @Context HttpHeaders headers) {
        return desk.found(attendances.setting(alarm).map(setting -> new AttendanceVisits(attendances.visits(alarm).stream()
                .map(entry -> answer(alarm, entry.visit(), Optional.of(entry), setting)).toList())), headers);
    }

    @POST
    @Path("{alarm:\\d{1,18}}/visits")
    @Needs(Right.TAKE)
    @Operation(operationId = "addVisit", summary = "Says that somebody went again, and what was done then",
            description = "The arrival must be said. The alarm is done with when the record of the last visit is complete.")
    @APIResponseSchema(AttendanceAnswer.class)
    public Response again(@RestPath long alarm, @RequestBodySchema(AttendanceEntryBody.class) InputStream body, @Context HttpHeaders headers,
            @Context UriInfo address) {
        return desk.post(headers, address, desk.read(body, AttendanceEntryBody.class), entry -> {
            SaveResult result = attendances.another(alarm, said(entry), desk.personId());
            refuseIfWrong(result);
            if (result instanceof SaveResult.Saved saved) {
                return Answer.done(attendanceOf(alarm, OptionalLong.of(saved.entry().visit())).orElseThrow(NotFoundException::new));
            }
            throw new NotFoundException();
        });
    }

    private static void refuseIfWrong(SaveResult result) {
        if (result instanceof SaveResult.Refused refused) {
            Fields fields = new Fields();
            refused.remarks().forEach(remark -> fields.wrong(remark.field(), remark.text()));
            fields.refuseIfWrong();
        }
    }

    private Attendance said(AttendanceEntryBody body) {
        Fields fields = new Fields();
        Optional<AttendanceCause> cause = Optional.ofNullable(body.cause()).flatMap(causes::find);
        if (body.cause() != null && cause.isEmpty()) {
            fields.wrong("cause", "is not one of the list, must be one of " + String.join(", ",
                    new TreeSet<>(causes.all().stream().map(AttendanceCause::word).toList())));
        }
        fields.refuseIfWrong();
        return new Attendance(Optional.ofNullable(body.arrivedAt()), cause, fields.text(body.done()), fields.text(body.retestedBy()),
                Boolean.TRUE.equals(body.retesterCompetent()), Fields.optional(body.fuseFittedAmpere()),
                        Optional.ofNullable(body.content()),
                fields.text(body.contentMovedTo()), Boolean.TRUE.equals(body.peopleTold()), Optional.ofNullable(body.fit()),
                fields.text(body.noneBecause()));
    }

    /** Empty when there is no such alarm or visit; the first is there before anybody has said a word. */
    private Optional<AttendanceAnswer> attendanceOf(long alarm, OptionalLong wished) {
        List<AttendanceEntry> visits = attendances.visits(alarm);
        long visit = wished.orElse(Math.max(1, visits.size()));
        if (visit < 1 || visit > Math.max(1, visits.size())) {
            return Optional.empty();
        }
        Optional<AttendanceEntry> newest = visits.stream().filter(entry -> entry.visit() == visit).findFirst();
        return attendances.setting(alarm).map(setting -> answer(alarm, (int) visit, newest, setting));
    }

    private static AttendanceAnswer answer(long alarm, int visit, Optional<AttendanceEntry> newest, Attendance.Setting setting) {
        Attendance said = newest.map(AttendanceEntry::attendance).orElse(Attendance.NOTHING);
        return new AttendanceAnswer(alarm, visit, newest.map(AttendanceEntry::number).orElse(0), newest.map(AttendanceEntry::writtenAt),
                newest.map(entry -> OptionalLong.of(entry.writtenBy())).orElse(OptionalLong.empty()),
                newest.filter(AttendanceEntry::isComplete).isPresent(),
                said.missing(setting).stream().map(remark -> new MissingAnswer(remark.field(), remark.text())).toList(),
                        said.arrivedAt(),
                said.cause().map(AttendanceCause::word), filled(said.done()), filled(said.retestedBy()), said.retesterCompetent(),
                said.fuseFittedAmpere(), said.content(), filled(said.contentMovedTo()), said.peopleTold(), said.fit(),
                        filled(said.noneBecause()));
    }

    private static Optional<String> filled(String text) {
        return Optional.of(text).filter(it -> !it.isEmpty());
    }

    private Answer answered(long alarm, boolean isGone) {
        return Answer.done(stored(alarm).filter(it -> !isGone).orElseThrow(NotFoundException::new));
    }

    private Optional<Alarm> stored(long alarm) {
        return reads.first(ALARMS.select() + " WHERE a.id = ?", Alarm::read, alarm);
    }
}
