package org.lampkeeper.web.api;

import java.time.Clock;
import java.time.Duration;
import java.time.Instant;
import java.util.Map;
import java.util.Optional;

import jakarta.ws.rs.Priorities;
import jakarta.ws.rs.container.ContainerRequestContext;
import jakarta.ws.rs.core.HttpHeaders;

import com.github.benmanes.caffeine.cache.Cache;
import com.github.benmanes.caffeine.cache.Caffeine;
import org.jboss.resteasy.reactive.server.ServerRequestFilter;

import org.lampkeeper.register.Sha256;
import org.lampkeeper.web.ProblemType;
import org.lampkeeper.web.Refused;

/**
 * Keeps one program from taking the time of the others: so many requests in each minute of a token, counted on each instance. Comes before
 * the token is looked up, so that what is refused costs little.
 */
class Pace {

    private static final Duration WINDOW = Duration.ofMinutes(1);
    // Ours: more tokens than any installation has; a forgotten one only begins a new minute.
    private static final int MOST_TOKENS = 10_000;
    private static final int BEFORE_SIGNING_IN = Priorities.AUTHENTICATION - 100;

    private final Cache<String, Window> windows = Caffeine.newBuilder().maximumSize(MOST_TOKENS).build();
    private final ApiConfig config;
    private final Clock clock;

    Pace(ApiConfig config, Clock clock) {
        this.config = config;
        this.clock = clock;
    }

    private record Window(Instant began, int requests) {
    }

    @ServerRequestFilter(priority = BEFORE_SIGNING_IN)
    public void count(ContainerRequestContext asked) {
        if (asked.getUriInfo().getPath().startsWith("/api/")) {
            // Not the token itself: it would stand in every picture of the memory.
            Optional.ofNullable(asked.getHeaderString(HttpHeaders.AUTHORIZATION))
                    .map(token -> Sha256.hex(token)).ifPresent(this::count);
        }
    }

    private void count(String token) {
        Instant now = clock.instant();
        Window window = windows.asMap().compute(token, (id, before) -> before == null || !before.began().plus(WINDOW).isAfter(now)
                ? new Window(now, 1) : new Window(before.began(), before.requests() + 1));
        if (window.requests() > config.requestsAMinute()) {
            long seconds = Math.max(1, Duration.between(now, window.began().plus(WINDOW)).toSeconds());
            throw new Refused(ProblemType.TOO_MANY, "At most " + config.requestsAMinute() + " requests a minute are answered. Wait "
                    + seconds + " s.", Map.of(HttpHeaders.RETRY_AFTER, Long.toString(seconds)));
        }
    }
}
