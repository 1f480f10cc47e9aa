package org.lampkeeper.web;

import java.net.URI;
import java.time.Clock;

import jakarta.ws.rs.GET;
import jakarta.ws.rs.Path;
import jakarta.ws.rs.Produces;
import jakarta.ws.rs.core.MediaType;
import jakarta.ws.rs.core.Response;

import org.jboss.resteasy.reactive.RestPath;

import org.lampkeeper.access.Open;
import org.lampkeeper.message.ShortLinks;

/** The short address in a message that has little room: leads on to the page behind the link, and records nothing. */
@Path("/s/{token}")
@Open
@Produces(MediaType.TEXT_HTML)
class ShortLinkResource {

    private final ShortLinks links;
    private final Clock clock;

    ShortLinkResource(ShortLinks links, Clock clock) {
        this.links = links;
        this.clock = clock;
    }

    /** One that has ended leads to the page too, which says so. */
    @GET
    public Response open(@RestPath String token) {
        return links.path(token).map(path -> Response.seeOther(URI.create("/" + path)).build()).orElseGet(() -> LinkResource.notOurs(clock));
    }
}
