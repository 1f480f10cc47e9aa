package org.lampkeeper.web;

import java.net.URI;
import java.time.Instant;
import java.time.ZoneOffset;
import java.util.List;

import jakarta.ws.rs.Consumes;
import jakarta.ws.rs.DefaultValue;
import jakarta.ws.rs.GET;
import jakarta.ws.rs.POST;
import jakarta.ws.rs.Path;
import jakarta.ws.rs.Produces;
import jakarta.ws.rs.core.MediaType;
import jakarta.ws.rs.core.Response;

import io.quarkus.qute.CheckedTemplate;
import io.quarkus.qute.TemplateInstance;
import io.quarkus.vertx.http.runtime.CurrentVertxRequest;
import org.jboss.resteasy.reactive.RestForm;
import org.jboss.resteasy.reactive.RestPath;
import org.jboss.resteasy.reactive.RestQuery;

import org.lampkeeper.access.CurrentCaller;
import org.lampkeeper.access.NotAllowed;
import org.lampkeeper.access.Phones;
import org.lampkeeper.access.Phones.Invited;
import org.lampkeeper.message.MessageConfig;
import org.lampkeeper.message.PushSubscriptions;
import org.lampkeeper.register.By;
import org.lampkeeper.register.People;

/** Which phones take this person's looks? For the person, and for whoever may invite them. */
@Path("/people/{person:\\d{1,18}}/phones")
@Produces(MediaType.TEXT_HTML)
class PhonesResource {

    private final Phones phones;
    private final PhoneCookie cookie;
    private final People people;
    private final Plant plant;
    private final FormPage pages;
    private final CurrentCaller caller;
    private final MessageConfig messages;
    private final PushSubscriptions push;
    private final CurrentVertxRequest current;

    PhonesResource(Phones phones, PhoneCookie cookie, People people, Plant plant, FormPage pages, CurrentCaller caller, MessageConfig messages,
            PushSubscriptions push, CurrentVertxRequest current) {
        this.phones = phones;
        this.cookie = cookie;
        this.people = people;
        this.plant = plant;
        this.pages = pages;
        this.caller = caller;
        this.messages = messages;
        this.push = push;
        this.current = current;
    }

    @CheckedTemplate
    static class Templates {
        static native TemplateInstance phones(PhonesView view);
    }

    /**
     * @param said   what was just done; empty for nothing
     * @param link   that was just made: shown once; empty otherwise
     * @param isSelf whether this may be the phone of whoever reads it
     * @param isSafe whether the secret would cross no network in the clear
     */
    record PhonesView(Frame frame, String headline, String said, String base, String name, List<PhoneLine> phones, String link, String ends, boolean isSelf,
            boolean isSafe) {
    }

    record PhoneLine(long id, String device, Moment enrolled, Moment seen) {
    }

    /** {@code said}: what was done just before; any word that is none of ours says nothing. */
    @GET
    public Response show(@RestPath long person, @RestQuery @DefaultValue("") String said) {
        return page(person, said.equals("revoked") ? "That phone is nobody’s any more." : "", "", "");
    }

    /** The link stands in this answer and nowhere else: it cannot be asked for again. */
    @POST
    @Path("invite")
    public Response invite(@RestPath long person) {
        Invited made = phones.invite(person, caller.get());
        return page(person, "", messages.address("enrol/" + made.token()), made.endsAt().atZone(ZoneOffset.UTC).toLocalDate().toString());
    }

    /** The phone on which its owner has signed in. */
    @POST
    @Path("this")
    public Response enrolThis(@RestPath long person) {
        if (caller.get().personId() != person) {
            throw new NotAllowed("Only " + people.contact(person).name() + " enrols the phone in hand. Make a link for theirs.");
        }
        if (!cookie.isSafe(current.getCurrent().request())) {
            throw new NotAllowed("What the phone keeps would cross the network for anybody to read. Open Lampkeeper by its https address.");
        }
        String secret = phones.enrol(caller.get(), new Client(current.getCurrent().request()).device());
        return Response.seeOther(URI.create("/phone")).cookie(cookie.holding(secret, current.getCurrent().request())).build();
    }

    @POST
    @Path("revoke")
    @Consumes(MediaType.APPLICATION_FORM_URLENCODED)
    public Response revoke(@RestPath long person, @RestForm @DefaultValue("0") long phone) {
        phones.revoke(phone, person, caller.get());
        push.end(person, phone, By.person(caller.get().personId(), plant.now()));
        return Response.seeOther(URI.create("/people/" + person + "/phones?said=revoked")).build();
    }

    private Response page(long person, String said, String link, String ends) {
        String name = people.contact(person).name();
        if (!phones.mayChange(caller.get(), person)) {
            throw new NotAllowed("The phones of " + name + " are seen by themselves, and by whoever may invite them.");
        }
        Instant now = plant.now();
        List<PhoneLine> lines = phones.of(person).stream().map(phone -> new PhoneLine(phone.id(), phone.device(),
                Moment.of(phone.enrolledAt(), ZoneOffset.UTC, now), Moment.of(phone.seenAt(), ZoneOffset.UTC, now))).toList();
        String headline = lines.isEmpty() ? "No phone takes the looks of " + name + " yet." : lines.size() == 1 ? "One phone takes the looks of " + name + "."
                : lines.size() + " phones take the looks of " + name + ".";
        return Response.ok(Templates.phones(new PhonesView(pages.frame("Phones of " + name, "people"), headline, said, "/people/" + person + "/phones", name,
                lines, link, ends, caller.get().personId() == person, cookie.isSafe(current.getCurrent().request()))).render()).type(ChecksResource.HTML).build();
    }
}
