package org.lampkeeper.web;

import java.time.Clock;
import java.time.Instant;
import java.util.List;
import java.util.Optional;
import java.util.OptionalLong;

import jakarta.ws.rs.BadRequestException;
import jakarta.ws.rs.Consumes;
import jakarta.ws.rs.DefaultValue;
import jakarta.ws.rs.GET;
import jakarta.ws.rs.NotFoundException;
import jakarta.ws.rs.POST;
import jakarta.ws.rs.Path;
import jakarta.ws.rs.Produces;
import jakarta.ws.rs.core.MediaType;
import jakarta.ws.rs.core.MultivaluedMap;
import jakarta.ws.rs.core.Response;

import org.jboss.resteasy.reactive.RestPath;
import org.jboss.resteasy.reactive.RestQuery;

import org.lampkeeper.access.CurrentCaller;
import org.lampkeeper.access.Needs;
import org.lampkeeper.access.Right;
import org.lampkeeper.alarm.Sentences;
import org.lampkeeper.watch.AlarmDesk;
import org.lampkeeper.watch.AttendanceDesk;
import org.lampkeeper.watch.WatchConfig;
import org.lampkeeper.web.AlarmReading.AlarmRow;
import org.lampkeeper.web.SupplyView.Link;

/** What somebody who has signed in does about an alarm. Each press bears a repeat. */
@Path("/alarms")
@Produces(MediaType.TEXT_HTML)
class AlarmActionsResource {

    private final AlarmDesk desk;
    private final AttendanceDesk attendance;
    private final AlarmReading alarms;
    private final FormPage pages;
    private final CurrentCaller current;
    private final WatchConfig watch;
    private final Clock clock;

    AlarmActionsResource(AlarmDesk desk, AttendanceDesk attendance, AlarmReading alarms, FormPage pages, CurrentCaller current, WatchConfig watch,
            Clock clock) {
        this.desk = desk;
        this.attendance = attendance;
        this.alarms = alarms;
        this.pages = pages;
        this.current = current;
        this.watch = watch;
        this.clock = clock;
    }

    @POST
    @Path("{alarm:\\d{1,18}}/take")
    @Needs(Right.TAKE)
    public Response take(@RestPath long alarm, @RestQuery @DefaultValue("") String minutes) {
        if (!Arrivals.areSent(minutes)) {
            throw new BadRequestException();
        }
        if (desk.take(alarm, current.get().personId(), Arrivals.at(minutes, clock.instant())) instanceof AlarmDesk.TakeResult.NotFound) {
            throw new NotFoundException();
        }
        return FormPage.done("/alarms/" + alarm + "?said=take");
    }

    @POST
    @Path("{alarm:\\d{1,18}}/cannot")
    @Needs(Right.TAKE)
    public Response cannot(@RestPath long alarm) {
        AlarmDesk.PassResult result = desk.cannot(alarm, current.get().personId());
        if (result instanceof AlarmDesk.PassResult.NotFound) {
            throw new NotFoundException();
        }
        return FormPage.done("/alarms/" + alarm + (result instanceof AlarmDesk.PassResult.PassedOn ? "?said=cannot" : ""));
    }

    @POST
    @Path("{alarm:\\d{1,18}}/hand-on")
    @Consumes(MediaType.APPLICATION_FORM_URLENCODED)
    @Needs(Right.TAKE)
    public Response handOn(@RestPath long alarm, MultivaluedMap<String, String> sent) {
        String to = Form.firstOf(sent).getOrDefault("person", "");
        AlarmDesk.HandResult result = to.matches("\\d{1,18}") ? desk.handOn(alarm, current.get().personId(), Long.parseLong(to))
                : new AlarmDesk.HandResult.Refused("Choose to whom.");
        if (result instanceof AlarmDesk.HandResult.NotFound) {
            throw new NotFoundException();
        }
        return result instanceof AlarmDesk.HandResult.Refused refused
                ? Problems.page(409, "It was not handed on.", refused.why() + " It is as it was before.", clock)
                : FormPage.done("/alarms/" + alarm + "?said=asked");
    }

    /** To the record of what was done, whose first answer this is. */
    @POST
    @Path("{alarm:\\d{1,18}}/there")
    @Needs(Right.TAKE)
    public Response there(@RestPath long alarm) {
        if (attendance.arrive(alarm, current.get().personId()) instanceof AttendanceDesk.SaveResult.NotFound) {
            throw new NotFoundException();
        }
        return FormPage.done("/alarms/" + alarm + "/attendance");
    }

    @GET
    @Path("{alarm:\\d{1,18}}/shelve")
    @Needs(Right.HOLD_BACK)
    public Response askShelving(@RestPath long alarm) {
        AlarmRow row = alarms.alarm(alarm).orElseThrow(NotFoundException::new);
        return FormPage.show(view(row, asked(Form.empty(), row)));
    }

    @POST
    @Path("{alarm:\\d{1,18}}/shelve")
    @Consumes(MediaType.APPLICATION_FORM_URLENCODED)
    @Needs(Right.HOLD_BACK)
    public Response shelve(@RestPath long alarm, MultivaluedMap<String, String> sent) {
        AlarmRow row = alarms.alarm(alarm).orElseThrow(NotFoundException::new);
        Form form = asked(Form.typed(sent), row);
        Optional<Instant> until = form.moment("until", row.zone());
        if (form.text("reason").isEmpty()) {
            form.problem("reason", "is empty, must say why nobody need be told meanwhile");
        } else if (form.text("reason").length() > 400) {
            form.problem("reason", "has " + form.text("reason").length() + " characters, must be at most 400");
        }
        until.filter(at -> !at.isAfter(clock.instant())).ifPresent(at -> form.problem("until", "that is over, must lie ahead"));
        until.filter(at -> at.isAfter(clock.instant().plus(watch.longestHold()))).ifPresent(at -> form.problem("until",
                "that is too far ahead, the longest time is " + watch.longestHold().toDays() + " days"));
        if (!form.isFine() || until.isEmpty()) {
            return FormPage.refused(view(row, form));
        }
        AlarmDesk.HoldResult result = desk.shelve(alarm, until.get(), form.text("reason"), OptionalLong.of(current.get().personId()));
        if (result instanceof AlarmDesk.HoldResult.Refused refused) {
            form.problem("", refused.why());
            return FormPage.refused(view(row, form));
        }
        return FormPage.done("/alarms/" + alarm + "?said=shelved");
    }

    private static Form asked(Form form, AlarmRow row) {
        return form.add(Input.moment("until", "Held back until").hint("On the clocks of " + row.site() + ": " + SupplyPage.zoneName(row.zone()) + "."))
                .add(Input.area("reason", "Why").hint("Everybody who looks at the alarm reads it."));
    }

    private FormView view(AlarmRow row, Form form) {
        Instant now = clock.instant();
        String alarm = Sentences.alarmHeadline(row.kind(), row.where(), row.since(), row.eased(), now, row.zone(), row.live());
        return new FormView(pages.frame("Shelve", "alarms"), "Until when need nobody be told?",
                alarm + " Nobody is told while it is shelved; at the end the state counts at once.", List.of(), form,
                "/alarms/" + row.id() + "/shelve", "Shelve it", new Link("Back to the alarm", "/alarms/" + row.id()), List.of());
    }
}
