package org.lampkeeper.web;

import java.util.List;

import jakarta.ws.rs.Consumes;
import jakarta.ws.rs.GET;
import jakarta.ws.rs.POST;
import jakarta.ws.rs.Path;
import jakarta.ws.rs.Produces;
import jakarta.ws.rs.core.MediaType;
import jakarta.ws.rs.core.MultivaluedMap;
import jakarta.ws.rs.core.Response;

import org.jboss.resteasy.reactive.RestPath;

import org.lampkeeper.access.Needs;
import org.lampkeeper.access.Right;
import org.lampkeeper.register.BoardSheet;
import org.lampkeeper.register.NewCabinet;
import org.lampkeeper.register.NotRegistered;
import org.lampkeeper.register.Registration;
import org.lampkeeper.register.SiteSheet;
import org.lampkeeper.web.SupplyView.Link;

/** What is new here, what does it hold, and what feeds it? One form, since nobody registers one without the others. */
@Path("/sites")
@Produces(MediaType.TEXT_HTML)
@Needs(Right.EDIT_PLANT)
class NewCabinetResource {

    private final Registration registration;
    private final Plant plant;
    private final FormPage pages;

    NewCabinetResource(Registration registration, Plant plant, FormPage pages) {
        this.registration = registration;
        this.plant = plant;
        this.pages = pages;
    }

    @GET
    @Path("{site:\\d{1,18}}/cabinets/new")
    public Response ask(@RestPath long site) {
        SiteSheet sheet = plant.site(site);
        return FormPage.show(view(sheet, fields(Form.empty(), sheet)));
    }

    @POST
    @Path("{site:\\d{1,18}}/cabinets/new")
    @Consumes(MediaType.APPLICATION_FORM_URLENCODED)
    public Response register(@RestPath long site, MultivaluedMap<String, String> sent) {
        SiteSheet sheet = plant.site(site);
        Form form = fields(Form.typed(sent), sheet);
        NewCabinet entered = new NewCabinet(site, form.text("code"), form.text("name"), form.text("place"),
                ContentFields.read(form, "content."), form.text("lampPlace"), CircuitFields.read(form, "circuit."));
        form.problems(ContentFields.withoutParts(entered.problems()));
        if (!form.isFine()) {
            return FormPage.refused(view(sheet, form));
        }
        try {
            long cabinet = registration.addCabinet(entered, plant.by()).cabinetId();
            // Nothing watches it yet: that is the next thing to do.
            return FormPage.done("/cabinets/" + cabinet + "/sensor");
        } catch (NotRegistered refused) {
            return FormPage.refused(view(sheet, form.problems(refused.problems())));
        }
    }

    private Form fields(Form form, SiteSheet site) {
        CabinetFormResource.fields(form.section("The cabinet", ""));
        ContentFields.add(form.section("What it holds", ""), "content.");
        return CircuitFields.add(form.section("Its circuit", "From the way on the board to the fuse beside the cabinet."), "circuit.",
                plant.boards(site.id()), site.id());
    }

    private FormView view(SiteSheet site, Form form) {
        List<BoardSheet> boards = plant.boards(site.id());
        String intro = boards.isEmpty() ? "No board is registered yet that could feed it: register that first." : "";
        return new FormView(pages.frame("Register a cabinet", "supply"), "A new cabinet at " + site.name() + ": what does it hold, what feeds it?",
                intro, CircuitFields.CAUTIONS, form, "/sites/" + site.id() + "/cabinets/new", "Register the cabinet",
                new Link("Back without saving", "/sites/" + site.id()),
                List.of(new Link("Register a board", "/sites/" + site.id() + "/boards/new")));
    }
}
