package org.lampkeeper.web;

import java.time.Clock;
import java.time.Instant;
import java.time.ZoneOffset;
import java.util.ArrayList;
import java.util.List;
import java.util.OptionalLong;

import jakarta.ws.rs.GET;
import jakarta.ws.rs.NotFoundException;
import jakarta.ws.rs.Path;
import jakarta.ws.rs.Produces;
import jakarta.ws.rs.core.HttpHeaders;
import jakarta.ws.rs.core.Response;

import org.jboss.resteasy.reactive.RestPath;

import org.lampkeeper.access.Open;
import org.lampkeeper.callout.Stretch;
import org.lampkeeper.message.MessageConfig;
import org.lampkeeper.register.DutyBook;
import org.lampkeeper.register.SiteSheet;
import org.lampkeeper.report.CalendarFile;
import org.lampkeeper.report.CalendarFile.Duty;

/** When am I on? For a calendar program, which knows no more than the secret address. */
@Path("/duty")
@Open
class DutyCalendarResource {

    // Ours: what has just been may be asked for, and nobody plans further ahead by hand.
    private static final int MONTHS_BACK = 1;
    private static final int MONTHS_AHEAD = 6;

    private final DutyBook book;
    private final String host;
    private final Clock clock;

    DutyCalendarResource(DutyBook book, MessageConfig messages, Clock clock) {
        this.book = book;
        this.host = messages.baseUrl().getHost();
        this.clock = clock;
    }

    @GET
    @Path("{token}/calendar.ics")
    @Produces("text/calendar")
    public Response calendar(@RestPath String token) {
        OptionalLong person = book.calendarOf(token);
        if (person.isEmpty()) {
            throw new NotFoundException();
        }
        Instant now = clock.instant();
        Instant from = now.atZone(ZoneOffset.UTC).minusMonths(MONTHS_BACK).toInstant();
        Instant until = now.atZone(ZoneOffset.UTC).plusMonths(MONTHS_AHEAD).toInstant();
        List<Duty> duties = new ArrayList<>();
        for (SiteSheet site : book.sitesOf(person.getAsLong())) {
            for (Stretch stretch : book.rota(site.id()).map(rota -> rota.of(person.getAsLong(), from, until)).orElse(List.of())) {
                duties.add(new Duty(stretch.shiftId() + "-" + stretch.day() + "-" + stretch.part() + "@" + host, stretch.from(), stretch.until(),
                        "On duty: " + stretch.role().words() + ", " + site.name(), site.address(), stretch.isStandIn() ? "As a stand-in." : ""));
            }
        }
        return Response.ok(CalendarFile.of(duties, now), "text/calendar; charset=UTF-8").header(HttpHeaders.CACHE_CONTROL, "private, max-age=900").build();
    }
}
