package org.lampkeeper.web;

import java.net.URI;
import java.time.Clock;
import java.util.Optional;

import jakarta.ws.rs.GET;
import jakarta.ws.rs.POST;
import jakarta.ws.rs.Path;
import jakarta.ws.rs.Produces;
import jakarta.ws.rs.core.MediaType;
import jakarta.ws.rs.core.Response;

import io.quarkus.qute.CheckedTemplate;
import io.quarkus.qute.TemplateInstance;
import io.quarkus.vertx.http.runtime.CurrentVertxRequest;
import io.vertx.core.http.HttpServerRequest;
import org.jboss.resteasy.reactive.RestPath;

import org.lampkeeper.access.Open;
import org.lampkeeper.access.Phones;

/** The page behind the link that enrols a phone. Opening it changes nothing: the phone is enrolled whose button is pressed. */
@Path("/enrol/{token}")
@Open
@Produces(MediaType.TEXT_HTML)
class EnrolResource {

    private final Phones phones;
    private final PhoneCookie cookie;
    private final CurrentVertxRequest current;
    private final Clock clock;

    EnrolResource(Phones phones, PhoneCookie cookie, CurrentVertxRequest current, Clock clock) {
        this.phones = phones;
        this.cookie = cookie;
        this.current = current;
        this.clock = clock;
    }

    @CheckedTemplate
    static class Templates {
        static native TemplateInstance enrol(EnrolView view);
    }

    record EnrolView(Frame frame, String headline, String name, String action, boolean isSafe) {
    }

    @GET
    public Response open(@RestPath String token) {
        return phones.invited(token).map(name -> page(200, token, name)).orElseGet(this::gone);
    }

    @POST
    public Response enrol(@RestPath String token) {
        Optional<String> name = phones.invited(token);
        if (name.isPresent() && !cookie.isSafe(request())) {
            return page(403, token, name.get());
        }
        // So that reloading the page enrols nothing again.
        return phones.enrol(token, new Client(request()).device()).map(secret -> Response.seeOther(URI.create("/phone"))
                .cookie(cookie.holding(secret, request())).build()).orElseGet(this::gone);
    }

    private Response page(int status, String token, String name) {
        return Response.status(status).entity(Templates.enrol(new EnrolView(Frame.plain("Enrol a phone", clock.instant()),
                "Is this the phone of " + name + "?", name, "/enrol/" + token, cookie.isSafe(request()))).render()).type(ChecksResource.HTML).build();
    }

    private Response gone() {
        return Problems.page(410, "This link cannot be used any more.", "It was used, it has ended, or a newer one took its place. Make another on your own "
                + "page, under Phones, or ask whoever gave you this one.", clock);
    }

    private HttpServerRequest request() {
        return current.getCurrent().request();
    }
}
