package org.lampkeeper.web;

import java.net.URI;
import java.time.Clock;
import java.time.Instant;
import java.time.ZoneOffset;
import java.util.Arrays;
import java.util.Comparator;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalLong;

import jakarta.ws.rs.Consumes;
import jakarta.ws.rs.DefaultValue;
import jakarta.ws.rs.GET;
import jakarta.ws.rs.NotFoundException;
import jakarta.ws.rs.POST;
import jakarta.ws.rs.Path;
import jakarta.ws.rs.Produces;
import jakarta.ws.rs.core.MediaType;
import jakarta.ws.rs.core.Response;

import io.quarkus.qute.CheckedTemplate;
import io.quarkus.qute.TemplateInstance;
import org.jboss.resteasy.reactive.RestForm;
import org.jboss.resteasy.reactive.RestPath;
import org.jboss.resteasy.reactive.RestQuery;

import org.lampkeeper.access.Accounts;
import org.lampkeeper.access.Caller;
import org.lampkeeper.access.CurrentCaller;
import org.lampkeeper.access.Grant;
import org.lampkeeper.access.Needs;
import org.lampkeeper.access.NotAllowed;
import org.lampkeeper.access.Right;
import org.lampkeeper.access.Role;
import org.lampkeeper.access.SignIns;
import org.lampkeeper.message.PersonChannel;
import org.lampkeeper.message.PersonChannels;
import org.lampkeeper.web.PeopleReading.PersonRow;
import org.lampkeeper.web.PeopleReading.RoleAt;
import org.lampkeeper.web.PeopleReading.SiteRow;
import org.lampkeeper.web.PeopleReading.TurnAt;

/** Who is there, how are they reached, and what may they do? */
@Path("/people")
@Produces(MediaType.TEXT_HTML)
class PeopleResource {

    private static final MediaType HTML = MediaType.TEXT_HTML_TYPE.withCharset("UTF-8");

    // A form that is sent without a look at it should give little.
    static final List<Role> GIVEN_MOST_OFTEN_FIRST = List.of(Role.SITE_STAFF, Role.DUTY_MANAGER, Role.INSTALLER, Role.RESPONSIBLE_PERSON,
            Role.ADMINISTRATOR);

    private final Accounts accounts;
    private final SignIns signIns;
    private final AccountNotices notices;
    private final PeopleReading people;
    private final PersonChannels channels;
    private final ChannelWords words;
    private final SupplyReading supply;
    private final CurrentCaller current;
    private final Clock clock;

    PeopleResource(Accounts accounts, SignIns signIns, AccountNotices notices, PeopleReading people, PersonChannels channels, ChannelWords words,
            SupplyReading supply, CurrentCaller current, Clock clock) {
        this.accounts = accounts;
        this.signIns = signIns;
        this.notices = notices;
        this.people = people;
        this.channels = channels;
        this.words = words;
        this.supply = supply;
        this.current = current;
        this.clock = clock;
    }

    @CheckedTemplate
    static class Templates {
        static native TemplateInstance people(PeopleView view);

        static native TemplateInstance person(PersonView view);

        static native TemplateInstance invite(InviteView view);
    }

    /** {@code said}: what was done just before; empty for nothing. */
    record PeopleView(Frame frame, String headline, String said, List<Entry> people, boolean mayAdd) {

        /** {@code look}: {@code lost} for somebody who is on a list and cannot be told, {@code unknown} where that is not proven. */
        record Entry(String href, String name, String roles, String reached, String turns, String look) {
        }
    }

