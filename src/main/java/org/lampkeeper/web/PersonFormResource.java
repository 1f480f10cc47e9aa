package org.lampkeeper.web;

import java.time.Clock;
import java.time.ZoneOffset;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalLong;

import jakarta.ws.rs.Consumes;
import jakarta.ws.rs.GET;
import jakarta.ws.rs.NotFoundException;
import jakarta.ws.rs.POST;
import jakarta.ws.rs.Path;
import jakarta.ws.rs.Produces;
import jakarta.ws.rs.core.MediaType;
import jakarta.ws.rs.core.MultivaluedMap;
import jakarta.ws.rs.core.Response;

import io.quarkus.narayana.jta.QuarkusTransaction;
import org.jboss.resteasy.reactive.RestPath;

import org.lampkeeper.access.Accounts;
import org.lampkeeper.access.Caller;
import org.lampkeeper.access.CurrentCaller;
import org.lampkeeper.access.Grant;
import org.lampkeeper.access.Needs;
import org.lampkeeper.access.NotAllowed;
import org.lampkeeper.access.Right;
import org.lampkeeper.access.Role;
import org.lampkeeper.register.By;
import org.lampkeeper.register.ChangedMeanwhile;
import org.lampkeeper.register.Contact;
import org.lampkeeper.register.NewPerson;
import org.lampkeeper.register.NotRegistered;
import org.lampkeeper.register.People;
import org.lampkeeper.register.Registration;
import org.lampkeeper.web.Input.Choice;
import org.lampkeeper.web.SupplyView.Link;

/** Who is this, and how are they reached? */
@Path("/people")
@Produces(MediaType.TEXT_HTML)
@Needs(Right.EDIT_PEOPLE)
class PersonFormResource {

    private static final String NO_ROLE = "NONE";

    private final Registration registration;
    private final People people;
    private final PeopleReading reading;
    private final Accounts accounts;
    private final FormPage pages;
    private final CurrentCaller current;
    private final Clock clock;

    PersonFormResource(Registration registration, People people, PeopleReading reading, Accounts accounts, FormPage pages, CurrentCaller current,
            Clock clock) {
        this.registration = registration;
        this.people = people;
        this.reading = reading;
        this.accounts = accounts;
        this.pages = pages;
        this.current = current;
        this.clock = clock;
    }

    @GET
    @Path("new")
    public Response askWho() {
        return FormPage.show(registering(withRole(Form.empty())));
    }

    /** Person and role in one commit: somebody without a role is seen by those only who see everybody. */
    @POST
    @Path("new")
    @Consumes(MediaType.APPLICATION_FORM_URLENCODED)
    public Response register(MultivaluedMap<String, String> sent) {
        Form form = withRole(Form.typed(sent));
        NewPerson entered = entered(form);
        Optional<Grant> grant = grant(form);
        form.problems(entered.problems());
        if (!form.isFine()) {
            return FormPage.refused(registering(form));
        }
        Caller caller = current.get();
        try {
            long personId = QuarkusTransaction.requiringNew().call(() -> {
                Contact added = registration.addPerson(entered, By.person(caller.personId(), clock.instant()));
                grant.ifPresent(role -> accounts.grant(added.personId(), role, caller));
                return added.personId();
            });
            return FormPage.done("/people/" + personId + "?said=added");
        } catch (NotRegistered e) {
            return FormPage.refused(registering(form.problems(e.problems())));
        } catch (NotAllowed e) {
            return FormPage.refused(registering(form.problem("role", e.getMessage())));
        }
    }

    @GET
    @Path("{person:\\d{1,18}}/edit")
    public Response askWhatIsNew(@RestPath long person) {
        Contact stored = changeable(person);
        return FormPage.show(changing(stored, fields(Form.showing(stored(stored), stored.version()))));
    }

    @POST
    @Path("{person:\\d{1,18}}/edit")
    @Consumes(MediaType.APPLICATION_FORM_URLENCODED)
    public Response change(@RestPath long person, MultivaluedMap<String, String> sent) {
        Contact stored = changeable(person);
        Form form = fields(Form.typed(sent));
        NewPerson entered = entered(form);
        form.problems(entered.problems());
        if (entered.mail().filter(mail -> !accounts.isFree(mail, person)).isPresent()) {
            form.problem("mail", "is what somebody else signs in with, must be this person's own");
        }
        if (!form.isFine()) {
            return FormPage.refused(changing(stored, form));
        }
        try {
            registration.changePerson(person, form.version(), entered, By.person(current.get().personId(), clock.instant()));
            return FormPage.done("/people/" + person + "?said=changed");
        } catch (ChangedMeanwhile e) {
            Contact now = people.find(person).orElseThrow(NotFoundException::new);
            pages.changedMeanwhile(form, e, stored(now), ZoneOffset.UTC);
            return FormPage.refused(changing(now, form));
        } catch (NotRegistered e) {
            return FormPage.refused(changing(stored, form.problems(e.problems())));
        }
    }

