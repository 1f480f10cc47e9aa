package org.lampkeeper.web;

import java.time.Clock;
import java.time.Instant;
import java.time.ZoneId;
import java.time.format.DateTimeFormatter;
import java.time.temporal.ChronoUnit;
import java.util.ArrayList;
import java.util.HashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalInt;
import java.util.stream.IntStream;
import java.util.stream.Stream;

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

import io.quarkus.qute.CheckedTemplate;
import io.quarkus.qute.TemplateInstance;
import org.jboss.resteasy.reactive.RestPath;
import org.jboss.resteasy.reactive.RestQuery;
import org.jspecify.annotations.Nullable;

import org.lampkeeper.access.CurrentCaller;
import org.lampkeeper.access.Needs;
import org.lampkeeper.access.Right;
import org.lampkeeper.alarm.Attendance;
import org.lampkeeper.alarm.Attendance.Remark;
import org.lampkeeper.alarm.Attendance.Setting;
import org.lampkeeper.alarm.AttendanceCause;
import org.lampkeeper.alarm.Scope;
import org.lampkeeper.alarm.Sentences;
import org.lampkeeper.watch.AttendanceCauses;
import org.lampkeeper.watch.AttendanceDesk;
import org.lampkeeper.watch.AttendanceEntry;
import org.lampkeeper.web.AlarmReading.AlarmRow;
import org.lampkeeper.web.Input.Choice;

/** What was done about an alarm: said in steps, by whoever was there, on a telephone in the cold. */
@Path("/alarms")
@Produces(MediaType.TEXT_HTML)
class AttendanceResource {

    /** As a datetime-local field writes it. */
    private static final DateTimeFormatter LOCAL = DateTimeFormatter.ofPattern("uuuu-MM-dd'T'HH:mm", Locale.ROOT);

    private static final List<String> CAUTIONS = List.of(
            "Only a competent person works on the circuit: isolate it, lock it off and prove it dead first.",
            "Do not switch a tripped device on again and again. Once, and if it trips again, leave it off and call the electrician.",
            "Never a bigger fuse than the circuit's.",
            "Nobody relies on the cabinet until somebody has said that it is fit for use.");

    private final AlarmReading alarms;
    private final AttendanceDesk desk;
    private final AttendanceCauses causes;
    private final FormPage pages;
    private final CurrentCaller current;
    private final Clock clock;

    AttendanceResource(AlarmReading alarms, AttendanceDesk desk, AttendanceCauses causes, FormPage pages, CurrentCaller current, Clock clock) {
        this.alarms = alarms;
        this.desk = desk;
        this.causes = causes;
        this.pages = pages;
        this.current = current;
        this.clock = clock;
    }

    @CheckedTemplate
    static class Templates {
        static native TemplateInstance attendance(AttendanceView view);
    }

    /**
     * @param missing what is still to be said; empty when the record is complete
     * @param mayWrite whether the reader's role lets them write
     * @param visit   which going there this is about
     * @param others  the other visits
     * @param another where a further one is begun; empty where none can be
     * @param before  everything that was saved of this visit, newest first
     */
    record AttendanceView(Frame frame, String headline, String alarm, String alarmHref, List<String> missing, boolean isComplete, List<String> cautions,
            Form form, String action, int visit, List<Visit> others, String another, boolean mayWrite, List<Saved> before, String zoneName) {

        record Visit(String title, String href) {
        }

        record Saved(String title, List<AttendanceWords.Line> lines) {
        }
    }

    @GET
    @Path("{alarm:\\d{1,18}}/attendance")
    public Response page(@RestPath long alarm, @RestQuery @DefaultValue("0") int visit) {
        AlarmRow row = alarms.alarm(alarm).orElseThrow(NotFoundException::new);
        List<AttendanceEntry> entries = desk.entries(alarm);
        Setting setting = desk.setting(alarm).orElseThrow(NotFoundException::new);
        int shown = visit == 0 ? Math.max(1, last(entries)) : visit;
        if (shown < 1 || shown > last(entries) + 1 || shown > 1 && setting.scope() == Scope.INSTALLATION) {
            throw new NotFoundException();
        }
        Optional<AttendanceEntry> newest = of(entries, shown).findFirst();
        Form form = asked(Form.showing(newest.map(entry -> stored(entry.attendance(), setting.zone())).orElseGet(Map::of),
                newest.map(AttendanceEntry::number).orElse(0)), setting);
        return answer(200, row, setting, shown, entries, form);
    }