    /** {@code said}: what was just done; {@code problem}: why something was not; each empty for nothing. */
    record PersonView(Frame frame, String headline, String said, String problem, long id, List<ChannelLine> channels, boolean mayProve, String mail, String phone, String phoneHref, String account,
            List<RoleLine> roles, List<String> turns, List<SiteRow> lists, List<SiteRow> grantSites, List<RoleChoice> grantRoles, boolean mayGrantEverywhere,
            boolean mayChange, int sessions, String lastSeen) {

        /** {@code state}: in words; {@code look}: {@code unknown} where it is not proven. */
        record ChannelLine(String label, String state, String look) {
        }

        /** {@code site} 0: every site. */
        record RoleLine(String words, String role, long site, boolean mayTake) {
        }

        record RoleChoice(String role, String words) {
        }
    }

    /** {@code address} and {@code sentTo} are empty until the invitation is made. */
    record InviteView(Frame frame, String headline, long id, String name, String mail, String address, String sentTo, String ends) {
    }

    @GET
    public TemplateInstance list(@RestQuery @DefaultValue("") String said) {
        Instant now = clock.instant();
        Caller caller = current.get();
        List<PersonRow> seen = people.seenBy(caller);
        Map<Long, List<PersonChannel>> theirs = channels.of(seen.stream().map(PersonRow::id).toList());
        List<Reached> reached = seen.stream().map(row -> new Reached(row, theirs.getOrDefault(row.id(), List.of()))).toList();
        return Templates.people(new PeopleView(SupplyPage.frame("People", "people", supply.outline(), now), headline(reached),
                said.equals("erased") ? "The person is erased." : "", reached.stream().map(it -> entry(it, now)).toList(), caller.reach().maySomewhere(Right.EDIT_PEOPLE)));
    }

    /** {@code said}: what was done just before; any word that is none of ours says nothing. */
    @GET
    @Path("{person:\\d{1,18}}")
    public Response one(@RestPath long person, @RestQuery @DefaultValue("") String said) {
        return page(200, person, switch (said) {
            case "granted" -> "The role is given; it counts from the next thing they ask for.";
            case "taken" -> "The role is taken; it counts from the next thing they ask for.";
            case "signed-out" -> "Every session has ended.";
            case "added" -> "They are registered.";
            case "changed" -> "What you changed is stored.";
            default -> "";
        }, "");
    }

    /** {@code site} 0: every site. */
    @POST
    @Path("{person:\\d{1,18}}/roles/give")
    @Consumes(MediaType.APPLICATION_FORM_URLENCODED)
    @Needs(Right.EDIT_PEOPLE)
    public Response grant(@RestPath long person, @RestForm @DefaultValue("") String role, @RestForm @DefaultValue("-1") long site) {
        Optional<Grant> grant = grant(role, site);
        if (grant.isEmpty()) {
            return page(422, person, "", "Choose a role and where it holds.");
        }
        try {
            accounts.grant(person, grant.get(), current.get());
        } catch (NotAllowed e) {
            return page(403, person, "", e.getMessage());
        }
        return Response.seeOther(URI.create("/people/" + person + "?said=granted")).build();
    }

    @POST
    @Path("{person:\\d{1,18}}/roles/take")
    @Consumes(MediaType.APPLICATION_FORM_URLENCODED)
    @Needs(Right.EDIT_PEOPLE)
    public Response take(@RestPath long person, @RestForm @DefaultValue("") String role, @RestForm @DefaultValue("-1") long site) {
        Optional<Grant> grant = grant(role, site);
        if (grant.isEmpty()) {
            return page(422, person, "", "Choose the role that is to be taken.");
        }
        try {
            accounts.take(person, grant.get(), current.get());
        } catch (NotAllowed e) {
            return page(403, person, "", e.getMessage());
        }
        // Whoever gives up their own last role at a site in reach does not see the page any more.
        boolean isGone = people.find(person, current.get()).isEmpty();
        return Response.seeOther(URI.create(isGone ? "/people" : "/people/" + person + "?said=taken")).build();
    }

    @POST
    @Path("{person:\\d{1,18}}/sign-out")
    @Needs(Right.EDIT_PEOPLE)
    public Response signOut(@RestPath long person) {
        accounts.signOutEverywhere(person, current.get());
        return Response.seeOther(URI.create("/people/" + person + "?said=signed-out")).build();
    }

