package org.lampkeeper.web;

import java.net.URI;
import java.util.Locale;
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
@Path("/demo")
class DemoResource {

    private final Instance<DemoSwitch> demo;
    private final boolean isDemo;

    DemoResource(Instance<DemoSwitch> demo, @ConfigProperty(name = "lampkeeper.demo", defaultValue = "false") boolean isDemo) {
        this.demo = demo;
        this.isDemo = isDemo;
    }

    @POST
    @Path("cabinet/{cabinet:\\d{1,18}}/take-away")
    public Response takeAwayFromCabinet(@RestPath long cabinet) {
        return press(new Target(Target.Kind.CABINET, cabinet), DemoSwitch::takeAway, "away");
    }

    @POST
    @Path("cabinet/{cabinet:\\d{1,18}}/give-back")
    public Response giveBackToCabinet(@RestPath long cabinet) {
        return press(new Target(Target.Kind.CABINET, cabinet), DemoSwitch::giveBack, "back");
    }

    @POST
    @Path("board/{board:\\d{1,18}}/take-away")
    public Response takeAwayFromBoard(@RestPath long board) {
        return press(new Target(Target.Kind.BOARD, board), DemoSwitch::takeAway, "away");
    }

    @POST
    @Path("board/{board:\\d{1,18}}/give-back")
    public Response giveBackToBoard(@RestPath long board) {
        return press(new Target(Target.Kind.BOARD, board), DemoSwitch::giveBack, "back");
    }

    private Response press(Target target, BiConsumer<DemoSwitch, Target> action, String word) {
        if (!isDemo || !demo.isResolvable()) {
            throw new NotFoundException();
        }
        action.accept(demo.get(), target);
        return Response.seeOther(URI.create("/?" + word + "=" + target.kind().name().toLowerCase(Locale.ROOT) + "-" + target.id())).build();
    }
}
