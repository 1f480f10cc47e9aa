package org.lampkeeper.web;

import java.lang.reflect.Method;
import java.net.URI;
import java.net.URLEncoder;
import java.nio.charset.StandardCharsets;
import java.util.Arrays;
import java.util.EnumSet;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalLong;
import java.util.Set;
import java.util.concurrent.ConcurrentHashMap;
import java.util.stream.Collectors;

import jakarta.ws.rs.NotAuthorizedException;
import jakarta.ws.rs.NotFoundException;
import jakarta.ws.rs.Priorities;
import jakarta.ws.rs.container.ContainerRequestContext;
import jakarta.ws.rs.container.ResourceInfo;
import jakarta.ws.rs.core.HttpHeaders;
import jakarta.ws.rs.core.MediaType;
import jakarta.ws.rs.core.Response;

import io.quarkus.vertx.http.runtime.CurrentVertxRequest;
import io.vertx.core.http.HttpServerRequest;
import org.jboss.resteasy.reactive.server.ServerRequestFilter;
import org.jspecify.annotations.Nullable;

import org.lampkeeper.access.ApiTokens;
import org.lampkeeper.access.Caller;
import org.lampkeeper.access.Needs;
import org.lampkeeper.access.NotAllowed;
import org.lampkeeper.access.Open;
import org.lampkeeper.access.Right;
import org.lampkeeper.access.Role;
import org.lampkeeper.access.SignIns;
import org.lampkeeper.access.SignIns.SignedIn;
import org.lampkeeper.web.SiteOf.Whereabouts;

/**
 * The one place where an address is opened or refused, before anything behind it runs. Every address is closed unless {@link Open}: nobody
 * signed in is sent to sign in, what is out of the caller's reach is answered as if it did not exist, and what they see but may not do is
 * refused with the roles that may.
 */
class AccessFilter {

    private static final String API = "/api/";
    private static final String BEARER = "Bearer ";
    // Whoever has none of these may only look, and so may their tokens.
    private static final Set<Right> WRITES = EnumSet.complementOf(EnumSet.of(Right.SEE, Right.READ_JOURNAL));

    private final SessionCookie cookie;
    private final SignIns signIns;
    private final ApiTokens tokens;
    private final SiteOf siteOf;
    private final RequestCaller current;
    private final CurrentVertxRequest request;
    private final Map<Method, Rule> rules = new ConcurrentHashMap<>();

    AccessFilter(SessionCookie cookie, SignIns signIns, ApiTokens tokens, SiteOf siteOf, RequestCaller current, CurrentVertxRequest request) {
        this.cookie = cookie;
        this.signIns = signIns;
        this.tokens = tokens;
        this.siteOf = siteOf;
        this.current = current;
        this.request = request;
    }

    /** What an address asks of its caller. */
    record Rule(boolean isOpen, Right right, boolean isEverywhere) {

        /** The method's own word counts before its class's. */
        static Rule of(Method method) {
            Class<?> resource = method.getDeclaringClass();
            @Nullable Needs own = method.getAnnotation(Needs.class);
            @Nullable Needs ofClass = resource.getAnnotation(Needs.class);
            @Nullable Needs needs = own == null ? ofClass : own;
            boolean isOpen = method.isAnnotationPresent(Open.class) || own == null && resource.isAnnotationPresent(Open.class);
            return new Rule(isOpen, needs == null ? Right.SEE : needs.value(), needs != null && needs.everywhere());
        }
    }

