package org.lampkeeper.web;

import java.net.URI;
import java.time.Clock;
import java.util.List;
import java.util.Optional;

import jakarta.ws.rs.Consumes;
import jakarta.ws.rs.DefaultValue;
import jakarta.ws.rs.GET;
import jakarta.ws.rs.NotFoundException;
import jakarta.ws.rs.POST;
import jakarta.ws.rs.Path;
import jakarta.ws.rs.Produces;
import jakarta.ws.rs.core.HttpHeaders;
import jakarta.ws.rs.core.MediaType;
import jakarta.ws.rs.core.Response;

import io.quarkus.qute.CheckedTemplate;
import io.quarkus.qute.TemplateInstance;
import io.quarkus.vertx.http.runtime.CurrentVertxRequest;
import io.vertx.core.http.HttpServerRequest;
import org.eclipse.microprofile.config.inject.ConfigProperty;
import org.jboss.resteasy.reactive.RestForm;
import org.jboss.resteasy.reactive.RestQuery;

import org.lampkeeper.access.Open;
import org.lampkeeper.access.SignIns;
import org.lampkeeper.alarm.Sentences;

/** Who are you? Signing in and out. */
@Path("/")
@Open
@Produces(MediaType.TEXT_HTML)
class SignInResource {

    private static final MediaType HTML = MediaType.TEXT_HTML_TYPE.withCharset("UTF-8");

    private final SignIns signIns;
    private final SessionCookie cookie;
    private final PeopleReading people;
    private final CurrentVertxRequest current;
    private final boolean isDemo;
    private final boolean hasProvider;
    private final Clock clock;

    SignInResource(SignIns signIns, SessionCookie cookie, PeopleReading people, CurrentVertxRequest current,
            @ConfigProperty(name = "lampkeeper.demo", defaultValue = "false") boolean isDemo,
            @ConfigProperty(name = "quarkus.oidc.tenant-enabled", defaultValue = "false") boolean hasProvider, Clock clock) {
        this.signIns = signIns;
        this.cookie = cookie;
        this.people = people;
        this.current = current;
        this.isDemo = isDemo;
        this.hasProvider = hasProvider;
        this.clock = clock;
    }

    @CheckedTemplate
    static class Templates {
        static native TemplateInstance signIn(SignInView view);
    }

    /**
     * @param remark  what brought the reader here; empty when they came by themselves
     * @param problem why it was not enough; empty at first
     * @param isSafe  a password may be typed: it does not cross a network in the clear
     * @param demo    as whom a newcomer may enter; empty outside the demo
     */
    record SignInView(Frame frame, String headline, String remark, String problem, String mail, String to, boolean isSafe,
            List<DemoPerson> demo, boolean hasProvider) {

        record DemoPerson(long id, String name, String roles) {
        }
    }

    @GET
    @Path("sign-in")
    public Response page(@RestQuery @DefaultValue("") String to, @RestQuery @DefaultValue("false") boolean unsent) {
        String where = localPath(to);
        if (!unsent && cookie.read(request()).flatMap(signIns::find).isPresent()) {
            return Response.seeOther(URI.create(where)).build();
        }
        String remark = unsent ? "Your session had ended, so what you sent was not recorded. Sign in and send it again." : "";
        return Response.ok(view("", remark, "", where).render(), HTML).build();
    }

    @POST
    @Path("sign-in")
    @Consumes(MediaType.APPLICATION_FORM_URLENCODED)
    public Response signIn(@RestForm @DefaultValue("") String mail, @RestForm @DefaultValue("") String password,
            @RestForm @DefaultValue("") String to) {
        HttpServerRequest request = request();
        String where = localPath(to);
        if (!cookie.isSafe(request)) {
            return answer(403, mail, "", where);
        }
        Client client = new Client(request);
        SignIns.Result result = signIns.signIn(mail, password, client.address(), client.device());
        if (result instanceof SignIns.Result.Opened opened) {
            return enter(opened.token(), where);
        }
        if (result instanceof SignIns.Result.Wait wait) {
            long seconds = Math.max(1, wait.left().plusMillis(999).toSeconds());
            return Response.fromResponse(answer(429, mail, "There were too many wrong tries. Wait " + Sentences.ago(wait.left().plusMillis(999))
                    + ", then try again; nothing is locked.", where)).header(HttpHeaders.RETRY_AFTER, seconds).build();
        }
        return answer(422, mail, "This mail address and password do not belong together.", where);
    }

    /** Demo only, and only on the machine itself: enter as one of the demo's people. */
    @POST
    @Path("sign-in/demo")
    @Consumes(MediaType.APPLICATION_FORM_URLENCODED)
    public Response enterDemo(@RestForm @DefaultValue("0") long person, @RestForm @DefaultValue("") String to) {
        HttpServerRequest request = request();
        if (demoPeople(request).stream().noneMatch(it -> it.id() == person)) {
            throw new NotFoundException();
        }
        return enter(signIns.open(person, SignIns.Way.DEMO, new Client(request).device()), localPath(to));
    }

    @POST
    @Path("sign-out")
    public Response signOut() {
        HttpServerRequest request = request();
        cookie.read(request).ifPresent(signIns::signOut);
        return Response.seeOther(URI.create("/sign-in")).cookie(cookie.gone(request)).build();
    }

    /** A new secret each time: what the browser held before is worth nothing afterwards. */
    private Response enter(String token, String where) {
        cookie.read(request()).ifPresent(signIns::signOut);
        return Response.seeOther(URI.create(where)).cookie(cookie.holding(token, request())).build();
    }

    private Response answer(int status, String mail, String problem, String to) {
        return Response.status(status).type(HTML).entity(view(mail, "", problem, to).render()).build();
    }

    private TemplateInstance view(String mail, String remark, String problem, String to) {
        HttpServerRequest request = request();
        String title = problem.isEmpty() ? "Sign in" : "Not signed in";
        return Templates.signIn(new SignInView(Frame.plain(title, clock.instant()), problem.isEmpty() ? "Who are you?" : problem, remark, problem,
                mail.substring(0, Math.min(mail.length(), 254)), to, cookie.isSafe(request), demoPeople(request), hasProvider));
    }

    private List<SignInView.DemoPerson> demoPeople(HttpServerRequest request) {
        if (!isDemo || !cookie.isLoopback(request) || !new Client(request).isThisMachine()) {
            return List.of();
        }
        return people.withRoles().stream().map(person -> new SignInView.DemoPerson(person.id(), person.name(), person.roleWords())).toList();
    }

    private HttpServerRequest request() {
        return current.getCurrent().request();
    }

    /** {@code to} where it leads to a page of ours, else the first page: a link to sign in must not lead elsewhere afterwards. */
    static String localPath(String to) {
        // A browser takes a backslash for a slash, and two slashes for another host.
        boolean isOurs = to.startsWith("/") && !to.startsWith("//") && to.indexOf('\\') < 0 && to.chars().noneMatch(Character::isISOControl);
        return Optional.of(to).filter(it -> isOurs && !it.startsWith("/sign-") && isAnAddress(it)).orElse("/");
    }

    private static boolean isAnAddress(String to) {
        try {
            return URI.create(to).getRawAuthority() == null;
        } catch (IllegalArgumentException e) {
            return false;
        }
    }
}
