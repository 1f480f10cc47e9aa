package org.lampkeeper.web;

import java.util.List;

import jakarta.ws.rs.GET;
import jakarta.ws.rs.Path;
import jakarta.ws.rs.Produces;
import jakarta.ws.rs.core.MediaType;
import jakarta.ws.rs.core.Response;

import io.quarkus.qute.CheckedTemplate;
import io.quarkus.qute.TemplateInstance;

import org.lampkeeper.access.CurrentCaller;

/** What am I asked to look at? */
@Path("/me/looks")
@Produces(MediaType.TEXT_HTML)
class MyLooksResource {

    private final OpenLooks looks;
    private final Plant plant;
    private final FormPage pages;
    private final CurrentCaller caller;

    MyLooksResource(OpenLooks looks, Plant plant, FormPage pages, CurrentCaller caller) {
        this.looks = looks;
        this.plant = plant;
        this.pages = pages;
        this.caller = caller;
    }

    @CheckedTemplate
    static class Templates {
        static native TemplateInstance looks(LooksView view);
    }

    record LooksView(Frame frame, String headline, List<OpenLooks.Line> lines) {
    }

    @GET
    public Response mine() {
        List<OpenLooks.Line> lines = looks.of(caller.get().personId(), plant.now());
        return Response.ok(Templates.looks(new LooksView(pages.frame("Your looks", ""), OpenLooks.headline(lines), lines)).render()).type(ChecksResource.HTML)
                .build();
    }
}
