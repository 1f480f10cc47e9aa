package org.lampkeeper.web;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.enterprise.event.Observes;

import io.quarkus.vertx.http.runtime.filters.Filters;
import io.vertx.ext.web.RoutingContext;
import org.eclipse.microprofile.config.inject.ConfigProperty;

/**
 * Where no identity provider is set there is no address to sign in by one. The framework asks for its token before any code of the
 * resource, and would answer that it is missing.
 */
@ApplicationScoped
class NoProvider {

    static final String ADDRESS = "/sign-in/provider";

    // Any address that nothing answers: so it is refused as all of them are.
    private static final String NOWHERE = "/sign-in/no-provider";
    // Ours: after the headers, before signing in.
    private static final int EARLY = 900;

    private final boolean hasProvider;

    NoProvider(@ConfigProperty(name = "quarkus.oidc.tenant-enabled", defaultValue = "false") boolean hasProvider) {
        this.hasProvider = hasProvider;
    }

    void register(@Observes Filters filters) {
        if (!hasProvider) {
            filters.register(NoProvider::handle, EARLY);
        }
    }

    private static void handle(RoutingContext context) {
        if (context.request().path().equals(ADDRESS)) {
            context.reroute(NOWHERE);
        } else {
            context.next();
        }
    }
}
