package org.lampkeeper.web.api;

import java.io.InputStream;
import java.sql.SQLException;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.OptionalLong;

import jakarta.ws.rs.Consumes;
import jakarta.ws.rs.DELETE;
import jakarta.ws.rs.GET;
import jakarta.ws.rs.POST;
import jakarta.ws.rs.PUT;
import jakarta.ws.rs.Path;
import jakarta.ws.rs.Produces;
import jakarta.ws.rs.core.Context;
import jakarta.ws.rs.core.HttpHeaders;
import jakarta.ws.rs.core.MediaType;
import jakarta.ws.rs.core.Response;
import jakarta.ws.rs.core.UriInfo;

import com.fasterxml.jackson.annotation.JsonIgnoreProperties;
import org.eclipse.microprofile.openapi.annotations.Operation;
import org.eclipse.microprofile.openapi.annotations.parameters.RequestBodySchema;
import org.eclipse.microprofile.openapi.annotations.responses.APIResponseSchema;
import org.eclipse.microprofile.openapi.annotations.tags.Tag;
import org.jboss.resteasy.reactive.RestPath;
import org.jspecify.annotations.Nullable;

import org.lampkeeper.access.Accounts;
import org.lampkeeper.access.Caller;
import org.lampkeeper.access.CurrentCaller;
import org.lampkeeper.access.Grant;
import org.lampkeeper.access.Needs;
import org.lampkeeper.access.NotAllowed;
import org.lampkeeper.access.Right;
import org.lampkeeper.access.Role;
import org.lampkeeper.register.NewPerson;
import org.lampkeeper.register.Registration;
import org.lampkeeper.web.Reads;
import org.lampkeeper.web.Reads.Row;
import org.lampkeeper.web.api.Listing.Order;
import org.lampkeeper.web.api.Listing.Source;

/** Who can be told, and who may do what. */
@Path("/api/people")
@Produces(MediaType.APPLICATION_JSON)
@Consumes(MediaType.APPLICATION_JSON)
@Needs(Right.SEE)
@Tag(name = "people", description = "Who can be told of an alarm, and who may do what where. Invitations are made on the page of a person.")
class PeopleResource {

    private static final Source<Person> PEOPLE = new Source<>("people",
            "SELECT p.id, p.name, p.mail, p.phone, p.reference, p.version FROM person p",
            "p.id", Order.OLDEST_FIRST, Person::read, Person::id);

    /** By role_grant_by_site and the primary key of a list; with a role at every site, or a turn on the list of a site in reach. */
    private static final String IN_REACH = """
            (p.id = ? OR p.id IN (SELECT g.person_id FROM role_grant g WHERE g.site_id IS NULL OR g.site_id = ANY (?)
                          UNION SELECT t.person_id FROM call_out_step t JOIN call_out_list l ON l.id = t.list_id WHERE l.site_id = ANY (?)))""";

    private final Reads reads;
    private final Listing listing;
    private final Desk desk;
    private final Registration registration;
    private final Accounts accounts;
    private final CurrentCaller caller;

    PeopleResource(Reads reads, Listing listing, Desk desk, Registration registration, Accounts accounts, CurrentCaller caller) {
        this.reads = reads;
        this.listing = listing;
        this.desk = desk;
        this.registration = registration;
        this.accounts = accounts;
        this.caller = caller;
    }

    /**
     * As registered.
     *
     * @param reference what the journal calls this person
     * @param roles     those at sites that the caller may see; left out in a list
     */
    record Person(long id, String name, Optional<String> mail, Optional<String> phone, String reference, Optional<List<RoleAnswer>> roles,
            long version) {

        static Person read(Row row) throws SQLException {
            return new Person(row.number("id"), row.text("name"), row.optionalText("mail"), row.optionalText("phone"),
                    row.text("reference"),
                    Optional.empty(), row.number("version"));
        }

        Person with(List<RoleAnswer> known) {
            return new Person(id, name, mail, phone, reference, Optional.of(known), version);
        }

        String tag() {
            return Versions.tag(version);
        }
    }

    /** {@code siteId}: where it holds; absent: at every site. */
    record RoleAnswer(Role role, OptionalLong siteId) {
    }

    record PersonPage(List<Person> items, Optional<String> next) {
    }

