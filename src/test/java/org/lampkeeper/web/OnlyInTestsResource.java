package org.lampkeeper.web;

import jakarta.ws.rs.GET;
import jakarta.ws.rs.POST;
import jakarta.ws.rs.Path;
import jakarta.ws.rs.Produces;
import jakarta.ws.rs.core.MediaType;

import org.jboss.resteasy.reactive.RestPath;

import org.lampkeeper.access.CurrentCaller;
import org.lampkeeper.access.Needs;
import org.lampkeeper.access.Right;

/** An address of the API that says who asked, so that tokens can be tried whatever the real ones do. */
@Path("/api/only-in-tests/{site}")
@Produces(MediaType.TEXT_PLAIN)
public class OnlyInTestsResource {

    private final CurrentCaller current;

    OnlyInTestsResource(CurrentCaller current) {
        this.current = current;
    }

    @GET
    public String read(@RestPath long site) {
        return current.get().isToken() ? "token" : "session";
    }

    @POST
    @Needs(Right.TAKE)
    public String write(@RestPath long site) {
        return current.get().isToken() ? "token" : "session";
    }
}