    @ServerRequestFilter(priority = Priorities.AUTHENTICATION)
    public Optional<Response> decide(ContainerRequestContext asked, ResourceInfo resource, HttpHeaders headers) {
        Rule rule = rules.computeIfAbsent(resource.getResourceMethod(), Rule::of);
        if (rule.isOpen()) {
            return Optional.empty();
        }
        String path = "/" + asked.getUriInfo().getPath().replaceFirst("^/", "");
        Optional<Caller> found = whoAsks(path, headers);
        if (found.isEmpty()) {
            return Optional.of(toSignIn(asked, path, headers));
        }
        Caller caller = found.get();
        if (caller.isToken() && !isReading(asked) && WRITES.stream().noneMatch(caller.reach()::maySomewhere)) {
            throw new NotAllowed("This token is for reading only. Make one that may write, on your own page.");
        }
        Map<String, List<String>> named = asked.getUriInfo().getPathParameters();
        named.forEach((parameter, values) -> check(parameter, values.get(0), rule, caller));
        if (named.isEmpty()) {
            refuseUnless(rule.isEverywhere() ? caller.reach().mayEverywhere(rule.right()) : caller.reach().maySomewhere(rule.right()), rule, caller);
        }
        return Optional.empty();
    }

    private void check(String parameter, String value, Rule rule, Caller caller) {
        Whereabouts where = siteOf.find(parameter, value).filter(it -> it.isSeenBy(caller)).orElseThrow(NotFoundException::new);
        boolean isOperators = parameter.equals("site") && where.sites().contains(SiteOf.OPERATOR);
        if (isOperators && !caller.reach().mayEverywhere(Right.OPERATE)) {
            throw new NotFoundException();
        }
        boolean isSelf = rule.right() == Right.SEE && where.isSeenBy(caller);
        refuseUnless(rule.isEverywhere() ? caller.reach().mayEverywhere(rule.right())
                : isSelf || where.letsDo(rule.right(), caller.reach()), rule, caller);
    }

    private Optional<Caller> whoAsks(String path, HttpHeaders headers) {
        HttpServerRequest http = request.getCurrent().request();
        @Nullable String authorization = headers.getHeaderString(HttpHeaders.AUTHORIZATION);
        if (path.startsWith(API) && authorization != null) {
            // Whoever shows a token is the token's caller, or nobody: a wrong one is not made good by a cookie.
            Optional<Caller> caller = authorization.regionMatches(true, 0, BEARER, 0, BEARER.length())
                    ? tokens.find(authorization.substring(BEARER.length()).strip()) : Optional.empty();
            caller.ifPresent(it -> current.is(it, OptionalLong.empty()));
            return caller;
        }
        Optional<SignedIn> signedIn = cookie.read(http).flatMap(signIns::find);
        signedIn.ifPresent(it -> current.is(it.caller(), OptionalLong.of(it.sessionId())));
        return signedIn.map(SignedIn::caller);
    }

    private static Response toSignIn(ContainerRequestContext asked, String path, HttpHeaders headers) {
        boolean isLive = headers.getAcceptableMediaTypes().stream().anyMatch(MediaType.SERVER_SENT_EVENTS_TYPE::equals);
        if (path.startsWith(API) || isLive) {
            throw new NotAuthorizedException("Bearer");
        }
        @Nullable String query = asked.getUriInfo().getRequestUri().getRawQuery();
        String to = path + (query == null ? "" : "?" + query);
        String where = isReading(asked) ? to.equals("/") ? "" : "?to=" + URLEncoder.encode(to, StandardCharsets.UTF_8) : "?unsent=true";
        return Response.seeOther(URI.create("/sign-in" + where)).build();
    }

    private static boolean isReading(ContainerRequestContext asked) {
        return asked.getMethod().equals("GET") || asked.getMethod().equals("HEAD");
    }

    private static void refuseUnless(boolean may, Rule rule, Caller caller) {
        if (may) {
            return;
        }
        if (!caller.reach().maySomewhere(Right.SEE)) {
            throw new NotAllowed("You have no role at any site yet. An administrator gives roles, on the page People.");
        }
        String roles = Arrays.stream(Role.values()).filter(role -> role.rights().contains(rule.right())).map(Role::words)
                .collect(Collectors.joining(" or "));
        throw new NotAllowed("This takes the role " + roles + (rule.isEverywhere() ? " for every site." : " at this site."));
    }
}