    /** A person as they are to be. */
    @JsonIgnoreProperties({"id", "reference", "roles", "version"})
    record PersonEntry(@Nullable String name, @Nullable String mail, @Nullable String phone) {

        NewPerson entered() {
            Fields fields = new Fields();
            NewPerson entered = new NewPerson(fields.text(name), Optional.ofNullable(mail), Optional.ofNullable(phone));
            fields.and(entered.problems()).refuseIfWrong();
            return entered;
        }
    }

    /** A person who is not registered yet. {@code roles}: as in the answer; may be left out. */
    record NewPersonEntry(@Nullable String name, @Nullable String mail, @Nullable String phone, @Nullable List<RoleEntry> roles) {

        NewPerson entered() {
            return new PersonEntry(name, mail, phone).entered();
        }

        List<Grant> grants() {
            return PeopleResource.grants(roles == null ? List.of() : roles);
        }
    }

    record RoleEntry(@Nullable Role role, @Nullable Long siteId) {
    }

    /** All roles of a person at sites that the caller may see. */
    record RolesAnswer(long personId, List<RoleAnswer> roles) {
    }

    /** The roles that a person is to have at sites that the caller may see; others stay. */
    record RolesEntry(@Nullable List<RoleEntry> roles) {
    }

    @GET
    @Operation(operationId = "listPeople", summary = "Lists the people whom the caller may see",
            description = "Those with a role, or with a turn on a call-out list, at a site that the caller may see; everybody for whom sees every site.")
    @APIResponseSchema(PersonPage.class)
    public Response list(@Context UriInfo address) {
        Where where = new Where();
        desk.sitesWith(Right.SEE).ifPresent(sites -> {
            Long[] ids = sites.toArray(Long[]::new);
            where.and(IN_REACH, desk.personId(), ids, ids);
        });
        return listing.page(PEOPLE, where, address);
    }

    @POST
    @Needs(Right.EDIT_PEOPLE)
    @Operation(operationId = "registerPerson", summary = "Registers a person, with roles if wished",
            description = "Nobody gives a role that reaches further than their own. Whoever is not administrator of every site has to give one, "
                    + "or would not see the person afterwards.")
    @APIResponseSchema(value = Person.class, responseCode = "201")
    public Response register(@RequestBodySchema(NewPersonEntry.class) InputStream body, @Context HttpHeaders headers,
            @Context UriInfo address) {
        return desk.post(headers, address, desk.read(body, NewPersonEntry.class), entry -> {
            NewPerson entered = entry.entered();
            List<Grant> grants = entry.grants();
            Caller asking = caller.get();
            if (grants.isEmpty() && !asking.reach().mayEverywhere(Right.EDIT_PEOPLE)) {
                new Fields().wrong("roles", "is missing: give a role at a site of yours").refuseIfWrong();
            }
            mustReach(grants);
            long id = registration.addPerson(entered, desk.by()).personId();
            grants.forEach(grant -> accounts.grant(id, grant, asking));
            Person made = stored(id).orElseThrow();
            return Answer.created("/api/people/" + id, made.version(), made);
        });
    }

    @GET
    @Path("{person:\\d{1,18}}")
    @Operation(operationId = "readPerson", summary = "Reads a person and their roles", description = "Roles do not raise the version.")
    @APIResponseSchema(Person.class)
    public Response read(@RestPath long person) {
        return desk.foundAlways(stored(person), Person::tag);
    }

    @PUT
    @Path("{person:\\d{1,18}}")
    @Needs(Right.EDIT_PEOPLE)
    @Operation(operationId = "changePerson", summary = "Replaces name, mail address and phone number of a person",
            description = "Another mail address is also what they sign in with from then on.")
    @APIResponseSchema(Person.class)
    public Response change(@RestPath long person, @RequestBodySchema(PersonEntry.class) InputStream body, @Context HttpHeaders headers) {
        NewPerson entered = desk.read(body, PersonEntry.class).value().entered();
        return desk.replace(headers, stored(person), Person::tag, before -> {
            mustMayChange(before);
            if (entered.mail().filter(mail -> !accounts.isFree(mail, person)).isPresent()) {
                new Fields().wrong("mail", "is what somebody else signs in with").refuseIfWrong();
            }
            registration.changePerson(person, (int) before.version(), entered, desk.by());
            return stored(person).orElseThrow();
        });
    }

