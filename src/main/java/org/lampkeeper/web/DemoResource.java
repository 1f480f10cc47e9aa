package org.lampkeeper.web;

import java.net.URI;
import java.util.function.BiConsumer;

import jakarta.enterprise.inject.Instance;
import jakarta.ws.rs.NotFoundException;
import jakarta.ws.rs.POST;
import jakarta.ws.rs.Path;
import jakarta.ws.rs.core.Response;

import org.eclipse.microprofile.config.inject.ConfigProperty;
import org.jboss.resteasy.reactive.RestPath;

import org.lampkeeper.demo.DemoSwitch;
import org.lampkeeper.demo.DemoSwitch.Target;

/** The demo's buttons. Outside demo mode there is nothing at these addresses. */
@Path("/demo/{kind:cabinet|board}/{id:\\d{1,18}}")
class DemoResource {

    private final Instance<DemoSwitch> demo;
    private final boolean isDemo;

    DemoResource(Instance<DemoSwitch> demo, @ConfigProperty(name = "lampkeeper.demo", defaultValue = "false") boolean isDemo) {
        this.demo = demo;
        this.isDemo = isDemo;
    }

    @POST
    @Path("take-away")
    public Response takeAway(@RestPath String kind, @RestPath long id) {
        return press(kind, id, DemoSwitch::takeAway, "away");
    }

    @POST
    @Path("give-back")
    public Response giveBack(@RestPath String kind, @RestPath long id) {
        return press(kind, id, DemoSwitch::giveBack, "back");
    }

    private Response press(String kind, long id, BiConsumer<DemoSwitch, Target> action, String word) {
        if (!isDemo || !demo.isResolvable()) {
            throw new NotFoundException();
        }
        action.accept(demo.get(), new Target(kind.equals("board") ? Target.Kind.BOARD : Target.Kind.CABINET, id));
        return Response.seeOther(URI.create("/?" + word + "=" + kind + "-" + id)).build();
    }
}
