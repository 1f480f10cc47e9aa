package org.lampkeeper.web;

import java.net.URI;
import java.time.Clock;
import java.util.List;
import java.util.Locale;
import java.util.SortedSet;

import jakarta.ws.rs.WebApplicationException;
import jakarta.ws.rs.core.HttpHeaders;
import jakarta.ws.rs.core.MediaType;
import jakarta.ws.rs.core.Request;
import jakarta.ws.rs.core.Response;
import jakarta.ws.rs.core.UriInfo;

import com.fasterxml.jackson.annotation.JsonInclude;
import io.quarkus.qute.CheckedTemplate;
import io.quarkus.qute.TemplateInstance;
import org.jboss.logging.Logger;
import org.jboss.resteasy.reactive.server.ServerExceptionMapper;

import org.lampkeeper.access.NotAllowed;
import org.lampkeeper.web.Refused.FieldError;

/** What somebody is told when a request cannot be answered: a page for a browser, an RFC 9457 problem for a program. Nothing internal. */
class Problems {

    private static final Logger LOG = Logger.getLogger(Problems.class);
    private static final MediaType PROBLEM_JSON = new MediaType("application", "problem+json");
    private static final MediaType HTML = MediaType.TEXT_HTML_TYPE.withCharset("UTF-8");

    private final Clock clock;
    private final Addresses addresses;

    Problems(Clock clock, Addresses addresses) {
        this.clock = clock;
        this.addresses = addresses;
    }

    @CheckedTemplate
    static class Templates {
        static native TemplateInstance problem(ProblemView view);
    }

    /** A page that says what is wrong and what to do about it. */
    record ProblemView(Frame frame, String headline, String advice) {
    }

    /**
     * RFC 9457, section 3. {@code type} is stable; a program may rely on it.
     *
     * @param errors what is wrong with which part of the body; left out where that is not what was wrong
     */
    @JsonInclude(JsonInclude.Include.NON_EMPTY)
    record Problem(URI type, String title, int status, String detail, List<FieldError> errors) {
    }

    @ServerExceptionMapper
    Response refused(Refused e, HttpHeaders headers, UriInfo address) {
        Response answer = wantsPage(headers, address) ? page(e.type().status(), e.type().title(), e.detail(), clock)
                : json(e.type(), e.detail(), e.errors());
        e.headers().forEach((name, value) -> answer.getHeaders().putSingle(name, value));
        return answer;
    }

    @ServerExceptionMapper
    Response notAnswered(WebApplicationException e, HttpHeaders headers, UriInfo address, Request request) {
        int status = e.getResponse().getStatus();
        if (status < 400) {
            return e.getResponse();
        }
        if (status >= 500) {
            return failed(e, headers, address);
        }
        boolean wantsPage = wantsPage(headers, address);
        SortedSet<String> methods = addresses.methods("/" + address.getPath().replaceFirst("^/", ""));
        if ((status == 404 || status == 405) && !methods.isEmpty() && !methods.contains(request.getMethod())) {
            return Response.fromResponse(answer(wantsPage, ProblemType.NOT_ALLOWED, "Go back and use the page's own buttons.",
                    request.getMethod() + " is none of the methods of this address: " + String.join(", ", methods) + "."))
                    .header(HttpHeaders.ALLOW, String.join(", ", methods)).build();
        }
        return switch (status) {
            case 401 -> Response.fromResponse(answer(wantsPage, ProblemType.NOT_SIGNED_IN, "Sign in.",
                    "Show a token in the header Authorization: Bearer, or sign in."))
                    .header(HttpHeaders.WWW_AUTHENTICATE, "Bearer realm=\"Lampkeeper\"").build();
            case 404 -> answer(wantsPage, ProblemType.NOT_FOUND, "Look at the supply page for what there is.",
                    "Nothing is registered under this address, or nothing that you may see.");
            case 405 -> answer(wantsPage, ProblemType.NOT_ALLOWED, "Go back and use the page's own buttons.",
                    "What it takes is described at /api/openapi.");
            case 406 -> answer(wantsPage, ProblemType.NOT_ACCEPTABLE, "Go back and try it from the page.",
                    "This address answers application/json, and problems as application/problem+json.");
            case 413 -> answer(wantsPage, ProblemType.TOO_LARGE, "Send less at once.", "Send less at once.");
            case 415 -> answer(wantsPage, ProblemType.UNSUPPORTED_TYPE, "Go back and try it from the page.",
                    "Send Content-Type: application/json.");
            default -> answer(wantsPage, ProblemType.NOT_UNDERSTOOD, "Go back and try it from the page.",
                    "Compare it with the description at /api/openapi.");
        };
    }

    @ServerExceptionMapper
    Response notAllowed(NotAllowed e, HttpHeaders headers, UriInfo address) {
        return answer(wantsPage(headers, address), ProblemType.NOT_PERMITTED, e.getMessage(), e.getMessage());
    }

    @ServerExceptionMapper
    Response failed(Throwable e, HttpHeaders headers, UriInfo address) {
        LOG.error("a request could not be answered", e);
        String advice = "Nothing is known to have been recorded. Try again; if it stays, tell the operator. In an alarm, call the others meanwhile.";
        return answer(wantsPage(headers, address), ProblemType.FAILED, advice, advice);
    }

    private Response answer(boolean wantsPage, ProblemType type, String adviceOnPage, String detail) {
        return wantsPage ? page(type.status(), type.title(), adviceOnPage, clock) : json(type, detail, List.of());
    }

    /** A program is answered with a problem even where it says that it takes anything. */
    private static boolean wantsPage(HttpHeaders headers, UriInfo address) {
        return !isApi(address) && headers.getAcceptableMediaTypes().stream()
                .anyMatch(accepted -> accepted.toString().toLowerCase(Locale.ROOT).startsWith(MediaType.TEXT_HTML));
    }

    private static boolean isApi(UriInfo address) {
        String path = address.getPath();
        return path.equals("/api") || path.startsWith("/api/");
    }

    /** The problem on its own, for what a filter refuses. */
    static Response json(ProblemType type, String detail, List<FieldError> errors) {
        return Response.status(type.status()).type(PROBLEM_JSON)
                .entity(new Problem(type.uri(), type.title(), type.status(), detail, errors)).build();
    }

    /** The page on its own, for what a resource refuses itself. */
    static Response page(int status, String headline, String advice, Clock clock) {
        Frame frame = Frame.plain(headline, clock.instant());
        return Response.status(status).type(HTML).entity(Templates.problem(new ProblemView(frame, headline, advice)).render()).build();
    }
}
