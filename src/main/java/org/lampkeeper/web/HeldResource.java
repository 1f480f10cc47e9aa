package org.lampkeeper.web;

import jakarta.ws.rs.GET;
import jakarta.ws.rs.NotFoundException;
import jakarta.ws.rs.Path;
import jakarta.ws.rs.Produces;
import jakarta.ws.rs.core.HttpHeaders;
import jakarta.ws.rs.core.MediaType;
import jakarta.ws.rs.core.Response;

import org.jboss.resteasy.reactive.RestPath;

import org.lampkeeper.access.Needs;
import org.lampkeeper.access.Right;
import org.lampkeeper.upkeep.HeldAboutPerson;

/** What is held about a person, for whoever has to answer them. */
@Path("/people/{person:\\d{1,18}}/held.json")
@Produces(MediaType.APPLICATION_JSON)
class HeldResource {

    private final HeldAboutPerson held;

    HeldResource(HeldAboutPerson held) {
        this.held = held;
    }

    @GET
    @Needs(value = Right.EDIT_PEOPLE, everywhere = true)
    public Response of(@RestPath long person) {
        return file(held, person);
    }

    static Response file(HeldAboutPerson held, long personId) {
        return Response.ok(held.of(personId).orElseThrow(NotFoundException::new)).type(MediaType.APPLICATION_JSON_TYPE.withCharset("UTF-8"))
                .header(HttpHeaders.CONTENT_DISPOSITION, "attachment; filename=\"held-about-person-" + personId + ".json\"").build();
    }
}
