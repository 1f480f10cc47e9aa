package org.lampkeeper.web;

import java.net.URI;
import java.time.Clock;
import java.util.Map;
import java.util.Optional;
import java.util.stream.Collectors;

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
import org.jboss.resteasy.reactive.RestPath;
import org.jboss.resteasy.reactive.RestQuery;

import org.lampkeeper.access.Accounts;
import org.lampkeeper.access.Accounts.Acceptance;
import org.lampkeeper.access.Accounts.Invitation;
import org.lampkeeper.access.Open;
import org.lampkeeper.access.SignIns;
import org.lampkeeper.message.ProofAnswer;
import org.lampkeeper.message.Proofs;
import org.lampkeeper.register.NotRegistered;
import org.lampkeeper.register.Problem;

/** The page behind an invitation: set a password, and be in. Opening it changes nothing. */
@Path("/invitation/{token}")
@Open
@Produces(MediaType.TEXT_HTML)
class InvitationResource {

    private static final MediaType HTML = MediaType.TEXT_HTML_TYPE.withCharset("UTF-8");

    private final Accounts accounts;
    private final SignIns signIns;
    private final Proofs proofs;
    private final SessionCookie cookie;
    private final CurrentVertxRequest current;
    private final Clock clock;

    InvitationResource(Accounts accounts, SignIns signIns, Proofs proofs, SessionCookie cookie, CurrentVertxRequest current, Clock clock) {
        this.accounts = accounts;
        this.signIns = signIns;
        this.proofs = proofs;
        this.cookie = cookie;
        this.current = current;
        this.clock = clock;
    }

    @CheckedTemplate
    static class Templates {
        static native TemplateInstance invitation(InvitationView view);
    }

    /**
     * @param proof     as it stood in the link; empty for a link that was not mailed
     * @param knownMail what the invited signs in with; empty where they are asked
     * @param problems  by field: what is wrong, going on after its label
     */
    record InvitationView(Frame frame, String headline, String action, String proof, boolean asksName, String name, String knownMail, String mail,
            Map<String, String> problems, boolean isSafe) {

        public String problem(String field) {
            return problems.getOrDefault(field, "");
        }
    }

    @GET
    public Response open(@RestPath String token, @RestQuery @DefaultValue("") String proof) {
        return accounts.invitation(token).map(invitation -> page(200, token, proof, invitation, "", "", Map.of())).orElseGet(this::gone);
    }

    /** {@code proof}: stands in the link that was mailed; whoever comes in by it has shown that mail reaches them. */
    @POST
    @Consumes(MediaType.APPLICATION_FORM_URLENCODED)
    public Response accept(@RestPath String token, @RestForm @DefaultValue("") String name, @RestForm @DefaultValue("") String mail,
            @RestForm @DefaultValue("") String password, @RestForm @DefaultValue("") String proof) {
        Optional<Invitation> invitation = accounts.invitation(token);
        if (invitation.isEmpty()) {
            return gone();
        }
        if (!cookie.isSafe(request())) {
            return page(403, token, proof, invitation.get(), name, mail, Map.of());
        }
        Acceptance result;
        try {
            result = accounts.accept(token, name, mail, password);
        } catch (NotRegistered e) {
            return page(422, token, proof, invitation.get(), name, mail, problems(e));
        }
        if (result instanceof Acceptance.NotGood notGood) {
            return page(422, token, proof, invitation.get(), name, mail, Map.of(notGood.field(), notGood.why()));
        }
        if (result instanceof Acceptance.Accepted accepted) {
            if (proofs.behind(proof) instanceof Proofs.Behind.Open open && open.proof().channel().personId() == accepted.personId()
                    && !open.proof().isAtNight()) {
                proofs.answer(proof, ProofAnswer.ARRIVED);
            }
            cookie.read(request()).ifPresent(signIns::signOut);
            String session = signIns.open(accepted.personId(), SignIns.Way.INVITATION, new Client(request()).device());
            return Response.seeOther(URI.create("/")).cookie(cookie.holding(session, request())).build();
        }
        return gone();
    }

    private static Map<String, String> problems(NotRegistered e) {
        return e.problems().stream().collect(Collectors.toMap(Problem::field, Problem::text, (first, second) -> first));
    }

    private Response page(int status, String token, String proof, Invitation invitation, String name, String mail, Map<String, String> problems) {
        String headline = !problems.isEmpty() ? "You are not in yet: one answer needs another look."
                : invitation.name().map(it -> it + ", take a password and you are in.")
                        .orElse("You are the first: say who you are and look after everything here.");
        return Response.status(status).type(HTML).entity(Templates.invitation(new InvitationView(Frame.plain("Invitation", clock.instant()), headline,
                "/invitation/" + token, proof, invitation.name().isEmpty(), name, invitation.mail().orElse(""), mail, problems,
                cookie.isSafe(request()))).render()).build();
    }

    private Response gone() {
        return Problems.page(410, "This invitation cannot be used any more.",
                "It was used, it has ended, or a newer one took its place. Ask whoever invited you for another; for the first administrator, "
                        + "a new link is printed to the log when Lampkeeper is started again.", clock);
    }

    private HttpServerRequest request() {
        return current.getCurrent().request();
    }
}