    @POST
    @Path("{alarm:\\d{1,18}}/attendance")
    @Consumes(MediaType.APPLICATION_FORM_URLENCODED)
    @Needs(Right.TAKE)
    public Response save(@RestPath long alarm, MultivaluedMap<String, String> sent) {
        AlarmRow row = alarms.alarm(alarm).orElseThrow(NotFoundException::new);
        Setting setting = desk.setting(alarm).orElseThrow(NotFoundException::new);
        int visit = visit(sent.getFirst("visit"));
        Form form = asked(Form.typed(sent), setting);
        Attendance said = read(form, setting);
        if (!form.isFine()) {
            return answer(422, row, setting, visit, desk.entries(alarm), form);
        }
        AttendanceDesk.SaveResult result = desk.saveVisit(alarm, visit, form.version(), said, current.get().personId());
        if (result instanceof AttendanceDesk.SaveResult.Saved saved) {
            return FormPage.done("/alarms/" + alarm + (saved.entry().isComplete() ? "" : "/attendance") + (saved.entry().isComplete() || visit == 1 ? "?" : "?visit=" + visit + "&") + "said=attended");
        }
        if (result instanceof AttendanceDesk.SaveResult.Refused refused) {
            refused.remarks().forEach(remark -> form.problem(remark.field(), remark.text()));
            return answer(422, row, setting, visit, desk.entries(alarm), form);
        }
        if (result instanceof AttendanceDesk.SaveResult.ChangedMeanwhile changed) {
            AttendanceEntry theirs = changed.current();
            form.changedMeanwhile(theirs.number(), stored(theirs.attendance(), setting.zone()), alarms.person(theirs.writtenBy()).orElse("somebody")
                    + " at " + Sentences.clock(theirs.writtenAt(), setting.zone(), clock.instant()));
            return answer(409, row, setting, visit, desk.entries(alarm), form);
        }
        throw new NotFoundException();
    }

    private static int last(List<AttendanceEntry> entries) {
        return entries.isEmpty() ? 0 : entries.get(0).visit();
    }

    private static Stream<AttendanceEntry> of(List<AttendanceEntry> entries, int visit) {
        return entries.stream().filter(entry -> entry.visit() == visit);
    }

    private static int visit(@Nullable String sent) {
        if (sent == null) {
            return 1;
        }
        if (!sent.matches("[1-9]\\d{0,5}")) {
            throw new NotFoundException();
        }
        return Integer.parseInt(sent);
    }

    private Response answer(int status, AlarmRow row, Setting setting, int visit, List<AttendanceEntry> all, Form form) {
        Instant now = clock.instant();
        List<AttendanceEntry> entries = of(all, visit).toList();
        Optional<AttendanceEntry> newest = entries.stream().findFirst();
        boolean isComplete = newest.filter(AttendanceEntry::isComplete).isPresent();
        List<String> missing = newest.map(AttendanceEntry::attendance).orElse(Attendance.NOTHING).missing(setting).stream().map(Remark::text).toList();
        String record = last(all) > 1 ? "The record of visit " + visit : "The record of this alarm";
        String headline = isComplete ? record + " is complete." : newest.isEmpty() ? visit > 1 ? "What was done at visit " + visit + "?"
                : "What was done about it?" : record + " is not complete yet.";
        List<AttendanceView.Saved> before = entries.stream().map(entry -> new AttendanceView.Saved(
                alarms.person(entry.writtenBy()).orElse("Somebody") + ", " + Sentences.clock(entry.writtenAt(), setting.zone(), now),
                AttendanceWords.lines(entry.attendance(), setting.zone(), now))).toList();
        String alarm = Sentences.alarmHeadline(row.kind(), row.where(), row.since(), row.eased(), now, row.zone(), row.live());
        String address = "/alarms/" + row.id() + "/attendance";
        List<AttendanceView.Visit> others = last(all) > 1 || visit > 1 ? IntStream.rangeClosed(1, last(all)).filter(it -> it != visit)
                .mapToObj(it -> new AttendanceView.Visit("Visit " + it, address + "?visit=" + it)).toList() : List.of();
        boolean mayGoAgain = visit == last(all) && newest.flatMap(it -> it.attendance().arrivedAt()).isPresent()
                && setting.scope() != Scope.INSTALLATION;
        AttendanceView view = new AttendanceView(pages.frame("What was done", "alarms"), headline, alarm, "/alarms/" + row.id(),
                isComplete ? List.of() : missing, isComplete, setting.scope() == Scope.INSTALLATION ? List.of() : CAUTIONS, form,
                address, visit, others, mayGoAgain ? address + "?visit=" + (visit + 1) : "", current.get().reach().may(Right.TAKE, row.siteId()), before,
                SupplyPage.zoneName(setting.zone()));
        return Response.status(status).type(MediaType.TEXT_HTML_TYPE.withCharset("UTF-8")).entity(Templates.attendance(view).render()).build();
    }

