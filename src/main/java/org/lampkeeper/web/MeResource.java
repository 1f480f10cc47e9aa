package org.lampkeeper.web;

import java.net.URI;
import java.time.Clock;
import java.time.DateTimeException;
import java.time.Duration;
import java.time.Instant;
import java.time.LocalDate;
import java.time.ZoneOffset;
import java.util.ArrayList;
import java.util.HashMap;
import java.util.HashSet;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.Set;

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
import io.vertx.core.http.HttpServerRequest;
import org.jboss.resteasy.reactive.RestForm;
import org.jboss.resteasy.reactive.RestQuery;

import org.lampkeeper.access.Accounts;
import org.lampkeeper.access.Accounts.Change;
import org.lampkeeper.access.ApiTokens;
import org.lampkeeper.access.ApiTokens.ApiToken;
import org.lampkeeper.access.Caller;
import org.lampkeeper.access.NotAllowed;
import org.lampkeeper.access.SignIns;
import org.lampkeeper.access.SignIns.Session;
import org.lampkeeper.alarm.Sentences;
import org.lampkeeper.message.MessageConfig;
import org.lampkeeper.register.By;
import org.lampkeeper.register.DutyBook;
import org.lampkeeper.web.PeopleReading.PersonRow;
import org.lampkeeper.web.PeopleReading.SiteRow;

/** What may I do here, where am I signed in, and which programs act for me? */
@Path("/me")
@Produces(MediaType.TEXT_HTML)
class MeResource {

    private static final MediaType HTML = MediaType.TEXT_HTML_TYPE.withCharset("UTF-8");

    private final Accounts accounts;
    private final SignIns signIns;
    private final ApiTokens tokens;
    private final PeopleReading people;
    private final SupplyReading supply;
    private final AccountNotices notices;
    private final SessionCookie cookie;
    private final RequestCaller current;
    private final CurrentVertxRequest http;
    private final DutyBook duty;
    private final ChannelsPage channelsPage;
    private final MessageConfig messages;
    private final Clock clock;

    MeResource(Accounts accounts, SignIns signIns, ApiTokens tokens, PeopleReading people, SupplyReading supply, AccountNotices notices,
            SessionCookie cookie, RequestCaller current, CurrentVertxRequest http,
            DutyBook duty, ChannelsPage channelsPage, MessageConfig messages, Clock clock) {
        this.accounts = accounts;
        this.signIns = signIns;
        this.tokens = tokens;
        this.people = people;
        this.supply = supply;
        this.notices = notices;
        this.cookie = cookie;
        this.current = current;
        this.http = http;
        this.duty = duty;
        this.channelsPage = channelsPage;
        this.messages = messages;
        this.clock = clock;
    }

    @CheckedTemplate
    static class Templates {
        static native TemplateInstance me(MeView view);
    }

    /**
     * @param said     what was just done; empty for nothing
     * @param secret   of the token just made: shown once; empty otherwise
     * @param problems by field, going on after its label
     * @param typed    what was typed into the form for a token, by field
     */
    record MeView(Frame frame, String headline, long id, String mail, boolean hasPassword, boolean hasCalendar, String said, String secret, List<SessionView> sessions,
            List<TokenView> tokens, List<SiteRow> sites, Map<String, String> problems, Map<String, String> typed) {

        record SessionView(long id, String device, Moment opened, Moment seen, boolean isThis) {
        }

        /** {@code what}: what it may, where, until when. */
        record TokenView(long id, String name, String what, String used) {
        }

        public String problem(String field) {
            return problems.getOrDefault(field, "");
        }

        public String typed(String field) {
            return typed.getOrDefault(field, "");
        }
    }

