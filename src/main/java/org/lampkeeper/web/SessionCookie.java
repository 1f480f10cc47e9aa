package org.lampkeeper.web;

import java.net.URI;
import java.util.Locale;
import java.util.Optional;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.ws.rs.core.NewCookie;

import io.vertx.core.http.Cookie;
import io.vertx.core.http.HttpServerRequest;
import org.jspecify.annotations.Nullable;

import org.lampkeeper.access.AccessConfig;
import org.lampkeeper.message.MessageConfig;

/**
 * The cookie that holds a session's secret. Over https its name makes the browser keep it to this very host; without https there is one
 * on the loopback address only, where nothing crosses a network.
 */
@ApplicationScoped
class SessionCookie {

    // RFC 6265bis, section 4.1.3.2: only taken with Secure, with Path=/ and without a Domain.
    private static final String SECURE_NAME = "__Host-lampkeeper";
    private static final String LOOPBACK_NAME = "lampkeeper";

    private final URI baseUrl;
    private final AccessConfig config;

    SessionCookie(MessageConfig messages, AccessConfig config) {
        this.baseUrl = messages.baseUrl();
        this.config = config;
    }

    /** Whether the browser speaks https, if need be with a proxy before us that does not say so. */
    boolean isHttps(HttpServerRequest request) {
        return "https".equals(request.scheme()) || "https".equals(baseUrl.getScheme()) && host(request).equalsIgnoreCase(baseUrl.getHost());
    }

    /** Whether a password may be typed at all: not where it would cross a network in the clear. */
    boolean isSafe(HttpServerRequest request) {
        return isHttps(request) || isLoopback(request);
    }

    boolean isLoopback(HttpServerRequest request) {
        return switch (host(request).toLowerCase(Locale.ROOT)) {
            case "localhost", "127.0.0.1", "::1", "[::1]" -> true;
            default -> false;
        };
    }

    Optional<String> read(HttpServerRequest request) {
        @Nullable Cookie cookie = request.getCookie(isHttps(request) ? SECURE_NAME : LOOPBACK_NAME);
        return Optional.ofNullable(cookie).map(Cookie::getValue).filter(value -> !value.isBlank());
    }

    NewCookie holding(String token, HttpServerRequest request) {
        return cookie(token, (int) Math.min(config.sessionLife().toSeconds(), Integer.MAX_VALUE), request);
    }

    NewCookie gone(HttpServerRequest request) {
        return cookie("", 0, request);
    }

    private NewCookie cookie(String value, int maxAge, HttpServerRequest request) {
        boolean isHttps = isHttps(request);
        return new NewCookie.Builder(isHttps ? SECURE_NAME : LOOPBACK_NAME).value(value).path("/").maxAge(maxAge).httpOnly(true)
                .secure(isHttps).sameSite(NewCookie.SameSite.LAX).build();
    }

    private static String host(HttpServerRequest request) {
        return request.authority() == null ? "" : request.authority().host();
    }
}