    @GET
    @Path("{person:\\d{1,18}}/erase")
    public Response askToErase(@RestPath long person) {
        Contact stored = changeable(person);
        return FormPage.show(erasing(stored, sure(Form.showing(Map.of(), stored.version()))));
    }

    @POST
    @Path("{person:\\d{1,18}}/erase")
    @Consumes(MediaType.APPLICATION_FORM_URLENCODED)
    public Response erase(@RestPath long person, MultivaluedMap<String, String> sent) {
        Contact stored = changeable(person);
        Form form = sure(Form.typed(sent));
        if (!form.text("name").equals(stored.name())) {
            form.problem("name", "must be " + stored.name() + ", as it stands above");
        }
        return pages.save(form, () -> registration.erasePerson(person, By.person(current.get().personId(), clock.instant())), "/people?said=erased",
                () -> Map.of(), ZoneOffset.UTC, () -> erasing(stored, form));
    }

    private static Form sure(Form form) {
        return form.add(Input.text("name", "Their name, to be sure").hint("As it stands above."));
    }

    private FormView erasing(Contact person, Form form) {
        return new FormView(pages.frame("Erase " + person.name(), "people"), "Erase " + person.name() + "? This cannot be undone.",
                "Gone are the name, the mail address, the telephone number, the account with its roles, sessions and tokens, and what was written to them. "
                        + "The journal keeps what they did, under a number that nobody can trace back, and still proves intact.",
                List.of(), form, "/people/" + person.personId() + "/erase", "Erase", new Link("Leave it", "/people/" + person.personId()), List.of());
    }

    private Contact changeable(long personId) {
        Contact person = people.find(personId).filter(it -> people.isKnown(personId)).orElseThrow(NotFoundException::new);
        if (!accounts.mayChange(current.get(), personId)) {
            throw new NotAllowed(person.name() + " has a role that reaches further than yours. Ask an administrator of every site.");
        }
        return person;
    }

    private static Form fields(Form form) {
        return form.add(Input.text("name", "Name").hint("As the others know them: it stands beside what they do."))
                .add(Input.mail("mail", "Mail address").hint("They are told there, and sign in with it. Without one nothing can be sent.").orNot())
                .add(Input.phone("phone", "Telephone").hint("For the others, to call each other.").orNot());
    }

    private Form withRole(Form form) {
        Caller caller = current.get();
        boolean isEverywhere = caller.reach().mayEverywhere(Right.EDIT_PEOPLE);
        List<Choice> roles = new ArrayList<>();
        if (isEverywhere) {
            roles.add(new Choice(NO_ROLE, "none yet"));
        }
        PeopleResource.GIVEN_MOST_OFTEN_FIRST.forEach(role -> roles.add(new Choice(role.name(), role.words())));
        List<Choice> sites = new ArrayList<>();
        if (isEverywhere) {
            sites.add(new Choice("0", "every site, those to come included"));
        }
        reading.sites(caller.reach()).stream().filter(site -> caller.reach().may(Right.EDIT_PEOPLE, site.id()))
                .forEach(site -> sites.add(new Choice(Long.toString(site.id()), site.name())));
        return fields(form).section("What they may", "More roles can be given afterwards.").add(Input.choice("role", "Role", roles))
                .add(Input.choice("site", "Where it holds", sites));
    }

    private static NewPerson entered(Form form) {
        return new NewPerson(form.text("name"), form.optionalText("mail"), form.optionalText("phone"));
    }

    private static Optional<Grant> grant(Form form) {
        if (form.value("role").equals(NO_ROLE) && form.field("role").choices().stream().anyMatch(choice -> choice.value().equals(NO_ROLE))) {
            return Optional.empty();
        }
        Optional<Role> role = form.choice("role", Role.class);
        OptionalLong site = form.chosenId("site");
        return role.filter(it -> site.isPresent())
                .map(it -> site.getAsLong() == SiteOf.OPERATOR ? Grant.everywhere(it) : Grant.at(it, site.getAsLong()));
    }

    private static Map<String, String> stored(Contact person) {
        return Map.of("name", person.name(), "mail", person.mail().orElse(""), "phone", person.phone().orElse(""));
    }

    private FormView registering(Form form) {
        return new FormView(pages.frame("Register a person", "people"), "Who is new?",
                "They are told once they stand on a call-out list, and can sign in once they are invited.", List.of(), form, "/people/new",
                "Register", new Link("Not now", "/people"), List.of());
    }

    private FormView changing(Contact person, Form form) {
        return new FormView(pages.frame("Change " + person.name(), "people"), "How is " + person.name() + " reached?", "", List.of(), form,
                "/people/" + person.personId() + "/edit", "Save", new Link("Leave it", "/people/" + person.personId()), List.of());
    }
}
