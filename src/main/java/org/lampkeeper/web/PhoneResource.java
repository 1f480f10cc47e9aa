package org.lampkeeper.web;

import java.time.Clock;
import java.time.Instant;
import java.util.List;
import java.util.Optional;

import jakarta.ws.rs.GET;
import jakarta.ws.rs.Path;
import jakarta.ws.rs.Produces;
import jakarta.ws.rs.core.MediaType;
import jakarta.ws.rs.core.Response;

import io.quarkus.qute.CheckedTemplate;
import io.quarkus.qute.TemplateInstance;
import io.quarkus.vertx.http.runtime.CurrentVertxRequest;
import io.vertx.core.http.HttpServerRequest;

import org.lampkeeper.access.Open;
import org.lampkeeper.access.Phones;
import org.lampkeeper.access.Phones.Known;
import org.lampkeeper.message.PushSubscriptions;

/** Whose phone is this, and what are they asked to look at? */
@Path("/phone")
@Open
@Produces(MediaType.TEXT_HTML)
class PhoneResource {

    private final Phones phones;
    private final PhoneCookie cookie;
    private final OpenLooks looks;
    private final PushSubscriptions push;
    private final CurrentVertxRequest current;
    private final Clock clock;

    PhoneResource(Phones phones, PhoneCookie cookie, OpenLooks looks, PushSubscriptions push, CurrentVertxRequest current, Clock clock) {
        this.phones = phones;
        this.cookie = cookie;
        this.looks = looks;
        this.push = push;
        this.current = current;
        this.clock = clock;
    }

    @CheckedTemplate
    static class Templates {
        static native TemplateInstance phone(PhoneView view);

        static native TemplateInstance offline(OfflineView view);

        static native TemplateInstance unknown(UnknownView view);
    }

    /**
     * @param pushKey what the browser is asked with whether it takes messages; empty where none are sent
     * @param isPushed whether messages come to this phone
     */
    record PhoneView(Frame frame, String headline, List<OpenLooks.Line> lines, String pushKey, boolean isPushed) {
    }

    /** Of nobody in particular: what it shows, the phone has kept. */
    record OfflineView(Frame frame) {
    }

    /** Of a phone that is not enrolled, or not any more: what it still keeps, it shows. */
    record UnknownView(Frame frame) {
    }

    @GET
    @Path("offline")
    public Response offline() {
        return Response.ok(Templates.offline(new OfflineView(Frame.plain("No signal", clock.instant()))).render()).type(ChecksResource.HTML).build();
    }

    @GET
    public Response page() {
        HttpServerRequest request = current.getCurrent().request();
        Optional<String> secret = cookie.read(request);
        Optional<Known> known = secret.flatMap(phones::find);
        if (known.isEmpty()) {
            return Response.status(403).entity(Templates.unknown(new UnknownView(Frame.plain("This phone is not known", clock.instant()))).render())
                    .type(ChecksResource.HTML).build();
        }
        Instant now = clock.instant();
        List<OpenLooks.Line> lines = looks.of(known.get().personId(), now);
        Frame frame = Frame.plain("Your looks", now).readBy(known.get().name());
        // A phone that is in use stays enrolled.
        return Response.ok(Templates.phone(new PhoneView(frame, OpenLooks.headline(lines), lines, push.key().orElse(""),
                push.isOn(known.get().phoneId()))).render()).type(ChecksResource.HTML)
                .cookie(cookie.holding(secret.get(), request)).build();
    }
}
