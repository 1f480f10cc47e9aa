package org.lampkeeper.web;

import jakarta.ws.rs.GET;
import jakarta.ws.rs.Path;
import jakarta.ws.rs.Produces;
import jakarta.ws.rs.core.MediaType;
import jakarta.ws.rs.core.Response;

import org.lampkeeper.access.CurrentCaller;
import org.lampkeeper.upkeep.HeldAboutPerson;

/** What is held about whoever has signed in. */
@Path("/me/held.json")
@Produces(MediaType.APPLICATION_JSON)
class MyHeldResource {

    private final HeldAboutPerson held;
    private final CurrentCaller caller;

    MyHeldResource(HeldAboutPerson held, CurrentCaller caller) {
        this.held = held;
        this.caller = caller;
    }

    @GET
    public Response mine() {
        return HeldResource.file(held, caller.get().personId());
    }
}
