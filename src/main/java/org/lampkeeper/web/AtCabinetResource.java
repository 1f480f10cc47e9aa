package org.lampkeeper.web;

import java.net.URI;
import java.time.Instant;
import java.time.LocalDate;
import java.time.ZoneId;
import java.util.Arrays;
import java.util.List;
import java.util.Optional;
import java.util.OptionalLong;
import java.util.function.Function;

import jakarta.ws.rs.BadRequestException;
import jakarta.ws.rs.Consumes;
import jakarta.ws.rs.DefaultValue;
import jakarta.ws.rs.GET;
import jakarta.ws.rs.POST;
import jakarta.ws.rs.Path;
import jakarta.ws.rs.Produces;
import jakarta.ws.rs.core.MediaType;
import jakarta.ws.rs.core.Response;

import io.quarkus.qute.CheckedTemplate;
import io.quarkus.qute.TemplateInstance;
import io.quarkus.vertx.http.runtime.CurrentVertxRequest;
import org.jboss.resteasy.reactive.RestForm;
import org.jboss.resteasy.reactive.RestPath;

import org.lampkeeper.access.Open;
import org.lampkeeper.access.Phones;
import org.lampkeeper.access.Phones.Known;
import org.lampkeeper.alarm.Sentences;
import org.lampkeeper.check.Answer;
import org.lampkeeper.register.CabinetSheet;
import org.lampkeeper.register.Labels;
import org.lampkeeper.register.Problem;
import org.lampkeeper.register.Register;
import org.lampkeeper.watch.CheckDesk;
import org.lampkeeper.web.Input.Choice;

/** The address on a cabinet's label: it says where somebody stands, their phone says who they are. Opening it records nothing; its
 * buttons do, for whoever stands there with nothing due. */
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
    private final CheckDesk desk;
    private final CheckReading reading;
    private final Plant plant;
    private final CurrentVertxRequest current;

    AtCabinetResource(Labels labels, Register register, Phones phones, PhoneCookie cookie, OpenLooks looks, CheckDesk desk, CheckReading reading, Plant plant,
            CurrentVertxRequest current) {
        this.labels = labels;
        this.register = register;
        this.phones = phones;
        this.cookie = cookie;
        this.looks = looks;
        this.desk = desk;
        this.reading = reading;
        this.plant = plant;
        this.current = current;
    }

    @CheckedTemplate
    static class Templates {
        static native TemplateInstance cabinet(AtView view);
    }

    /**
     * @param what somebody does now who has no look to take; none for whoever has
     * @param say  what they may say all the same
     */
    record AtView(Frame frame, String headline, List<OpenLooks.Line> lines, List<String> what, Optional<Say> say) {
    }

    /** @param problem what is wrong with the note; empty for nothing */
    record Say(String action, List<Choice> answers, String note, String problem) {
    }

    private record Here(CabinetSheet cabinet, Known known) {
    }

    @GET
    public Response open(@RestPath String token) {
        return here(token, here -> forSomebody(here, token, plant.now()));
    }

    /** With nothing due, or beside what is. */
    @POST
    @Consumes(MediaType.APPLICATION_FORM_URLENCODED)
    public Response say(@RestPath String token, @RestForm @DefaultValue("") String answer, @RestForm @DefaultValue("") String note) {
        return here(token, here -> {
            Answer said = Arrays.stream(Answer.values()).filter(it -> it.name().equals(answer)).filter(Answer::isLook).findFirst().orElseThrow(BadRequestException::new);
            String words = note.strip().replaceAll("\\s+", " ");
            List<Problem> problems = words.isEmpty() ? List.of() : Problem.ofText("note", "The note", words, CheckDesk.LONGEST_NOTE);
            if (!problems.isEmpty()) {
                return page(422, here, token, List.of(), Optional.of(new Say("/at/" + token, CheckResource.atTheLabel(), note,
                        "Nothing was recorded yet: " + problems.get(0).text() + ".")));
            }
            OptionalLong look = desk.sayAtLabel(token, here.known().personId(), said, Optional.of(words).filter(it -> !it.isEmpty()));
            // It may have been replaced between the two.
            return look.isEmpty() ? noLabel() : Response.seeOther(URI.create(looks.link(look.getAsLong(), here.known().personId(), plant.now()))).build();
        });
    }

    private Response here(String token, Function<Here, Response> answer) {
        OptionalLong id = labels.cabinetOf(token);
        Optional<CabinetSheet> cabinet = id.isPresent() ? register.findSheet(id.getAsLong()) : Optional.empty();
        if (cabinet.isEmpty()) {
            return noLabel();
        }
        Optional<Known> known = cookie.read(current.getCurrent().request()).flatMap(phones::find);
        if (known.isEmpty()) {
            return page(403, "", "This is " + cabinet.get().name() + ". Who are you?", List.of(), List.of("This phone is not known here. Whoever is asked to look "
                    + "opens the link in their message instead, or enrols this phone once: signed in, under Phones on their own page.", ELSE));
        }
        return answer.apply(new Here(cabinet.get(), known.get()));
    }

    private Response noLabel() {
        return page(404, "", "This label does not count any more.", List.of(), List.of("It was replaced by another, or its cabinet is not in use. " + ELSE));
    }

    private Response forSomebody(Here here, String token, Instant now) {
        CabinetSheet cabinet = here.cabinet();
        Known known = here.known();
        List<OpenLooks.Line> lines = looks.of(known.personId(), now).stream().filter(line -> line.cabinetId() == cabinet.cabinetId()).toList();
        if (lines.size() == 1) {
            return Response.seeOther(URI.create(lines.get(0).href())).build();
        }
        return page(200, here, token, lines, Optional.of(new Say("/at/" + token, CheckResource.atTheLabel(), "", "")));
    }

    private Response page(int status, Here here, String token, List<OpenLooks.Line> lines, Optional<Say> say) {
        CabinetSheet cabinet = here.cabinet();
        Known known = here.known();
        Instant now = plant.now();
        ZoneId zone = cabinet.site().zone();
        String next = reading.nextOf(cabinet.cabinetId(), LocalDate.ofInstant(now, zone)).map(look -> "Next: " + look.kind().task() + ", from "
                + Sentences.clock(look.due().opens(), zone, now) + " to " + Sentences.clock(look.due().closes(), zone, now) + ". Whoever is asked then gets a message.")
                .orElse("No look is planned here.");
        return lines.isEmpty() ? page(status, known.name(), "You are asked to look at nothing of " + cabinet.name() + " just now.", lines, List.of(next), say)
                : page(status, known.name(), "You are asked to look at " + lines.size() + " things of " + cabinet.name() + ".", lines, List.of(), Optional.empty());
    }

    private Response page(int status, String reader, String headline, List<OpenLooks.Line> lines, List<String> what) {
        return page(status, reader, headline, lines, what, Optional.empty());
    }

    private Response page(int status, String reader, String headline, List<OpenLooks.Line> lines, List<String> what, Optional<Say> say) {
        Frame frame = Frame.plain("At the cabinet", plant.now()).readBy(reader);
        return Response.status(status).entity(Templates.cabinet(new AtView(frame, headline, lines, what, say)).render()).type(ChecksResource.HTML).build();
    }
}