    /** {@code said}: what was done just before; any word that is none of ours says nothing. */
    @GET
    public Response page(@RestQuery @DefaultValue("") String said) {
        String words = switch (said) {
            case "password" -> "Your password is changed, and every other session of yours has ended.";
            case "session" -> "That session has ended.";
            case "everywhere" -> "Every other session of yours has ended.";
            case "calendar" -> "The address of your calendar is worth nothing any more.";
            case "revoked" -> "That token is worth nothing any more.";
            default -> "";
        };
        return view(200, words, "", Map.of(), Map.of());
    }

    @GET
    @Path("channels")
    public Response channels(@RestQuery @DefaultValue("") String said) {
        return channelsPage.page(200, current.get().personId(), ChannelsPage.words(said), "");
    }

    @POST
    @Path("password")
    @Consumes(MediaType.APPLICATION_FORM_URLENCODED)
    public Response changePassword(@RestForm @DefaultValue("") String current, @RestForm @DefaultValue("") String fresh) {
        Caller caller = this.current.get();
        Client client = new Client(request());
        Change change = accounts.changePassword(caller, current, fresh, client.address());
        if (change instanceof Change.CurrentIsWrong) {
            return view(422, "", "", Map.of("current", "is not your present one"), Map.of());
        }
        if (change instanceof Change.NotGood notGood) {
            return view(422, "", "", Map.of("fresh", notGood.why()), Map.of());
        }
        if (change instanceof Change.Wait wait) {
            return view(429, "", "", Map.of("current", "was wrong too often. Wait " + Sentences.ago(wait.left().plusMillis(999)) + ", then try again"),
                    Map.of());
        }
        notices.passwordChanged(caller.personId());
        String session = signIns.open(caller.personId(), SignIns.Way.PASSWORD, client.device());
        return Response.seeOther(URI.create("/me?said=password")).cookie(cookie.holding(session, request())).build();
    }

    @POST
    @Path("sessions/end")
    @Consumes(MediaType.APPLICATION_FORM_URLENCODED)
    public Response endSession(@RestForm @DefaultValue("0") long session) {
        signIns.end(session, current.get());
        return Response.seeOther(URI.create("/me?said=session")).build();
    }

    @POST
    @Path("sessions/end-all")
    public Response endAllSessions() {
        Caller caller = current.get();
        accounts.signOutEverywhere(caller.personId(), caller);
        String session = signIns.open(caller.personId(), SignIns.Way.PASSWORD, new Client(request()).device());
        return Response.seeOther(URI.create("/me?said=everywhere")).cookie(cookie.holding(session, request())).build();
    }

    /** The secret stands in the answer itself and nowhere else: it cannot be asked for again. */
    @POST
    @Path("tokens")
    @Consumes(MediaType.APPLICATION_FORM_URLENCODED)
    public Response makeToken(@RestForm @DefaultValue("") String name, @RestForm @DefaultValue("") String may,
            @RestForm @DefaultValue("") String where, @RestForm List<Long> sites, @RestForm @DefaultValue("") String until) {
        Map<String, String> problems = new HashMap<>();
        if (name.isBlank() || name.strip().length() > 80) {
            problems.put("name", name.isBlank() ? "is empty: say what it is for, so that you know later which to revoke"
                    : "has " + name.strip().length() + " characters, must have at most 80");
        }
        Optional<Set<Long>> only = where.equals("some") ? Optional.of(new HashSet<>(sites)) : Optional.empty();
        if (only.filter(Set::isEmpty).isPresent()) {
            problems.put("sites", "names none: choose at least one, or wherever you may");
        }
        Optional<Instant> end = Optional.empty();
        if (!until.isBlank()) {
            end = endOf(until.strip());
            if (end.filter(at -> at.isAfter(clock.instant())).isEmpty()) {
                problems.put("until", "is " + until.strip() + ", must be a day to come, as 2027-01-31");
            }
        }
        Map<String, String> typed = Map.of("name", name, "may", may, "where", where, "until", until);
        if (!problems.isEmpty()) {
            return view(422, "", "", problems, typed);
        }
        try {
            String secret = tokens.make(current.get(), name.strip(), may.equals("write"), only, end).secret();
            return view(200, "", secret, Map.of(), Map.of());
        } catch (NotAllowed e) {
            return view(422, "", "", Map.of("sites", "cannot be given: " + e.getMessage()), typed);
        }
    }

