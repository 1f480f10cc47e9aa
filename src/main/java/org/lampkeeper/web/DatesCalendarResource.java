package org.lampkeeper.web;

import java.time.Clock;
import java.time.Instant;
import java.util.List;
import java.util.Locale;
import java.util.OptionalLong;

import jakarta.ws.rs.GET;
import jakarta.ws.rs.NotFoundException;
import jakarta.ws.rs.Path;
import jakarta.ws.rs.Produces;
import jakarta.ws.rs.core.HttpHeaders;
import jakarta.ws.rs.core.Response;

import org.jboss.resteasy.reactive.RestPath;

import org.lampkeeper.access.Open;
import org.lampkeeper.message.MessageConfig;
import org.lampkeeper.register.DatedDuties;
import org.lampkeeper.register.DatedDuty;
import org.lampkeeper.register.Register;
import org.lampkeeper.register.SiteSheet;
import org.lampkeeper.report.CalendarFile;
import org.lampkeeper.report.CalendarFile.Due;

/** What is due? For a calendar program, which knows no more than the secret address. */
@Path("/dates")
@Open
class DatesCalendarResource {

    private final DatedDuties duties;
    private final Register register;
    private final String host;
    private final Clock clock;

    DatesCalendarResource(DatedDuties duties, Register register, MessageConfig messages, Clock clock) {
        this.duties = duties;
        this.register = register;
        this.host = messages.baseUrl().getHost();
        this.clock = clock;
    }

    @GET
    @Path("{token}/calendar.ics")
    @Produces("text/calendar")
    public Response calendar(@RestPath String token) {
        OptionalLong siteId = duties.calendarOf(token);
        if (siteId.isEmpty()) {
            throw new NotFoundException();
        }
        Instant now = clock.instant();
        SiteSheet site = register.site(siteId.getAsLong()).orElseThrow(NotFoundException::new);
        List<Due> all = duties.ofSite(site.id()).stream().map(duty -> new Due(uid(duty), duty.due(), duty.cabinet() + ": " + duty.order(), site.name() + ", " + site.address(),
                "By the end of this day.")).toList();
        return Response.ok(CalendarFile.ofDays(all, now), "text/calendar; charset=UTF-8").header(HttpHeaders.CACHE_CONTROL, "private, max-age=900").build();
    }

    private String uid(DatedDuty duty) {
        return duty.cabinetId() + "-" + duty.kind().name().toLowerCase(Locale.ROOT) + "-" + Integer.toHexString(duty.what().hashCode()) + "-" + duty.due() + "@" + host;
    }
}
