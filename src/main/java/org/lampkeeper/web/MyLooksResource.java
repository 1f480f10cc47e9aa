package org.lampkeeper.web;

import java.time.Duration;
import java.time.Instant;
import java.time.ZoneId;
import java.util.List;

import jakarta.ws.rs.GET;
import jakarta.ws.rs.Path;
import jakarta.ws.rs.Produces;
import jakarta.ws.rs.core.MediaType;
import jakarta.ws.rs.core.Response;

import io.quarkus.qute.CheckedTemplate;
import io.quarkus.qute.TemplateInstance;

import org.lampkeeper.access.CurrentCaller;
import org.lampkeeper.alarm.Sentences;
import org.lampkeeper.message.LinkTokens;
import org.lampkeeper.web.CheckReading.Look;

/** What am I asked to look at? */
@Path("/me/looks")
@Produces(MediaType.TEXT_HTML)
class MyLooksResource {

    /** Ours: a page that was left open over lunch still leads on. */
    private static final Duration LINK_LIFE = Duration.ofHours(4);

    /** Of the longest window, with the longest grace. */
    private static final Duration ASKED_WITHIN = Duration.ofDays(2);

    private final CheckReading reading;
    private final LinkTokens tokens;
    private final Plant plant;
    private final FormPage pages;
    private final CurrentCaller caller;

    MyLooksResource(CheckReading reading, LinkTokens tokens, Plant plant, FormPage pages, CurrentCaller caller) {
        this.reading = reading;
        this.tokens = tokens;
        this.plant = plant;
        this.pages = pages;
        this.caller = caller;
    }

    @CheckedTemplate
    static class Templates {
        static native TemplateInstance looks(LooksView view);
    }

    record LooksView(Frame frame, String headline, List<Line> lines) {
    }

    record Line(String cabinet, String what, String href) {
    }

    @GET
    public Response mine() {
        Instant now = plant.now();
        long self = caller.get().personId();
        List<Line> lines = reading.openOf(self, now.minus(ASKED_WITHIN)).stream().map(look -> line(look, self, now)).toList();
        String headline = lines.isEmpty() ? "You are asked to look at nothing just now." : lines.size() == 1 ? "You are asked to look at one thing."
                : "You are asked to look at " + lines.size() + " things.";
        return Response.ok(Templates.looks(new LooksView(pages.frame("Your looks", ""), headline, lines)).render()).type(ChecksResource.HTML).build();
    }

    private Line line(Look look, long self, Instant now) {
        ZoneId zone = plant.site(look.siteId()).zone();
        return new Line(look.cabinet(), look.kind().task() + ", by " + Sentences.clock(look.due().closes(), zone, now),
                "/c/" + tokens.issueForLook(look.id(), self, now.plus(LINK_LIFE)));
    }
}
