package org.lampkeeper.web.api;

import java.io.InputStream;
import java.time.Clock;
import java.util.Arrays;
import java.util.List;
import java.util.Optional;
import java.util.OptionalLong;
import java.util.Set;
import java.util.function.Consumer;
import java.util.function.Function;
import java.util.function.Supplier;
import java.util.stream.Collectors;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.ws.rs.NotFoundException;
import jakarta.ws.rs.core.HttpHeaders;
import jakarta.ws.rs.core.MediaType;
import jakarta.ws.rs.core.Response;
import jakarta.ws.rs.core.UriInfo;

import io.quarkus.narayana.jta.QuarkusTransaction;

import org.lampkeeper.access.CurrentCaller;
import org.lampkeeper.access.Reach;
import org.lampkeeper.access.Right;
import org.lampkeeper.access.Role;
import org.lampkeeper.register.By;
import org.lampkeeper.register.ChangedMeanwhile;
import org.lampkeeper.register.NotRegistered;
import org.lampkeeper.web.ProblemType;
import org.lampkeeper.web.Refused;
import org.lampkeeper.web.Refused.FieldError;
import org.lampkeeper.web.api.StrictJson.Sent;

/** What every resource does alike: answer with a tag, take a body once, change a version, look at the caller's reach. */
@ApplicationScoped
class Desk {

    private final StrictJson json;
    private final Once once;
    private final CurrentCaller caller;
    private final Clock clock;

    Desk(StrictJson json, Once once, CurrentCaller caller, Clock clock) {
        this.json = json;
        this.once = once;
        this.caller = caller;
        this.clock = clock;
    }

    By by() {
        return new By(OptionalLong.of(personId()), clock.instant());
    }

    long personId() {
        return caller.get().personId();
    }

    boolean sees(long siteId) {
        return caller.get().reach().sees(siteId);
    }

    /** The sites at which the caller has {@code right}; empty: every one. */
    Optional<Set<Long>> sitesWith(Right right) {
        return caller.get().reach().sitesWith(right);
    }

    /** For a site that the body names, which the filter in front cannot see. */
    void mustReach(Right right, long siteId, String field) {
        Reach reach = caller.get().reach();
        if (!reach.sees(siteId)) {
            throw notRegistered(field, "site", siteId);
        }
        if (!reach.may(right, siteId)) {
            String roles = Arrays.stream(Role.values()).filter(role -> role.rights().contains(right)).map(Role::words)
                    .collect(Collectors.joining(" or "));
            throw new Refused(ProblemType.NOT_PERMITTED, "This takes the role " + roles + " at site " + siteId + ".");
        }
    }

    /** The same words whether it does not exist or lies out of reach. */
    static Refused notRegistered(String field, String thing, long id) {
        String detail = thing + " " + id + " is not registered";
        return new Refused(ProblemType.INVALID, Fields.pointer(field) + ": " + detail + ".", List.of(new FieldError(Fields.pointer(field),
                detail)));
    }

    /** {@code tag}: of the version, where it has one. */
    <T> Response found(Optional<T> body, Function<T, String> tag, HttpHeaders headers) {
        T found = body.orElseThrow(NotFoundException::new);
        String mark = tag.apply(found);
        if (Versions.isKnown(headers, mark)) {
            return Response.notModified().header(HttpHeaders.ETAG, mark).build();
        }
        return Response.ok(json.write(found), MediaType.APPLICATION_JSON_TYPE).header(HttpHeaders.ETAG, mark).build();
    }

    /** For what changes without its version: it is read anew each time, and the tag is only for a change. */
    <T> Response foundAlways(Optional<T> body, Function<T, String> tag) {
        T found = body.orElseThrow(NotFoundException::new);
        return Response.ok(json.write(found), MediaType.APPLICATION_JSON_TYPE).header(HttpHeaders.ETAG, tag.apply(found)).build();
    }

    /** For what has no version of its own. */
    <T> Response found(Optional<T> body, HttpHeaders headers) {
        return found(body, this::tagOf, headers);
    }

    /** The tag of what has no version of its own. */
    String tagOf(Object body) {
        return Versions.tagOf(json.write(body));
    }

    <T> Sent<T> read(InputStream body, Class<T> type) {
        return json.read(body, type);
    }

    <T> Sent<T> readOrNothing(InputStream body, Class<T> type, T nothing) {
        return json.readOrNothing(body, type, nothing);
    }

    /** A POST. {@code work} runs in one transaction, and at most once for a key. */
    <T> Response post(HttpHeaders headers, UriInfo address, Sent<T> sent, Function<T, Answer> work) {
        return once.answer(headers, address, sent.bytes(), () -> refusing(() -> work.apply(sent.value())));
    }

    /** A POST that says nothing beside its address. */
    Response post(HttpHeaders headers, UriInfo address, InputStream body, Supplier<Answer> work) {
        Sent<String> nothing = json.readNothing(body);
        return once.answer(headers, address, nothing.bytes(), () -> refusing(work));
    }

    /** A PUT: the answer is what is stored afterwards. {@code work} gets the version that was meant. */
    <T> Response replace(HttpHeaders headers, Optional<T> stored, Function<T, String> tag, Function<T, T> work) {
        T before = stored.orElseThrow(NotFoundException::new);
        Versions.mustMatch(headers, tag.apply(before));
        T after = QuarkusTransaction.requiringNew().call(() -> refusing(() -> work.apply(before)));
        return Response.ok(json.write(after), MediaType.APPLICATION_JSON_TYPE).header(HttpHeaders.ETAG, tag.apply(after)).build();
    }

    /** A DELETE. */
    <T> Response remove(HttpHeaders headers, Optional<T> stored, Function<T, String> tag, Consumer<T> work) {
        T before = stored.orElseThrow(NotFoundException::new);
        Versions.mustMatch(headers, tag.apply(before));
        QuarkusTransaction.requiringNew().run(() -> refusing(() -> {
            work.accept(before);
            return before;
        }));
        return Response.noContent().build();
    }

    private static <T> T refusing(Supplier<T> work) {
        try {
            return work.get();
        } catch (NotRegistered e) {
            throw Fields.refused(e);
        } catch (ChangedMeanwhile e) {
            throw Versions.stale(Versions.tag(e.version()));
        }
    }
}
