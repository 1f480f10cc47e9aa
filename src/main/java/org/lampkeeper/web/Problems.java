package org.lampkeeper.web;

import java.net.URI;
import java.time.Clock;
import java.util.Locale;

import jakarta.ws.rs.WebApplicationException;
import jakarta.ws.rs.core.HttpHeaders;
import jakarta.ws.rs.core.MediaType;
import jakarta.ws.rs.core.Response;

import io.quarkus.qute.CheckedTemplate;
import io.quarkus.qute.TemplateInstance;
import org.jboss.logging.Logger;
import org.jboss.resteasy.reactive.server.ServerExceptionMapper;

import org.lampkeeper.access.NotAllowed;

/** What somebody is told when a request cannot be answered: a page for a browser, an RFC 9457 problem for a program. Nothing internal. */
class Problems {

    private static final Logger LOG = Logger.getLogger(Problems.class);
    private static final MediaType PROBLEM_JSON = new MediaType("application", "problem+json");
    private static final MediaType HTML = MediaType.TEXT_HTML_TYPE.withCharset("UTF-8");

    private final Clock clock;

    Problems(Clock clock) {
        this.clock = clock;
    }

    @CheckedTemplate
    static class Templates {
        static native TemplateInstance problem(ProblemView view);
    }

    /** A page that says what is wrong and what to do about it. */
    record ProblemView(Frame frame, String headline, String advice) {
    }

    /** RFC 9457, section 3. {@code type} is stable; a program may rely on it. */
    record Problem(URI type, String title, int status, String detail) {
    }

    @ServerExceptionMapper
    Response notAnswered(WebApplicationException e, HttpHeaders headers) {
        int status = e.getResponse().getStatus();
        if (status < 400) {
            return e.getResponse();
        }
        return switch (status) {
            case 401 -> Response.fromResponse(answer(headers, status, "not-signed-in", "Nobody has signed in.",
                    "Show a token in the header Authorization: Bearer, or sign in."))
                    .header(HttpHeaders.WWW_AUTHENTICATE, "Bearer realm=\"Lampkeeper\"").build();
            case 404 -> answer(headers, status, "not-found", "There is nothing at this address.", "Look at the supply page for what there is.");
            case 405 -> answer(headers, status, "not-allowed", "This address does not take that.", "Go back and use the page's own buttons.");
            default -> status < 500
                    ? answer(headers, status, "not-understood", "This request cannot be understood.", "Go back and try it from the page.")
                    : failed(e, headers);
        };
    }

    @ServerExceptionMapper
    Response notAllowed(NotAllowed e, HttpHeaders headers) {
        return answer(headers, 403, "not-allowed-to-you", "You may not do this.", e.getMessage());
    }

    @ServerExceptionMapper
    Response failed(Throwable e, HttpHeaders headers) {
        LOG.error("a request could not be answered", e);
        return answer(headers, 500, "failed", "Lampkeeper could not answer this.",
                "Nothing is known to have been recorded. Try again; if it stays, tell the operator. In an alarm, call the others meanwhile.");
    }

    private Response answer(HttpHeaders headers, int status, String type, String title, String detail) {
        boolean wantsPage = headers.getAcceptableMediaTypes().stream()
                .anyMatch(accepted -> accepted.toString().toLowerCase(Locale.ROOT).startsWith(MediaType.TEXT_HTML));
        if (wantsPage) {
            return page(status, title, detail, clock);
        }
        return Response.status(status).type(PROBLEM_JSON)
                .entity(new Problem(URI.create("urn:lampkeeper:problem:" + type), title, status, detail)).build();
    }

    /** The page on its own, for what a resource refuses itself. */
    static Response page(int status, String headline, String advice, Clock clock) {
        Frame frame = Frame.plain(headline, clock.instant());
        return Response.status(status).type(HTML).entity(Templates.problem(new ProblemView(frame, headline, advice)).render()).build();
    }
}