    @POST
    @Path("tokens/revoke")
    @Consumes(MediaType.APPLICATION_FORM_URLENCODED)
    public Response revokeToken(@RestForm @DefaultValue("0") long token) {
        tokens.revoke(token, current.get());
        return Response.seeOther(URI.create("/me?said=revoked")).build();
    }

    /** The address stands in the answer itself and nowhere else, as a token does. */
    @POST
    @Path("calendar")
    public Response makeCalendar() {
        long person = current.get().personId();
        String address = messages.address("duty/" + duty.renewCalendar(person, By.person(person, clock.instant())) + "/calendar.ics");
        return view(200, "Subscribe to this address in your calendar. It is shown once: " + address, "", Map.of(), Map.of());
    }

    @POST
    @Path("calendar/end")
    public Response endCalendar() {
        long person = current.get().personId();
        duty.endCalendar(person, By.person(person, clock.instant()));
        return Response.seeOther(URI.create("/me?said=calendar")).build();
    }

    /** The end of that day, in UTC; empty for what is no day. */
    private static Optional<Instant> endOf(String day) {
        try {
            return Optional.of(LocalDate.parse(day).plusDays(1).atStartOfDay(ZoneOffset.UTC).toInstant());
        } catch (DateTimeException noDay) {
            return Optional.empty();
        }
    }

    private Response view(int status, String said, String secret, Map<String, String> problems, Map<String, String> typed) {
        Instant now = clock.instant();
        Caller caller = current.get();
        Optional<PersonRow> person = people.find(caller.personId(), caller);
        List<SiteRow> sites = people.sites(caller.reach());
        Optional<Accounts.Account> account = accounts.find(caller.personId());
        String headline = problems.isEmpty() ? caller.name() + ", you are " + person.map(PersonRow::roleWords).orElse("here") + "."
                : "Nothing was changed yet: one answer needs another look.";
        Frame frame = SupplyPage.frame(caller.name(), "me", supply.outline(), now);
        MeView view = new MeView(frame, headline, caller.personId(), account.flatMap(Accounts.Account::mail).orElse(""),
                account.filter(Accounts.Account::hasPassword).isPresent(), duty.hasCalendar(caller.personId()), said, secret,
                signIns.of(caller.personId()).stream().map(session -> session(session, now)).toList(),
                tokens.of(caller.personId()).stream().map(token -> token(token, sites, now)).toList(), sites, problems, typed);
        return Response.status(status).type(HTML).entity(Templates.me(view).render()).build();
    }

    private MeView.SessionView session(Session session, Instant now) {
        return new MeView.SessionView(session.id(), session.device(), Moment.of(session.openedAt(), ZoneOffset.UTC, now),
                Moment.of(session.seenAt(), ZoneOffset.UTC, now), current.sessionId().orElse(0) == session.id());
    }

    private static MeView.TokenView token(ApiToken token, List<SiteRow> seen, Instant now) {
        List<String> words = new ArrayList<>();
        words.add(token.mayWrite() ? "reads and writes" : "reads only");
        words.add(token.siteIds().map(ids -> "at " + PeopleReading.listed(seen.stream().filter(site -> ids.contains(site.id())).map(SiteRow::name)
                .toList())).orElse("wherever you may"));
        token.endsAt().ifPresent(end -> words.add((end.isAfter(now) ? "until " : "ended on ") + end.minusSeconds(1).atZone(ZoneOffset.UTC).toLocalDate()));
        return new MeView.TokenView(token.id(), token.name(), String.join(", ", words),
                token.lastUsedAt().map(at -> "used " + Sentences.ago(Duration.between(at, now)) + " ago").orElse("never used"));
    }

    private HttpServerRequest request() {
        return http.getCurrent().request();
    }
}