    @DELETE
    @Path("{person:\\d{1,18}}")
    @Needs(Right.EDIT_PEOPLE)
    @Operation(operationId = "erasePerson", summary = "Erases a person",
            description = "Name, mail address and phone number are dropped, and so are the account and what was written to them. Refused while they are on "
                    + "a call-out list or have taken an alarm that is not over, and for the last administrator of everything.")
    public Response erase(@RestPath long person, @Context HttpHeaders headers) {
        return desk.remove(headers, stored(person), Person::tag, before -> {
            mustMayChange(before);
            registration.erasePerson(person, desk.by());
        });
    }

    @GET
    @Path("{person:\\d{1,18}}/roles")
    @Operation(operationId = "readRoles", summary = "Reads the roles of a person", description = "Those at sites that the caller may see.")
    @APIResponseSchema(RolesAnswer.class)
    public Response readRoles(@RestPath long person, @Context HttpHeaders headers) {
        return desk.found(roles(person), headers);
    }

    @PUT
    @Path("{person:\\d{1,18}}/roles")
    @Needs(Right.EDIT_PEOPLE)
    @Operation(operationId = "replaceRoles", summary = "Gives and takes roles of a person",
            description = "The person has these roles afterwards, and no other at a site that the caller may see. Nobody gives or takes a role that "
                    + "reaches further than their own, and the last administrator of everything stays one.")
    @APIResponseSchema(RolesAnswer.class)
    public Response replaceRoles(@RestPath long person, @RequestBodySchema(RolesEntry.class) InputStream body, @Context HttpHeaders headers) {
        RolesEntry entry = desk.read(body, RolesEntry.class).value();
        Fields fields = new Fields();
        List<RoleEntry> sent = fields.required("roles", entry.roles(), List.of());
        fields.refuseIfWrong();
        List<Grant> wished = grants(sent);
        mustReach(wished);
        return desk.replace(headers, roles(person), desk::tagOf, before -> {
            List<Grant> had = before.roles().stream().map(role -> new Grant(role.role(), role.siteId())).toList();
            // First given, then taken: between the two nobody is without a role who keeps one.
            wished.stream().filter(grant -> !had.contains(grant)).forEach(grant -> accounts.grant(person, grant, caller.get()));
            had.stream().filter(grant -> !wished.contains(grant)).forEach(grant -> accounts.take(person, grant, caller.get()));
            return roles(person).orElseThrow();
        });
    }

    private Optional<RolesAnswer> roles(long person) {
        return stored(person).map(found -> new RolesAnswer(person, found.roles().orElseThrow()));
    }

    private void mustReach(List<Grant> grants) {
        for (int i = 0; i < grants.size(); i++) {
            OptionalLong siteId = grants.get(i).siteId();
            if (siteId.isPresent()) {
                desk.mustReach(Right.EDIT_PEOPLE, siteId.getAsLong(), "roles." + i + ".siteId");
            }
        }
    }

    private static List<Grant> grants(List<RoleEntry> sent) {
        Fields fields = new Fields();
        List<Grant> grants = new ArrayList<>();
        for (int i = 0; i < sent.size(); i++) {
            Role role = fields.required("roles." + i + ".role", sent.get(i).role(), Role.SITE_STAFF);
            grants.add(new Grant(role, sent.get(i).siteId() == null ? OptionalLong.empty() : OptionalLong.of(sent.get(i).siteId())));
        }
        fields.refuseIfWrong();
        return grants;
    }

    private void mustMayChange(Person person) {
        if (!accounts.mayChange(caller.get(), person.id())) {
            throw new NotAllowed("You cannot change " + person.name() + ", who has a role that reaches further than yours.");
        }
    }

    private Optional<Person> stored(long person) {
        return reads.first(PEOPLE.select() + " WHERE p.id = ?", Person::read, person).map(found -> found.with(accounts.grantsOf(person)
                .stream()
                .filter(grant -> grant.siteId().isEmpty() || desk.sees(grant.siteId().getAsLong()))
                .map(grant -> new RoleAnswer(grant.role(), grant.siteId())).toList()));
    }
}
