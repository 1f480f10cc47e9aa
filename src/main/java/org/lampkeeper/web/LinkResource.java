package org.lampkeeper.web;

import java.net.URI;
import java.time.Clock;
import java.util.function.Function;

import jakarta.ws.rs.BadRequestException;
import jakarta.ws.rs.Consumes;
import jakarta.ws.rs.DefaultValue;
import jakarta.ws.rs.GET;
import jakarta.ws.rs.POST;
import jakarta.ws.rs.Path;
import jakarta.ws.rs.Produces;
import jakarta.ws.rs.core.MediaType;
import jakarta.ws.rs.core.MultivaluedMap;
import jakarta.ws.rs.core.Response;

import org.jboss.resteasy.reactive.RestPath;
import org.jboss.resteasy.reactive.RestQuery;

import org.lampkeeper.access.Open;
import org.lampkeeper.message.LinkReading;
import org.lampkeeper.message.LinkTokens;
import org.lampkeeper.register.People;
import org.lampkeeper.watch.AlarmDesk;
import org.lampkeeper.watch.AttendanceDesk;
import org.lampkeeper.web.AlarmPage.Reader;

/**
 * The page behind the link in a message: one alarm, one person, an end. Opening it changes nothing, for mail scanners and previews open
 * links; only its buttons record, and pressing one again records nothing new.
 */
@Path("/a/{token}")
@Open
@Produces(MediaType.TEXT_HTML)
class LinkResource {

    private final LinkTokens tokens;
    private final AlarmPage page;
    private final AlarmDesk desk;
    private final AttendanceDesk attendance;
    private final People people;
    private final Clock clock;

    LinkResource(LinkTokens tokens, AlarmPage page, AlarmDesk desk, AttendanceDesk attendance, People people, Clock clock) {
        this.tokens = tokens;
        this.page = page;
        this.desk = desk;
        this.attendance = attendance;
        this.people = people;
        this.clock = clock;
    }

    /** {@code said}: the button that was pressed just before; anything else is nothing. */
    @GET
    public Response open(@RestPath String token, @RestQuery @DefaultValue("") String said) {
        return withLink(token, link -> page.of(link.subjectId(), new Reader(link.personId(), token, said))
                .map(view -> Response.ok(AlarmResource.Templates.alarm(view).render(), MediaType.TEXT_HTML_TYPE.withCharset("UTF-8")).build())
                .orElseGet(this::notOurs));
    }

    @POST
    @Path("take")
    public Response take(@RestPath String token, @RestQuery @DefaultValue("") String minutes) {
        return withLink(token, link -> {
            if (!Arrivals.areSent(minutes)) {
                throw new BadRequestException();
            }
            boolean isThere = !(desk.take(link.subjectId(), link.personId(), Arrivals.at(minutes, clock.instant())) instanceof AlarmDesk.TakeResult.NotFound);
            return isThere ? back(token, "take") : notOurs();
        });
    }

    @POST
    @Path("cannot")
    public Response cannot(@RestPath String token) {
        return withLink(token, link -> {
            AlarmDesk.PassResult result = desk.cannot(link.subjectId(), link.personId());
            if (result instanceof AlarmDesk.PassResult.NotFound) {
                return notOurs();
            }
            return back(token, result instanceof AlarmDesk.PassResult.PassedOn ? "cannot" : "");
        });
    }

    @POST
    @Path("hand-on")
    @Consumes(MediaType.APPLICATION_FORM_URLENCODED)
    public Response handOn(@RestPath String token, MultivaluedMap<String, String> sent) {
        String to = Form.firstOf(sent).getOrDefault("person", "");
        return withLink(token, link -> {
            AlarmDesk.HandResult result = to.matches("\\d{1,18}") ? desk.handOn(link.subjectId(), link.personId(), Long.parseLong(to))
                    : new AlarmDesk.HandResult.Refused("Choose to whom.");
            if (result instanceof AlarmDesk.HandResult.NotFound) {
                return notOurs();
            }
            return result instanceof AlarmDesk.HandResult.Refused refused
                    ? Problems.page(409, "It was not handed on.", refused.why() + " It is as it was before.", clock) : back(token, "asked");
        });
    }

    @POST
    @Path("there")
    public Response there(@RestPath String token) {
        return withLink(token, link -> {
            AttendanceDesk.SaveResult result = attendance.arrive(link.subjectId(), link.personId());
            return result instanceof AttendanceDesk.SaveResult.NotFound ? notOurs() : back(token, "there");
        });
    }

    private Response withLink(String token, Function<LinkReading.Valid, Response> answer) {
        LinkReading reading = tokens.read(token, clock.instant());
        boolean isErased = reading instanceof LinkReading.Valid link && !people.isKnown(link.personId());
        if (reading instanceof LinkReading.Valid valid && !isErased) {
            return answer.apply(valid);
        }
        return isErased || reading instanceof LinkReading.Expired ? Problems.page(410, "This link has come to its end.",
                "Use the link in the newest message about this alarm. If there is none, call the others on your call-out list, "
                        + "or look at the supply page on Lampkeeper's own machine.", clock) : notOurs();
    }

    /** To the page itself, so that reloading it presses nothing again. */
    private static Response back(String token, String said) {
        return Response.seeOther(URI.create("/a/" + token + (said.isEmpty() ? "" : "?said=" + said))).build();
    }

    private Response notOurs() {
        return notOurs(clock);
    }

    /** Also for a short address of it. */
    static Response notOurs(Clock clock) {
        return Problems.page(404, "This is not a link of Lampkeeper's.",
                "A part of it may have been cut off: open it again from the message, or copy all of it. If it still fails, call the others.", clock);
    }
}
