package org.lampkeeper.web;

import java.util.OptionalLong;

import jakarta.ws.rs.NotFoundException;
import jakarta.ws.rs.POST;
import jakarta.ws.rs.Path;
import jakarta.ws.rs.Produces;
import jakarta.ws.rs.core.MediaType;
import jakarta.ws.rs.core.Response;

import org.jboss.resteasy.reactive.RestPath;

import org.lampkeeper.access.CurrentCaller;
import org.lampkeeper.access.Needs;
import org.lampkeeper.access.Right;
import org.lampkeeper.watch.AlarmDesk;
import org.lampkeeper.watch.Work;
import org.lampkeeper.watch.Works;

/** Announced work is over before its time. */
@Path("/work")
@Produces(MediaType.TEXT_HTML)
@Needs(Right.HOLD_BACK)
class WorkEndResource {

    private final AlarmDesk desk;
    private final Works works;
    private final CurrentCaller caller;

    WorkEndResource(AlarmDesk desk, Works works, CurrentCaller caller) {
        this.desk = desk;
        this.works = works;
        this.caller = caller;
    }

    /** Pressed again it changes nothing: the page that it leads to says that it is over. */
    @POST
    @Path("{work:\\d{1,18}}/end")
    public Response end(@RestPath long work) {
        Work ended = works.find(work).orElseThrow(NotFoundException::new);
        desk.endEarly(work, OptionalLong.of(caller.get().personId()));
        return FormPage.done("/sites/" + ended.siteId() + "/work");
    }
}
