package org.lampkeeper.web;

import java.net.URI;
import java.time.Instant;
import java.time.LocalDate;
import java.time.ZoneId;
import java.util.List;
import java.util.Optional;
import java.util.OptionalLong;

import jakarta.ws.rs.GET;
import jakarta.ws.rs.Path;
import jakarta.ws.rs.Produces;
import jakarta.ws.rs.core.MediaType;
import jakarta.ws.rs.core.Response;

import io.quarkus.qute.CheckedTemplate;
import io.quarkus.qute.TemplateInstance;
import io.quarkus.vertx.http.runtime.CurrentVertxRequest;
import org.jboss.resteasy.reactive.RestPath;

import org.lampkeeper.access.Open;
import org.lampkeeper.access.Phones;
import org.lampkeeper.access.Phones.Known;
import org.lampkeeper.alarm.Sentences;
import org.lampkeeper.register.CabinetSheet;
import org.lampkeeper.register.Labels;
import org.lampkeeper.register.Register;

/** The address on a cabinet's label: it says where somebody stands, their phone says who they are. Opening it records nothing. */
@Path("/at/{token}")
@Open
@Produces(MediaType.TEXT_HTML)
class AtCabinetResource {

    private static final String ELSE = "If the lamp is out, or something is damaged, call whoever is on duty now.";

    private final Labels labels;
    private final Register register;
    private final Phones phones;
    private final PhoneCookie cookie;
    private final OpenLooks looks;
    private final CheckReading reading;
    private final Plant plant;
    private final CurrentVertxRequest current;

    AtCabinetResource(Labels labels, Register register, Phones phones, PhoneCookie cookie, OpenLooks looks, CheckReading reading, Plant plant,
            CurrentVertxRequest current) {
        this.labels = labels;
        this.register = register;
        this.phones = phones;
        this.cookie = cookie;
        this.looks = looks;
        this.reading = reading;
        this.plant = plant;
        this.current = current;
    }

    @CheckedTemplate
    static class Templates {
        static native TemplateInstance cabinet(AtView view);
    }

    /** @param what somebody does now who has no look to take; none for whoever has */
    record AtView(Frame frame, String headline, List<OpenLooks.Line> lines, List<String> what) {
    }

    @GET
    public Response open(@RestPath String token) {
        OptionalLong id = labels.cabinetOf(token);
        Optional<CabinetSheet> cabinet = id.isPresent() ? register.findSheet(id.getAsLong()) : Optional.empty();
        if (cabinet.isEmpty()) {
            return page(404, "", "This label does not count any more.", List.of(), List.of("It was replaced by another, or its cabinet is not in use. " + ELSE));
        }
        Optional<Known> known = cookie.read(current.getCurrent().request()).flatMap(phones::find);
        if (known.isEmpty()) {
            return page(403, "", "This is " + cabinet.get().name() + ". Who are you?", List.of(), List.of("This phone is not known here. Whoever is asked to look "
                    + "opens the link in their message instead, or enrols this phone once: signed in, under Phones on their own page.", ELSE));
        }
        return forSomebody(cabinet.get(), known.get(), plant.now());
    }

    private Response forSomebody(CabinetSheet cabinet, Known known, Instant now) {
        List<OpenLooks.Line> lines = looks.of(known.personId(), now).stream().filter(line -> line.cabinetId() == cabinet.cabinetId()).toList();
        if (lines.size() == 1) {
            return Response.seeOther(URI.create(lines.get(0).href())).build();
        }
        ZoneId zone = cabinet.site().zone();
        String next = reading.nextOf(cabinet.cabinetId(), LocalDate.ofInstant(now, zone)).map(look -> "Next: " + look.kind().task() + ", from "
                + Sentences.clock(look.due().opens(), zone, now) + " to " + Sentences.clock(look.due().closes(), zone, now) + ". Whoever is asked then gets a message.")
                .orElse("No look is planned here.");
        return lines.isEmpty() ? page(200, known.name(), "You are asked to look at nothing of " + cabinet.name() + " just now.", lines, List.of(next, ELSE))
                : page(200, known.name(), "You are asked to look at " + lines.size() + " things of " + cabinet.name() + ".", lines, List.of());
    }

    private Response page(int status, String reader, String headline, List<OpenLooks.Line> lines, List<String> what) {
        Frame frame = Frame.plain("At the cabinet", plant.now()).readBy(reader);
        return Response.status(status).entity(Templates.cabinet(new AtView(frame, headline, lines, what)).render()).type(ChecksResource.HTML).build();
    }
}
