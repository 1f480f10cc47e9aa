package org.lampkeeper.web;

import java.time.Clock;
import java.time.Instant;
import java.util.List;

import jakarta.ws.rs.DefaultValue;
import jakarta.ws.rs.GET;
import jakarta.ws.rs.NotFoundException;
import jakarta.ws.rs.Path;
import jakarta.ws.rs.Produces;
import jakarta.ws.rs.core.MediaType;

import io.quarkus.qute.CheckedTemplate;
import io.quarkus.qute.TemplateInstance;
import org.jboss.resteasy.reactive.RestPath;
import org.jboss.resteasy.reactive.RestQuery;

import org.lampkeeper.access.CurrentCaller;
import org.lampkeeper.alarm.Sentences;
import org.lampkeeper.web.AlarmReading.AlarmRow;

/** What is open, who has it; what happened before? */
@Path("/alarms")
@Produces(MediaType.TEXT_HTML)
class AlarmResource {

    // Ours: a page that can be read.
    private static final int PAST_ON_A_PAGE = 30;
    // Ours: whoever has let more than these go unsaid has to begin somewhere.
    private static final int UNATTENDED_ON_A_PAGE = 50;

    private final AlarmReading alarms;
    private final AlarmPage page;
    private final SupplyReading supply;
    private final CurrentCaller current;
    private final Clock clock;

    AlarmResource(AlarmReading alarms, AlarmPage page, SupplyReading supply, CurrentCaller current, Clock clock) {
        this.alarms = alarms;
        this.page = page;
        this.supply = supply;
        this.current = current;
        this.clock = clock;
    }

    @CheckedTemplate
    static class Templates {
        static native TemplateInstance alarm(AlarmView view);

        static native TemplateInstance alarms(AlarmsView view);
    }

    /** {@code older}: the address of the next page; empty on the last. */
    record AlarmsView(Frame frame, String headline, List<Entry> open, List<Entry> unattended, List<Entry> past, boolean isFirstPage, String older) {

        record Entry(String href, String look, String headline, Moment since, String site, String carried) {
        }
    }

    @GET
    public TemplateInstance list(@RestQuery @DefaultValue("" + Long.MAX_VALUE) long before) {
        Instant now = clock.instant();
        List<AlarmRow> open = alarms.open(current.get().reach());
        List<AlarmRow> past = alarms.past(before, PAST_ON_A_PAGE + 1, current.get().reach());
        List<AlarmRow> unattended = alarms.unattended(UNATTENDED_ON_A_PAGE, current.get().reach());
        boolean hasOlder = past.size() > PAST_ON_A_PAGE;
        List<AlarmRow> shown = hasOlder ? past.subList(0, PAST_ON_A_PAGE) : past;
        long untaken = open.stream().filter(alarm -> alarm.hasIt().isEmpty() && !alarm.state().isHold()).count();
        String headline = open.isEmpty() ? "No alarm is open." : open.size() == 1 ? "One alarm is open" : open.size() + " alarms are open";
        if (!open.isEmpty()) {
            headline += untaken == 0 ? ", and somebody has " + (open.size() == 1 ? "it." : "each of them.")
                    : untaken == open.size() ? " and nobody has taken " + (open.size() == 1 ? "it yet." : "any of them yet.")
                            : "; nobody has taken " + untaken + " of them yet.";
        }
        if (!unattended.isEmpty()) {
            headline += unattended.size() == 1 ? " Of one that is over, nobody has said what was done."
                    : " Of " + unattended.size() + " that are over, nobody has said what was done.";
        }
        Frame frame = SupplyPage.frame("Alarms", "alarms", supply.outline(), now);
        return Templates.alarms(new AlarmsView(frame, headline, open.stream().map(alarm -> entry(alarm, now)).toList(),
                unattended.stream().map(alarm -> entry(alarm, now)).toList(), shown.stream().map(alarm -> entry(alarm, now)).toList(), before == Long.MAX_VALUE,
                hasOlder ? "/alarms?before=" + shown.get(shown.size() - 1).id() : ""));
    }

    @GET
    @Path("{alarm:\\d{1,18}}")
    public TemplateInstance one(@RestPath long alarm, @RestQuery @DefaultValue("") String said) {
        return Templates.alarm(page.of(alarm, current.get(), said).orElseThrow(NotFoundException::new));
    }

    private static AlarmsView.Entry entry(AlarmRow alarm, Instant now) {
        String carried = alarm.hasIt().map(taker -> taker.name() + (alarm.isOpen() ? " has it since " : " took it at ")
                + Sentences.clock(taker.at(), alarm.zone(), now)).orElse(alarm.isOpen() ? "nobody has taken it" : "nobody took it");
        String over = alarm.closedAt().map(at -> "; over at " + Sentences.clock(at, alarm.zone(), now)).orElse("");
        String look = !alarm.isOpen() || !alarm.live() ? "plain" : switch (alarm.kind()) {
            case SUPPLY_LOST, PROBABLE_SITE_LOSS, LAMP_OUT, CONTENT_TOO_COLD, CONTENT_TOO_HOT -> "lost";
            case HEATER_NOT_HEATING, HEATER_NEVER_STOPS, HEATER_TOO_SMALL, DOOR_OPEN, LOOKS_EMPTIED, NOT_HEARD, UNSTEADY, LOOK_MISSED, DAMAGE_SEEN, SENSOR_AND_LAMP_DIFFER, NOT_LISTENING, MAIL_NOT_SENDING, BROKER_DROPPING, MESSAGES_STUCK, DATABASE_SLOW, CLOCK_STEPPED, DISK_NEARLY_FULL,
                    HEARTBEAT_NOT_SENT -> "unknown";
        };
        return new AlarmsView.Entry("/alarms/" + alarm.id(), look,
                Sentences.alarmHeadline(alarm.kind(), alarm.where(), alarm.since(), alarm.eased(), now, alarm.zone(), alarm.live()),
                Moment.of(alarm.since(), alarm.zone(), now), alarm.site(), carried + over);
    }
}
