package org.lampkeeper.web;

import java.net.URI;
import java.time.Clock;
import java.util.Optional;
import java.util.OptionalLong;

import jakarta.inject.Inject;
import jakarta.ws.rs.GET;
import jakarta.ws.rs.Path;
import jakarta.ws.rs.Produces;
import jakarta.ws.rs.core.MediaType;
import jakarta.ws.rs.core.Response;

import io.quarkus.oidc.IdToken;
import io.quarkus.oidc.OidcSession;
import io.quarkus.security.Authenticated;
import io.quarkus.vertx.http.runtime.CurrentVertxRequest;
import io.vertx.core.http.HttpServerRequest;
import org.eclipse.microprofile.jwt.JsonWebToken;

import org.lampkeeper.access.Open;
import org.lampkeeper.access.SignIns;

/**
 * Coming back from an identity provider, where one is set. It is believed in one thing: that whoever stands here has a certain mail
 * address, and only if it says that it has verified that. From there on it is a session of ours like any other.
 */
@Path("/sign-in/provider")
@Open
@Produces(MediaType.TEXT_HTML)
class ProviderResource {

    // The qualifier cannot stand at a constructor's parameter.
    @Inject
    @IdToken
    JsonWebToken idToken;

    private final OidcSession atProvider;
    private final SignIns signIns;
    private final SessionCookie cookie;
    private final CurrentVertxRequest current;
    private final Clock clock;

    ProviderResource(OidcSession atProvider, SignIns signIns, SessionCookie cookie, CurrentVertxRequest current, Clock clock) {
        this.atProvider = atProvider;
        this.signIns = signIns;
        this.cookie = cookie;
        this.current = current;
        this.clock = clock;
    }

    /** Without a token of the provider's, the framework has sent the browser there before this is reached. */
    @GET
    @Authenticated
    public Response enter() {
        HttpServerRequest request = current.getCurrent().request();
        Optional<String> mail = verifiedMail();
        // What the framework keeps of the provider is not needed any more: our own session can be ended everywhere, that one could not.
        atProvider.logout().await().indefinitely();
        if (mail.isEmpty()) {
            return Problems.page(403, "The provider does not vouch for your mail address.",
                    "Lampkeeper knows people by an address that the provider has verified. Have it verified there, or sign in with a password.", clock);
        }
        OptionalLong person = signIns.personOfMail(mail.get());
        if (person.isEmpty()) {
            return Problems.page(403, "Nobody here has the mail address " + mail.get() + ".",
                    "Ask an administrator to register you with it and to invite you, then come back.", clock);
        }
        cookie.read(request).ifPresent(signIns::signOut);
        String session = signIns.open(person.getAsLong(), SignIns.Way.PROVIDER, new Client(request).device());
        return Response.seeOther(URI.create("/")).cookie(cookie.holding(session, request)).build();
    }

    private Optional<String> verifiedMail() {
        // OpenID Connect Core 1.0, section 5.1; some providers write the truth value as text.
        Object verified = idToken.getClaim("email_verified");
        Object mail = idToken.getClaim("email");
        boolean isVerified = verified != null && verified.toString().equals("true");
        return isVerified && mail != null ? Optional.of(mail.toString()) : Optional.empty();
    }
}
