package org.lampkeeper.web;

import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.OptionalLong;

import jakarta.ws.rs.Consumes;
import jakarta.ws.rs.GET;
import jakarta.ws.rs.POST;
import jakarta.ws.rs.Path;
import jakarta.ws.rs.Produces;
import jakarta.ws.rs.core.MediaType;
import jakarta.ws.rs.core.MultivaluedMap;
import jakarta.ws.rs.core.Response;

import org.jboss.resteasy.reactive.RestPath;

import org.lampkeeper.access.CurrentCaller;
import org.lampkeeper.access.Needs;
import org.lampkeeper.access.Right;
import org.lampkeeper.message.NewWebhook;
import org.lampkeeper.message.Webhooks;
import org.lampkeeper.register.ChangedMeanwhile;
import org.lampkeeper.register.NotRegistered;
import org.lampkeeper.web.Input.Choice;
import org.lampkeeper.web.SupplyView.Link;
import org.lampkeeper.web.WebhookReading.EndpointRow;

/** Where is a program told of alarms, and of which? */
@Path("/webhooks")
@Produces(MediaType.TEXT_HTML)
@Needs(Right.EDIT_WEBHOOKS)
class WebhookFormResource {

    private static final String EVERY_SITE = "0";

    private final Webhooks webhooks;
    private final WebhookReading reading;
    private final PeopleReading people;
    private final CurrentCaller current;
    private final Plant plant;
    private final FormPage pages;

    WebhookFormResource(Webhooks webhooks, WebhookReading reading, PeopleReading people, CurrentCaller current, Plant plant, FormPage pages) {
        this.webhooks = webhooks;
        this.reading = reading;
        this.people = people;
        this.current = current;
        this.plant = plant;
        this.pages = pages;
    }

    @GET
    @Path("new")
    public Response askForANewOne() {
        return FormPage.show(newWebhook(fields(Form.empty().preset("isOn", "on"), true)));
    }

    /** Answers with the secret at once: it is shown this one time, so there is nowhere to lead to. */
    @POST
    @Path("new")
    @Consumes(MediaType.APPLICATION_FORM_URLENCODED)
    public Response register(MultivaluedMap<String, String> sent) {
        Form form = fields(Form.typed(sent), true);
        // Only what the caller may choose is offered, and only what is offered is taken.
        OptionalLong site = form.chosenId("siteId");
        NewWebhook entered = read(form, site.isPresent() && site.getAsLong() == 0 ? OptionalLong.empty() : site);
        if (!form.isFine()) {
            return FormPage.refused(newWebhook(form));
        }
        Webhooks.Registered made = webhooks.register(entered, plant.by());
        return WebhookResource.secretOnce(pages, made.id(), entered.name(), made.secret(), false);
    }

    @GET
    @Path("{webhook:\\d{1,18}}/edit")
    public Response askWhatIsNew(@RestPath long webhook) {
        EndpointRow endpoint = reading.endpoint(webhook);
        return FormPage.show(change(endpoint, fields(Form.showing(stored(endpoint), endpoint.version()), false)));
    }

    @POST
    @Path("{webhook:\\d{1,18}}/edit")
    @Consumes(MediaType.APPLICATION_FORM_URLENCODED)
    public Response change(@RestPath long webhook, MultivaluedMap<String, String> sent) {
        EndpointRow endpoint = reading.endpoint(webhook);
        Form form = fields(Form.typed(sent), false);
        NewWebhook entered = read(form, endpoint.siteId());
        return pages.save(form, () -> webhooks.change(webhook, form.version(), entered, plant.by()), "/webhooks/" + webhook,
                () -> stored(reading.endpoint(webhook)), endpoint.zone(), () -> change(endpoint, form));
    }

    @GET
    @Path("{webhook:\\d{1,18}}/remove")
    public Response askWhetherToRemove(@RestPath long webhook) {
        EndpointRow endpoint = reading.endpoint(webhook);
        return FormPage.show(remove(endpoint, Form.showing(Map.of(), endpoint.version())));
    }

    @POST
    @Path("{webhook:\\d{1,18}}/remove")
    @Consumes(MediaType.APPLICATION_FORM_URLENCODED)
    public Response remove(@RestPath long webhook, MultivaluedMap<String, String> sent) {
        EndpointRow endpoint = reading.endpoint(webhook);
        Form form = Form.typed(sent);
        try {
            webhooks.remove(webhook, form.version(), plant.by());
            return FormPage.done("/webhooks");
        } catch (NotRegistered gone) {
            return FormPage.refused(remove(endpoint, form.problems(gone.problems())));
        } catch (ChangedMeanwhile changed) {
            pages.changedMeanwhile(form, changed, Map.of(), endpoint.zone());
            return FormPage.refused(remove(reading.endpoint(webhook), form));
        }
    }

    private Form fields(Form form, boolean isNew) {
        form.add(Input.text("name", "Name").hint("What receives it: harbour office, wall display."))
                .add(Input.text("url", "URL").hint("Events are posted to it. It begins with https:// and leads to a public address, unless the operator allows"
                        + " others."));
        if (isNew) {
            List<Choice> sites = new ArrayList<>();
            if (plant.mayEverywhere(Right.EDIT_WEBHOOKS)) {
                sites.add(new Choice(EVERY_SITE, "Every site, and Lampkeeper itself"));
            }
            people.sites(current.get().reach()).stream().filter(site -> plant.may(Right.EDIT_WEBHOOKS, site.id()))
                    .forEach(site -> sites.add(new Choice(Long.toString(site.id()), site.name())));
            form.add(Input.choice("siteId", "Whose alarms", sites).hint("It stays so."));
        }
        return form.add(Input.tick("isOn", "It is on").hint("Switched off, it hears of nothing, and what waits for it is given up."));
    }

    private NewWebhook read(Form form, OptionalLong siteId) {
        NewWebhook entered = new NewWebhook(form.text("name"), form.text("url"), siteId, form.isTicked("isOn"));
        form.problems(webhooks.problems(entered));
        return entered;
    }

    private static Map<String, String> stored(EndpointRow endpoint) {
        return Map.of("name", endpoint.name(), "url", endpoint.url(), "isOn", endpoint.isOn() ? "on" : "");
    }

    private FormView newWebhook(Form form) {
        return new FormView(pages.frame("Register a webhook", "messages"), "Which program is to hear of alarms?",
                "Each event is signed as Standard Webhooks, with a secret that is made now and shown once.", List.of(), form, "/webhooks/new",
                "Register the webhook", new Link("Back without saving", "/webhooks"), List.of());
    }

    private FormView change(EndpointRow endpoint, Form form) {
        return new FormView(pages.frame("Change " + endpoint.name(), "messages"), "What is different at " + endpoint.name() + "?", "", List.of(), form,
                "/webhooks/" + endpoint.id() + "/edit", "Save", new Link("Back without saving", "/webhooks/" + endpoint.id()),
                List.of(new Link("Remove this webhook", "/webhooks/" + endpoint.id() + "/remove")));
    }

    private FormView remove(EndpointRow endpoint, Form form) {
        return new FormView(pages.frame("Remove " + endpoint.name(), "messages"), "Is " + endpoint.name() + " to hear of nothing any more?",
                "It is removed with the list of what it was told. The journal keeps that it was there.", List.of(), form,
                "/webhooks/" + endpoint.id() + "/remove", "Remove it", new Link("Keep it", "/webhooks/" + endpoint.id()), List.of());
    }
}
