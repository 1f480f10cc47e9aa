package org.lampkeeper.web;

import java.net.URI;
import java.time.Clock;
import java.util.function.Function;

import jakarta.ws.rs.GET;
import jakarta.ws.rs.POST;
import jakarta.ws.rs.Path;
import jakarta.ws.rs.Produces;
import jakarta.ws.rs.core.MediaType;
import jakarta.ws.rs.core.Response;

import io.quarkus.qute.CheckedTemplate;
import io.quarkus.qute.TemplateInstance;
import org.jboss.resteasy.reactive.RestPath;

import org.lampkeeper.access.Open;
import org.lampkeeper.register.People;
import org.lampkeeper.watch.HandoverDesk;
import org.lampkeeper.watch.HandoverDesk.Behind;

/** The page behind the link of a proof test. Opening it records nothing, for mail scanners and previews open links; only its button does. */
@Path("/t/{token}")
@Open
@Produces(MediaType.TEXT_HTML)
class TestTakenResource {

    private final HandoverDesk desk;
    private final People people;
    private final Clock clock;

    TestTakenResource(HandoverDesk desk, People people, Clock clock) {
        this.desk = desk;
        this.people = people;
        this.clock = clock;
    }

    @CheckedTemplate
    static class Templates {
        static native TemplateInstance test(TestView view);
    }

    record TestView(Frame frame, String headline, boolean isTaken, String action) {
    }

    @GET
    public Response open(@RestPath String token) {
        return answered(desk.behind(token), open -> {
            Frame frame = Frame.plain("A test", clock.instant()).readBy(people.contact(open.personId()).name());
            return Response.ok(Templates.test(new TestView(frame, "TEST: the supply of " + open.cabinet().name() + " was taken away on purpose.", open.isTaken(), "/t/" + token)).render(),
                    MediaType.TEXT_HTML_TYPE.withCharset("UTF-8")).build();
        });
    }

    @POST
    public Response take(@RestPath String token) {
        // So that reloading the page presses nothing again.
        return answered(desk.take(token), open -> Response.seeOther(URI.create("/t/" + token)).build());
    }

    private Response answered(Behind behind, Function<Behind.Open, Response> page) {
        if (behind instanceof Behind.Open open) {
            return page.apply(open);
        }
        return behind instanceof Behind.Over ? Problems.page(410, "This test is over.", "It was no alarm; there is nothing to do.", clock)
                : Problems.page(404, "This is not a link of Lampkeeper's.", "A part of it may have been cut off: open it again from the message, or copy all of it.", clock);
    }
}