    /** The fields that such an alarm asks for; none of them is demanded at once, since a record may be written in steps. */
    private Form asked(Form form, Setting setting) {
        boolean isAtAPlace = setting.scope() != Scope.INSTALLATION;
        form.section("What was found", "");
        if (isAtAPlace) {
            form.add(Input.moment("arrivedAt", "Arrived").orNot());
        }
        form.add(Input.choice("cause", "Cause", causes(form, setting)).orNot());
        form.add(Input.area("done", "What was done").orNot());
        if (isAtAPlace) {
            form.section("Fuse and test", "Every repair is tested by a competent person before the cabinet is relied on.");
            form.add(Input.whole("fuseFittedAmpere", "Fuse fitted", "A").orNot().hint(setting.fuseAmpere().isPresent()
                    ? "Only if one was. The circuit's fuse is " + setting.fuseAmpere().getAsInt() + " A; never a bigger one." : "Only if one was."));
            form.add(Input.text("retestedBy", "Tested afterwards by").orNot().hint("Name and firm of whoever tested it."));
            form.add(Input.tick("retesterCompetent", "That is a competent person, and the test was passed"));
            form.section("Content and people", "");
            if (setting.scope() == Scope.CABINET) {
                form.add(Input.choice("content", "The content was", Stream.of(Attendance.Content.values())
                        .map(it -> new Choice(it.name(), it.words())).toList()).orNot());
                form.add(Input.text("contentMovedTo", "Moved to").orNot().hint("Where somebody who needs it finds it now."));
            }
            form.add(Input.tick("peopleTold", "Those who rely on it have been told"));
            form.add(Input.choice("fit", "Fit for use again", Stream.of(Attendance.Fit.values())
                    .map(it -> new Choice(it.name(), it.words())).toList()).orNot());
        }
        form.section("Or: why there is no record", "If nobody went, say why. Then nothing else is asked.");
        form.add(Input.area("noneBecause", "There is no record because").orNot());
        return form;
    }

    private List<Choice> causes(Form form, Setting setting) {
        List<Choice> choices = new ArrayList<>(causes.at(setting.scope()).stream().map(it -> new Choice(it.word(), it.text())).toList());
        String chosen = form.value("cause");
        if (!chosen.isEmpty() && choices.stream().noneMatch(it -> it.value().equals(chosen))) {
            // Taken out of the list since: the record that says so can still be corrected elsewhere.
            causes.find(chosen).ifPresent(it -> choices.add(new Choice(it.word(), it.text())));
        }
        return choices;
    }

    private Attendance read(Form form, Setting setting) {
        Optional<Instant> arrived = setting.scope() == Scope.INSTALLATION || form.text("arrivedAt").isEmpty() ? Optional.empty() : form.moment("arrivedAt", setting.zone());
        Optional<AttendanceCause> cause = form.optionalText("cause").flatMap(word -> {
            Optional<AttendanceCause> known = causes.find(word);
            if (known.isEmpty()) {
                form.problem("cause", "this is not in the list of causes, choose another");
            }
            return known;
        });
        if (setting.scope() == Scope.INSTALLATION) {
            return new Attendance(Optional.empty(), cause, form.text("done"), "", false, OptionalInt.empty(), Optional.empty(), "", false,
                    Optional.empty(), form.text("noneBecause"));
        }
        OptionalInt fuse = form.optionalWhole("fuseFittedAmpere", -1_000_000, 1_000_000);
        boolean hasContent = setting.scope() == Scope.CABINET;
        return new Attendance(arrived, cause, form.text("done"), form.text("retestedBy"), form.isTicked("retesterCompetent"), fuse,
                hasContent ? chosen(form, "content", Attendance.Content.class) : Optional.empty(), hasContent ? form.text("contentMovedTo") : "",
                form.isTicked("peopleTold"), chosen(form, "fit", Attendance.Fit.class), form.text("noneBecause"));
    }

    private static <E extends Enum<E>> Optional<E> chosen(Form form, String name, Class<E> kind) {
        return form.text(name).isEmpty() ? Optional.empty() : form.choice(name, kind);
    }

    private static Map<String, String> stored(Attendance said, ZoneId zone) {
        Map<String, String> values = new HashMap<>();
        values.put("arrivedAt", said.arrivedAt().map(at -> LOCAL.format(at.atZone(zone).truncatedTo(ChronoUnit.MINUTES))).orElse(""));
        values.put("cause", said.cause().map(AttendanceCause::word).orElse(""));
        values.put("done", said.done());
        values.put("fuseFittedAmpere", said.fuseFittedAmpere().isPresent() ? Integer.toString(said.fuseFittedAmpere().getAsInt()) : "");
        values.put("retestedBy", said.retestedBy());
        values.put("retesterCompetent", said.retesterCompetent() ? "yes" : "");
        values.put("content", said.content().map(Enum::name).orElse(""));
        values.put("contentMovedTo", said.contentMovedTo());
        values.put("peopleTold", said.peopleTold() ? "yes" : "");
        values.put("fit", said.fit().map(Enum::name).orElse(""));
        values.put("noneBecause", said.noneBecause());
        return values;
    }
}