    @GET
    @Path("{person:\\d{1,18}}/invite")
    @Needs(Right.EDIT_PEOPLE)
    public TemplateInstance askToInvite(@RestPath long person) {
        PersonRow row = changeable(person);
        return Templates.invite(new InviteView(frame("Invite " + row.name()), row.hasPassword()
                ? row.name() + " has a password. Invite again, and the link sets another."
                : row.name() + " cannot sign in yet. Invite, and they take a password of their own.", person, row.name(), row.mail().orElse(""), "", "", ""));
    }

    /** The link stands in this answer, and in the mail, and nowhere else: it cannot be asked for again. */
    @POST
    @Path("{person:\\d{1,18}}/invite")
    @Needs(Right.EDIT_PEOPLE)
    public TemplateInstance invite(@RestPath long person) {
        PersonRow row = changeable(person);
        AccountNotices.Handed handed = notices.invite(person, current.get());
        String sentTo = handed.sentTo().orElse("");
        return Templates.invite(new InviteView(frame("Invite " + row.name()), row.name() + " is invited"
                + (sentTo.isEmpty() ? ". Hand this link over yourself." : "; the link is on its way to " + sentTo + "."), person, row.name(),
                row.mail().orElse(""), handed.address(), sentTo, handed.endsAt().atZone(ZoneOffset.UTC).toLocalDate().toString()));
    }

    private PersonRow changeable(long person) {
        PersonRow row = people.find(person, current.get()).orElseThrow(NotFoundException::new);
        if (!accounts.mayChange(current.get(), person)) {
            throw new NotAllowed(row.name() + " has a role that reaches further than yours. Ask an administrator of every site.");
        }
        return row;
    }

    private Response page(int status, long personId, String said, String problem) {
        Caller caller = current.get();
        PersonRow row = people.find(personId, caller).orElseThrow(NotFoundException::new);
        boolean mayChange = accounts.mayChange(caller, personId);
        List<SignIns.Session> sessions = mayChange ? signIns.of(personId) : List.of();
        List<SiteRow> sites = people.sites(caller.reach()).stream().filter(site -> caller.reach().may(Right.EDIT_PEOPLE, site.id())).toList();
        Instant now = clock.instant();
        Reached reached = new Reached(row, channels.of(personId));
        PersonView view = new PersonView(frame(row.name()), headline(reached), said, problem, personId, reached.inOrder().stream().map(channel ->
                new PersonView.ChannelLine(words.label(channel), words.stateAndNight(channel, ZoneOffset.UTC, now), words.isProven(channel) ? "plain" : "unknown"))
                .toList(), mayChange || caller.personId() == personId, row.mail().orElse(""), row.phone().orElse(""),
                row.phone().map(number -> "tel:" + number.replaceAll("[^+0-9]", "")).orElse(""), account(row, now),
                row.roles().stream().map(role -> line(role, caller)).toList(), row.turns().stream().map(TurnAt::words).toList(),
                lists(row, caller), sites,
                GIVEN_MOST_OFTEN_FIRST.stream().map(role -> new PersonView.RoleChoice(role.name(), role.words())).toList(),
                caller.reach().mayEverywhere(Right.EDIT_PEOPLE), mayChange, sessions.size(),
                sessions.stream().findFirst().map(session -> Moment.of(session.seenAt(), ZoneOffset.UTC, now).ago()).orElse(""));
        return Response.status(status).type(HTML).entity(Templates.person(view).render()).build();
    }

    /** Of the sites where they have a role, those whose call-out list the caller may change. */
    private List<SiteRow> lists(PersonRow row, Caller caller) {
        return people.sites(caller.reach()).stream().filter(site -> caller.reach().may(Right.EDIT_CALL_OUT, site.id()))
                .filter(site -> row.roles().stream().anyMatch(role -> role.grant().siteId().equals(OptionalLong.of(site.id())))).toList();
    }

