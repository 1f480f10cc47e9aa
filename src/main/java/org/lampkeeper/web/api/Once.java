package org.lampkeeper.web.api;

import java.sql.Connection;
import java.sql.SQLException;
import java.time.Clock;
import java.time.Duration;
import java.time.Instant;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.function.Supplier;
import java.util.regex.Pattern;

import javax.sql.DataSource;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.ws.rs.core.HttpHeaders;
import jakarta.ws.rs.core.MediaType;
import jakarta.ws.rs.core.Response;
import jakarta.ws.rs.core.UriInfo;

import io.quarkus.narayana.jta.QuarkusTransaction;

import org.lampkeeper.access.CurrentCaller;
import org.lampkeeper.register.Sha256;
import org.lampkeeper.web.ProblemType;
import org.lampkeeper.web.Refused;
import org.lampkeeper.web.api.AnswerTable.Kept;
import org.lampkeeper.web.api.AnswerTable.Key;

/**
 * Carries out a POST, and with the header {@code Idempotency-Key} at most once: what was done and what was answered are one commit, and a
 * repeat is given that answer (draft-ietf-httpapi-idempotency-key-header). What was refused did nothing and is not kept, so that the same
 * key may come again with the mistake put right.
 */
@ApplicationScoped
class Once {

    static final String HEADER = "Idempotency-Key";
    static final String REPLAYED = "Idempotency-Replayed";

    /** How long a key is remembered. */
    static final Duration REMEMBERED = Duration.ofHours(24);
    // Ours: no request lasts as long, since its transaction would have been ended before; whoever began it is gone.
    static final Duration GIVEN_UP_AFTER = Duration.ofMinutes(5);
    // The draft's example quotes it, as a structured field's string; most programs send it bare.
    private static final Pattern KEY = Pattern.compile("\"?([\\x21\\x23-\\x5b\\x5d-\\x7e]{1,255})\"?");

    private final DataSource database;
    private final CurrentCaller caller;
    private final StrictJson json;
    private final Clock clock;

    Once(DataSource database, CurrentCaller caller, StrictJson json, Clock clock) {
        this.database = database;
        this.caller = caller;
        this.json = json;
        this.clock = clock;
    }

    /** {@code body}: as it was sent; {@code work} runs in one transaction. */
    Response answer(HttpHeaders headers, UriInfo address, byte[] body, Supplier<Answer> work) {
        Optional<String> sent = key(headers);
        if (sent.isEmpty()) {
            Answer answer = QuarkusTransaction.requiringNew().call(work::get);
            return response(answer.status(), answer.location(), answer.tag(), json.write(answer.body()));
        }
        // Another token of the same person may reach less: it must not be shown what this one was answered.
        String whose = caller.get().tokenId().stream().mapToObj(Long::toString).findFirst().orElse("person");
        Key key = new Key(caller.get().personId(), Sha256.hex(whose + " " + sent.get()));
        String fingerprint = fingerprint(address, body);
        Instant now = clock.instant();
        Optional<Response> before = claim(key, fingerprint, now);
        return before.orElseGet(() -> carryOut(key, now, work));
    }

    /** Empty when the key is this request's now. */
    private Optional<Response> claim(Key key, String fingerprint, Instant now) {
        try (Connection connection = database.getConnection()) {
            AnswerTable.forgetBefore(connection, now.minus(REMEMBERED));
            // Looked for first: inserting beside a row that its own transaction is changing would wait for that on H2.
            Optional<Kept> kept = AnswerTable.find(connection, key);
            if (kept.isEmpty()) {
                if (AnswerTable.claim(connection, key, fingerprint, now)) {
                    return Optional.empty();
                }
                kept = AnswerTable.find(connection, key);
            }
            if (kept.isEmpty()) {
                // Refused and forgotten between the two statements.
                throw underWay();
            }
            if (!kept.get().fingerprint().equals(fingerprint)) {
                throw new Refused(ProblemType.KEY_REUSED, HEADER + " was used for another request or another body in the last "
                        + REMEMBERED.toHours() + " hours. Make a new key for a new request.");
            }
            if (kept.get() instanceof Kept.Finished finished) {
                Response repeated = response(finished.status(), finished.location(), finished.tag(), finished.body());
                repeated.getHeaders().putSingle(REPLAYED, "true");
                return Optional.of(repeated);
            }
            Kept.UnderWay begun = (Kept.UnderWay) kept.get();
            boolean isAbandoned = begun.begunAt().plus(GIVEN_UP_AFTER).isBefore(now);
            if (isAbandoned && AnswerTable.takeOver(connection, key, fingerprint, begun.begunAt(), now)) {
                return Optional.empty();
            }
            throw underWay();
        } catch (SQLException e) {
            throw new IllegalStateException("the keys of earlier requests could not be read", e);
        }
    }

    private Response carryOut(Key key, Instant begunAt, Supplier<Answer> work) {
        try {
            Answer answer = QuarkusTransaction.requiringNew().call(() -> {
                Answer made = work.get();
                keep(key, begunAt, made);
                return made;
            });
            return response(answer.status(), answer.location(), answer.tag(), json.write(answer.body()));
        } catch (RuntimeException failed) {
            forget(key, begunAt, failed);
            throw failed;
        }
    }

    private void keep(Key key, Instant begunAt, Answer made) {
        try (Connection connection = database.getConnection()) {
            if (!AnswerTable.keep(connection, key, begunAt, made.status(), made.location(), made.tag(), json.write(made.kept()))) {
                throw new IllegalStateException("an idempotency key was taken over while its first request was still under way");
            }
        } catch (SQLException e) {
            throw new IllegalStateException("the answer to a request with a key could not be kept", e);
        }
    }

    private void forget(Key key, Instant begunAt, RuntimeException why) {
        try (Connection connection = database.getConnection()) {
            AnswerTable.forget(connection, key, begunAt);
        } catch (SQLException e) {
            // The key stays under way until it is given up; the caller has to hear of the first failure.
            why.addSuppressed(e);
        }
    }

    private static Refused underWay() {
        return new Refused(ProblemType.UNDER_WAY, "Wait for its answer, or ask again in a moment.", Map.of(HttpHeaders.RETRY_AFTER, "1"));
    }

    private static Optional<String> key(HttpHeaders headers) {
        List<String> sent = headers.getRequestHeader(HEADER);
        if (sent.isEmpty()) {
            return Optional.empty();
        }
        var key = KEY.matcher(sent.get(0).strip());
        if (sent.size() > 1 || !key.matches()) {
            throw new Refused(ProblemType.WRONG_PARAMETER, "Header " + HEADER
                    + " must be there once, with 1 to 255 printable characters without "
                    + "spaces, quotes or backslashes: a random UUID is right.");
        }
        return Optional.of(key.group(1));
    }

    private static Response response(int status, Optional<String> location, Optional<String> tag, String body) {
        Response.ResponseBuilder answer = Response.status(status).type(MediaType.APPLICATION_JSON_TYPE).entity(body);
        location.ifPresent(where -> answer.header(HttpHeaders.LOCATION, where));
        tag.ifPresent(value -> answer.header(HttpHeaders.ETAG, value));
        return answer.build();
    }

    private static String fingerprint(UriInfo address, byte[] body) {
        return Sha256.hex(address.getPath() + "\n" + Sha256.hex(body));
    }
}
