package org.lampkeeper.web;

import java.time.Clock;
import java.time.DateTimeException;
import java.time.Instant;
import java.time.LocalTime;
import java.util.List;
import java.util.Optional;

import jakarta.ws.rs.Consumes;
import jakarta.ws.rs.DefaultValue;
import jakarta.ws.rs.GET;
import jakarta.ws.rs.NotFoundException;
import jakarta.ws.rs.POST;
import jakarta.ws.rs.Path;
import jakarta.ws.rs.Produces;
import jakarta.ws.rs.core.MediaType;
import jakarta.ws.rs.core.MultivaluedMap;
import jakarta.ws.rs.core.Response;

import org.jboss.resteasy.reactive.RestForm;
import org.jboss.resteasy.reactive.RestPath;
import org.jboss.resteasy.reactive.RestQuery;

import org.lampkeeper.access.CurrentCaller;
import org.lampkeeper.alarm.Sentences;
import org.lampkeeper.message.AddressRefused;
import org.lampkeeper.message.Channels;
import org.lampkeeper.message.PersonChannels;
import org.lampkeeper.message.ProofAnswer;
import org.lampkeeper.message.Proofs;
import org.lampkeeper.message.Proofs.Asked;
import org.lampkeeper.register.By;
import org.lampkeeper.watch.SitePeople;
import org.lampkeeper.web.Input.Choice;
import org.lampkeeper.web.PeopleReading.PersonRow;
import org.lampkeeper.web.SupplyView.Link;

/** The channels of a person: in which order, which more, which less, and the proofs of them. Also behind the buttons of one's own page. */
@Path("/people/{person:\\d{1,18}}/channels")
@Produces(MediaType.TEXT_HTML)
class ChannelsResource {

    private final ChannelsPage page;
    private final PersonChannels channels;
    private final Channels kinds;
    private final Proofs proofs;
    private final SitePeople sitePeople;
    private final FormPage pages;
    private final CurrentCaller current;
    private final Clock clock;

    ChannelsResource(ChannelsPage page, PersonChannels channels, Channels kinds, Proofs proofs, SitePeople sitePeople, FormPage pages, CurrentCaller current, Clock clock) {
        this.page = page;
        this.channels = channels;
        this.kinds = kinds;
        this.proofs = proofs;
        this.sitePeople = sitePeople;
        this.pages = pages;
        this.current = current;
        this.clock = clock;
    }

    @GET
    public Response show(@RestPath long person, @RestQuery @DefaultValue("") String said) {
        return page.page(200, person, ChannelsPage.words(said), "");
    }

    @GET
    @Path("new")
    public Response askWhich(@RestPath long person) {
        return FormPage.show(adding(page.changeable(person), fields(Form.empty())));
    }

    @POST
    @Path("new")
    @Consumes(MediaType.APPLICATION_FORM_URLENCODED)
    public Response add(@RestPath long person, MultivaluedMap<String, String> sent) {
        PersonRow row = page.changeable(person);
        Form form = fields(Form.typed(sent));
        String address = form.text("address");
        if (form.isFine()) {
            try {
                channels.add(person, form.value("kind"), address, by());
                return done(person, "added");
            } catch (AddressRefused refused) {
                form.problem("address", refused.getMessage());
            }
        }
        return FormPage.refused(adding(row, form));
    }

    @POST
    @Path("{channel:\\d{1,18}}/up")
    public Response moveUp(@RestPath long person, @RestPath long channel) {
        return move(person, channel, -1);
    }

    @POST
    @Path("{channel:\\d{1,18}}/down")
    public Response moveDown(@RestPath long person, @RestPath long channel) {
        return move(person, channel, 1);
    }

    private Response move(long person, long channel, int places) {
        page.changeable(person);
        if (!channels.move(person, channel, places, by())) {
            throw new NotFoundException();
        }
        return done(person, "moved");
    }

    @POST
    @Path("{channel:\\d{1,18}}/remove")
    public Response remove(@RestPath long person, @RestPath long channel) {
        page.changeable(person);
        return channels.remove(person, channel, by()).map(kept -> page.page(409, person, "", "It was not taken away: it " + kept + "."))
                .orElseGet(() -> done(person, "removed"));
    }

    @POST
    @Path("{channel:\\d{1,18}}/prove")
    public Response prove(@RestPath long person, @RestPath long channel) {
        page.changeable(person);
        return asked(proofs.now(person, channel, by()), person, "sent");
    }

    /** {@code at}: on the clocks of the person's site. */
    @POST
    @Path("{channel:\\d{1,18}}/prove-tonight")
    @Consumes(MediaType.APPLICATION_FORM_URLENCODED)
    public Response proveTonight(@RestPath long person, @RestPath long channel, @RestForm @DefaultValue("") String at) {
        page.changeable(person);
        LocalTime hour;
        try {
            hour = LocalTime.parse(at);
        } catch (DateTimeException noTime) {
            return page.page(422, person, "", "Nothing was planned: choose an hour for the proof.");
        }
        return asked(proofs.tonight(person, channel, hour, sitePeople.zoneOf(person), by()), person, "planned");
    }

    @POST
    @Path("{channel:\\d{1,18}}/not-tonight")
    public Response notTonight(@RestPath long person, @RestPath long channel) {
        page.changeable(person);
        proofs.notTonight(person, channel, by());
        return done(person, "withdrawn");
    }

    /** For whoever cannot open the link of a proof, such as after a call. */
    @POST
    @Path("{channel:\\d{1,18}}/code")
    @Consumes(MediaType.APPLICATION_FORM_URLENCODED)
    public Response answerByCode(@RestPath long person, @RestPath long channel, @RestForm @DefaultValue("") String code,
            @RestForm @DefaultValue("") String answer) {
        page.changeable(person);
        Optional<ProofAnswer> said = ProofResource.answer(answer);
        if (said.isEmpty()) {
            return page.page(422, person, "", "Nothing was recorded: say with one of the buttons what the message did.");
        }
        return proofs.answerByCode(person, channel, code, said.get(), by()) ? done(person, "proven")
                : page.page(422, person, "", "Nothing was recorded: this is not the code of a proof that waits for an answer. Send another.");
    }

    private Response asked(Asked asked, long person, String said) {
        if (asked instanceof Asked.NotThere) {
            throw new NotFoundException();
        }
        if (asked instanceof Asked.TooMany tooMany) {
            Instant now = clock.instant();
            return page.page(429, person, "", "No proof was sent: there were several in the last hour. The next can be sent at "
                    + Sentences.clock(tooMany.again(), sitePeople.zoneOf(person), now) + ".");
        }
        return done(person, said);
    }

    private Response done(long person, String said) {
        return FormPage.done(page.address(person) + "?said=" + said);
    }

    private By by() {
        return By.person(current.get().personId(), clock.instant());
    }

    private Form fields(Form form) {
        return form.add(Input.choice("kind", "By", kinds.entered().stream().map(it -> new Choice(it.kind(), it.label())).toList()))
                .add(Input.text("address", "Address or number").hint("A mail address; for a telephone, its number with the country in front."));
    }

    private FormView adding(PersonRow row, Form form) {
        boolean isOwn = row.id() == current.get().personId();
        return new FormView(pages.frame("Add a channel", isOwn ? "me" : "people"), "By what else " + (isOwn ? "are you" : "is " + row.name()) + " reached?",
                "It comes last in the order, and no alarm relies on it before it is proven.", List.of(), form,
                "/people/" + row.id() + "/channels/new", "Add it", new Link("Not now", page.address(row.id())), List.of());
    }
}
