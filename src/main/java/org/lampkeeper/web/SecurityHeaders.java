package org.lampkeeper.web;

import java.net.URI;
import java.net.URISyntaxException;
import java.util.HashSet;
import java.util.Locale;
import java.util.Optional;
import java.util.Set;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.enterprise.event.Observes;

import io.quarkus.vertx.http.runtime.filters.Filters;
import io.vertx.core.MultiMap;
import io.vertx.core.http.HttpServerRequest;
import io.vertx.ext.web.RoutingContext;
import org.jspecify.annotations.Nullable;

import org.lampkeeper.message.MessageConfig;

/**
 * What every answer carries, errors and files included, and the two requests that are never answered: one under a name that is not ours
 * (a page elsewhere that reaches a loopback address through a name of its own), and a POST that another site's page sends.
 */
@ApplicationScoped
class SecurityHeaders {

    private static final String CONTENT_POLICY = "default-src 'none'; style-src 'self'; script-src 'self'; img-src 'self'; "
            + "connect-src 'self'; worker-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'";

    // Ours: before Quarkus' own routes, so that nothing is answered without these.
    private static final int FIRST = 1000;

    private final Set<String> hosts;

    private final SessionCookie cookie;
    private final PhoneCookie phone;

    SecurityHeaders(WebConfig config, MessageConfig messages, SessionCookie cookie, PhoneCookie phone) {
        this.cookie = cookie;
        this.phone = phone;
        Set<String> names = new HashSet<>(config.hosts());
        // The links in messages lead there, so it is one of ours.
        Optional.ofNullable(messages.baseUrl().getHost()).map(host -> host.toLowerCase(Locale.ROOT)).ifPresent(names::add);
        this.hosts = Set.copyOf(names);
    }

    void register(@Observes Filters filters) {
        filters.register(this::handle, FIRST);
    }

    private void handle(RoutingContext context) {
        HttpServerRequest request = context.request();
        MultiMap headers = context.response().headers();
        headers.set("Content-Security-Policy", CONTENT_POLICY);
        headers.set("X-Content-Type-Options", "nosniff");
        headers.set("Cross-Origin-Opener-Policy", "same-origin");
        headers.set("Cross-Origin-Resource-Policy", "same-origin");
        // Addresses may hold a token, so they are told to nobody, not even to our own pages.
        headers.set("Referrer-Policy", "no-referrer");
        headers.set("X-Robots-Tag", "noindex, nofollow");
        if (cookie.isHttps(request)) {
            headers.set("Strict-Transport-Security", "max-age=31536000");
        }
        if (!request.path().startsWith("/static/")) {
            headers.set("Cache-Control", "no-store");
        }
        if (!request.path().startsWith("/q/") && !isOurs(request)) {
            refuse(context, 421, "This address is not one of Lampkeeper's. Its names are set by lampkeeper.web.hosts.");
        } else if (isFromElsewhere(request)) {
            refuse(context, 403, "This came from another site's page, so nothing was recorded.");
        } else {
            context.next();
        }
    }

    private static void refuse(RoutingContext context, int status, String why) {
        context.response().setStatusCode(status).putHeader("Content-Type", "text/plain; charset=UTF-8").end(why + "\n");
    }

    private boolean isOurs(HttpServerRequest request) {
        String name = request.authority() == null ? "" : request.authority().host();
        String bracketed = name.contains(":") && !name.startsWith("[") ? "[" + name + "]" : name;
        return hosts.contains(bracketed.toLowerCase(Locale.ROOT));
    }

    /** Our pages send no referrer, so that the browser's Origin is "null" even on our own forms: Sec-Fetch-Site is asked first. */
    private boolean isFromElsewhere(HttpServerRequest request) {
        boolean reads = switch (request.method().name()) {
            case "GET", "HEAD", "OPTIONS" -> true;
            default -> false;
        };
        if (reads) {
            return false;
        }
        @Nullable String site = request.getHeader("Sec-Fetch-Site");
        if (site != null) {
            return !site.equals("same-origin") && !site.equals("none");
        }
        @Nullable String origin = request.getHeader("Origin");
        if (origin == null || origin.equals("null")) {
            // A browser that says nothing of where it comes from: only where no session or phone could be misused.
            return cookie.read(request).isPresent() || phone.read(request).isPresent();
        }
        return !isSameHost(origin, request);
    }

    private static boolean isSameHost(String origin, HttpServerRequest request) {
        try {
            URI from = new URI(origin);
            String authority = from.getRawAuthority();
            return authority != null && request.authority() != null && authority.equalsIgnoreCase(request.authority().toString());
        } catch (URISyntaxException e) {
            // An origin that cannot be read is not ours.
            return false;
        }
    }
}
