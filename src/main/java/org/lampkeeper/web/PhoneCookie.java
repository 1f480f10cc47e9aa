package org.lampkeeper.web;

import java.time.Duration;
import java.util.Optional;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.ws.rs.core.NewCookie;

import io.vertx.core.http.Cookie;
import io.vertx.core.http.HttpServerRequest;
import org.jspecify.annotations.Nullable;

/** The cookie that holds the secret of an enrolled phone; beside that of a session, and as safe. */
@ApplicationScoped
class PhoneCookie {

    // RFC 6265bis, section 4.1.3.2, as for the session's.
    private static final String SECURE_NAME = "__Host-lampkeeper-phone";
    private static final String LOOPBACK_NAME = "lampkeeper-phone";

    // RFC 6265bis, section 5.5: browsers keep none for longer. It is set anew whenever the phone's own page is opened.
    private static final Duration LIFE = Duration.ofDays(400);

    private final SessionCookie session;

    PhoneCookie(SessionCookie session) {
        this.session = session;
    }

    Optional<String> read(HttpServerRequest request) {
        @Nullable Cookie cookie = request.getCookie(name(request));
        return Optional.ofNullable(cookie).map(Cookie::getValue).filter(value -> !value.isBlank());
    }

    NewCookie holding(String secret, HttpServerRequest request) {
        return new NewCookie.Builder(name(request)).value(secret).path("/").maxAge((int) LIFE.toSeconds()).httpOnly(true)
                .secure(session.isHttps(request)).sameSite(NewCookie.SameSite.LAX).build();
    }

    /** Whether a secret may be handed to the phone at all: not where it would cross a network in the clear. */
    boolean isSafe(HttpServerRequest request) {
        return session.isSafe(request);
    }

    private String name(HttpServerRequest request) {
        return session.isHttps(request) ? SECURE_NAME : LOOPBACK_NAME;
    }
}
