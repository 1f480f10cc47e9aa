package org.lampkeeper.web;

import java.time.ZoneId;
import java.time.ZoneOffset;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;

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
import org.lampkeeper.register.Electrician;
import org.lampkeeper.register.NewBoard;
import org.lampkeeper.register.NewSite;
import org.lampkeeper.register.NotRegistered;
import org.lampkeeper.register.Registration;
import org.lampkeeper.register.SiteSheet;
import org.lampkeeper.register.TimeZones;
import org.lampkeeper.web.SupplyView.Link;

/** What is this site, how does one get in, and who may open its electrical parts? */
@Path("/sites")
@Produces(MediaType.TEXT_HTML)
class SiteFormResource {

    private final Registration registration;
    private final Plant plant;
    private final FormPage pages;

    SiteFormResource(Registration registration, Plant plant, FormPage pages) {
        this.registration = registration;
        this.plant = plant;
        this.pages = pages;
    }

    @GET
    @Path("new")
    @Needs(value = Right.EDIT_SITE, everywhere = true)
    public Response askForANewSite() {
        return FormPage.show(newSite(fields(Form.empty())));
    }

    @POST
    @Path("new")
    @Consumes(MediaType.APPLICATION_FORM_URLENCODED)
    @Needs(value = Right.EDIT_SITE, everywhere = true)
    public Response register(MultivaluedMap<String, String> sent) {
        Form form = fields(Form.typed(sent));
        NewSite entered = read(form);
        if (!form.isFine()) {
            return FormPage.refused(newSite(form));
        }
        try {
            return FormPage.done("/sites/" + registration.addSite(entered, plant.by()).id());
        } catch (NotRegistered refused) {
            return FormPage.refused(newSite(form.problems(refused.problems())));
        }
    }

    @GET
    @Path("{site:\\d{1,18}}/edit")
    @Needs(Right.EDIT_SITE)
    public Response askWhatIsNew(@RestPath long site) {
        SiteSheet sheet = plant.site(site);
        return FormPage.show(change(sheet, fields(Form.showing(stored(sheet), sheet.version()))));
    }

    @POST
    @Path("{site:\\d{1,18}}/edit")
    @Consumes(MediaType.APPLICATION_FORM_URLENCODED)
    @Needs(Right.EDIT_SITE)
    public Response change(@RestPath long site, MultivaluedMap<String, String> sent) {
        SiteSheet sheet = plant.site(site);
        Form form = fields(Form.typed(sent));
        NewSite entered = read(form);
        return pages.save(form, () -> registration.changeSite(site, form.version(), entered, plant.by()), "/sites/" + site,
                () -> stored(plant.site(site)), sheet.zone(), () -> change(sheet, form));
    }

    @GET
    @Path("{site:\\d{1,18}}/boards/new")
    @Needs(Right.EDIT_PLANT)
    public Response askForANewBoard(@RestPath long site) {
        return FormPage.show(newBoard(plant.site(site), BoardFormResource.fields(Form.empty())));
    }

    @POST
    @Path("{site:\\d{1,18}}/boards/new")
    @Consumes(MediaType.APPLICATION_FORM_URLENCODED)
    @Needs(Right.EDIT_PLANT)
    public Response registerBoard(@RestPath long site, MultivaluedMap<String, String> sent) {
        SiteSheet sheet = plant.site(site);
        Form form = BoardFormResource.fields(Form.typed(sent));
        NewBoard entered = BoardFormResource.read(form, site);
        if (!form.isFine()) {
            return FormPage.refused(newBoard(sheet, form));
        }
        try {
            registration.addBoard(entered, plant.by());
            return FormPage.done("/sites/" + site);
        } catch (NotRegistered refused) {
            return FormPage.refused(newBoard(sheet, form.problems(refused.problems())));
        }
    }

    private static Form fields(Form form) {
        return form.add(Input.text("name", "Name").hint("As people there call it."))
                .add(Input.text("address", "Address").hint("So that somebody who was never there finds it at night."))
                .add(Input.text("zone", "Time zone").hint("The name in the IANA list, like Europe/London. Times at this site are shown in it."))
                .add(Input.text("access", "How to get in").hint("Gate code, key safe, whom to ring. Stands in every alarm of this site."))
                .add(Input.text("intake", "Place of the intake").hint("Where the supply of the whole site comes in."))
                .section("Electrician", "Who may open the electrical parts of this site.")
                .add(Input.text("electrician.name", "Name").orNot())
                .add(Input.phone("electrician.phone", "Telephone").orNot());
    }

    private static NewSite read(Form form) {
        Optional<ZoneId> zone = TimeZones.named(form.text("zone"));
        if (zone.isEmpty()) {
            form.problem("zone", (form.text("zone").isEmpty() ? "is empty" : "there is no time zone of this name")
                    + ", must be one of the IANA list, like Europe/London");
        }
        Optional<String> name = form.optionalText("electrician.name");
        Optional<String> phone = form.optionalText("electrician.phone");
        if (name.isEmpty() && phone.isPresent()) {
            form.problem("electrician.name", "is empty, must say whose number this is");
        }
        NewSite entered = new NewSite(form.text("name"), form.text("address"), zone.orElse(ZoneOffset.UTC), form.text("access"),
                form.text("intake"), name.map(known -> new Electrician(known, phone)));
        form.problems(entered.problems());
        return entered;
    }

    private static Map<String, String> stored(SiteSheet site) {
        Map<String, String> stored = new HashMap<>(Map.of("name", site.name(), "address", site.address(), "zone", site.zone().getId(),
                "access", site.access(), "intake", site.intake()));
        stored.put("electrician.name", site.electrician().map(Electrician::name).orElse(""));
        stored.put("electrician.phone", site.electrician().flatMap(Electrician::phone).orElse(""));
        return stored;
    }

    private FormView newSite(Form form) {
        return new FormView(pages.frame("Register a site", "supply"), "A new site: where is it, and how does one get in?", "", List.of(), form,
                "/sites/new", "Register the site", new Link("Back without saving", "/"),
                List.of(new Link("Take many from a file", "/import")));
    }

    private FormView change(SiteSheet site, Form form) {
        return new FormView(pages.frame("Change " + site.name(), "supply"), "What is different at " + site.name() + "?", "", List.of(), form,
                "/sites/" + site.id() + "/edit", "Save", new Link("Back without saving", "/sites/" + site.id()), List.of());
    }

    private FormView newBoard(SiteSheet site, Form form) {
        return new FormView(pages.frame("Register a board", "supply"), "A new board at " + site.name() + ": where is it?", "", List.of(), form,
                "/sites/" + site.id() + "/boards/new", "Register the board", new Link("Back without saving", "/sites/" + site.id()), List.of());
    }
}