    private Frame frame(String title) {
        return SupplyPage.frame(title, "people", supply.outline(), clock.instant());
    }

    private static PersonView.RoleLine line(RoleAt role, Caller caller) {
        boolean mayTake = role.grant().siteId().isPresent() ? caller.reach().may(Right.EDIT_PEOPLE, role.grant().siteId().getAsLong())
                : caller.reach().mayEverywhere(Right.EDIT_PEOPLE);
        return new PersonView.RoleLine(role.words(), role.grant().role().name(), role.grant().siteId().orElse(0), mayTake);
    }

    private static Optional<Grant> grant(String role, long site) {
        return Arrays.stream(Role.values()).filter(it -> it.name().equals(role)).findFirst().filter(it -> site >= 0)
                .map(it -> new Grant(it, site == 0 ? OptionalLong.empty() : OptionalLong.of(site)));
    }

    /** Somebody with their channels, in their order. */
    private record Reached(PersonRow row, List<PersonChannel> inOrder) {

        boolean isTold() {
            return !row.turns().isEmpty();
        }
    }

    private boolean isDeaf(Reached it) {
        return it.inOrder().stream().noneMatch(channels::isUsable);
    }

    private boolean isProven(Reached it) {
        return it.inOrder().stream().anyMatch(words::isProven);
    }

    private PeopleView.Entry entry(Reached it, Instant now) {
        PersonRow row = it.row();
        String look = !it.isTold() || isProven(it) ? "plain" : isDeaf(it) ? "lost" : "unknown";
        return new PeopleView.Entry("/people/" + row.id(), row.name(), row.roleWords(), words.all(it.inOrder(), ZoneOffset.UTC, now)
                + row.phone().map(phone -> "; telephone " + phone).orElse(""), String.join("; ", row.turns().stream().map(TurnAt::words).toList()), look);
    }

    private String headline(List<Reached> seen) {
        List<Reached> told = seen.stream().filter(Reached::isTold).toList();
        List<String> deaf = told.stream().filter(this::isDeaf).map(it -> it.row().name()).toList();
        if (!deaf.isEmpty()) {
            return PeopleReading.listed(deaf) + (deaf.size() == 1 ? " is" : " are") + " on a call-out list and cannot be told: there is no channel.";
        }
        long unproven = told.stream().filter(it -> !isProven(it)).count();
        return switch (told.size()) {
            case 0 -> "Nobody is on a call-out list yet.";
            case 1 -> "One person is told of alarms, and has " + (unproven == 0 ? "a" : "no") + " proven channel.";
            default -> told.size() + " people are told of alarms; " + (unproven == 0 ? "each has a proven channel." : unproven == 1
                    ? "one has no proven channel." : unproven + " have no proven channel.");
        };
    }

    private String headline(Reached it) {
        PersonRow row = it.row();
        String told = row.turns().stream().min(Comparator.comparing(TurnAt::place)).map(TurnAt::words).orElse("on no call-out list");
        String reach = isDeaf(it) ? "and cannot be told: there is no channel" : "and is told by " + words.alarmGoesBy(it.inOrder())
                + (isProven(it) ? "" : ", which is not proven");
        return row.name() + " is " + told + (row.turns().size() > 1 ? " and on " + (row.turns().size() - 1) + " more" : "") + ", " + reach + ".";
    }

    private static String account(PersonRow row, Instant now) {
        if (row.hasPassword()) {
            return "Can sign in" + row.signInMail().map(mail -> " as " + mail).orElse("") + ".";
        }
        Optional<Instant> open = row.invitedUntil().filter(end -> end.isAfter(now));
        return open.map(end -> "Is invited until " + end.atZone(ZoneOffset.UTC).toLocalDate() + " and has not come in yet.")
                .orElse("Cannot sign in: was not invited yet, or the invitation has ended.");
    }
}
