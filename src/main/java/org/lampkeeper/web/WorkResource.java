package org.lampkeeper.web;

import java.time.Instant;
import java.time.ZoneId;
import java.time.format.DateTimeFormatter;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.OptionalLong;

import jakarta.ws.rs.Consumes;
import jakarta.ws.rs.GET;
import jakarta.ws.rs.POST;
import jakarta.ws.rs.Path;
import jakarta.ws.rs.Produces;
import jakarta.ws.rs.core.MediaType;
import jakarta.ws.rs.core.MultivaluedMap;
import jakarta.ws.rs.core.Response;

import io.quarkus.qute.CheckedTemplate;
import io.quarkus.qute.TemplateInstance;
import org.jboss.resteasy.reactive.RestPath;

import org.lampkeeper.access.CurrentCaller;
import org.lampkeeper.access.Needs;
import org.lampkeeper.access.Right;
import org.lampkeeper.alarm.Sentences;
import org.lampkeeper.register.Contact;
import org.lampkeeper.register.People;
import org.lampkeeper.register.Register;
import org.lampkeeper.register.SiteSheet;
import org.lampkeeper.watch.AlarmDesk;
import org.lampkeeper.watch.AlarmDesk.WorkResult;
import org.lampkeeper.watch.SuppressionKind;
import org.lampkeeper.watch.Work;
import org.lampkeeper.watch.Works;
import org.lampkeeper.web.Input.Choice;

/** Where is the supply off on purpose, and until when? */
@Path("/sites")
@Produces(MediaType.TEXT_HTML)
class WorkResource {

    private static final MediaType HTML = MediaType.TEXT_HTML_TYPE.withCharset("UTF-8");
    private static final DateTimeFormatter TYPED = DateTimeFormatter.ofPattern("uuuu-MM-dd'T'HH:mm");
    private static final String WHOLE_SITE = "site";

    // Ours: a page that can be read.
    private static final int PAST_SHOWN = 10;

    /** Ours, after common practice: isolate, lock, prove dead. */
    private static final List<String> CAUTIONS = List.of(
            "Announcing work switches nothing off. Only a competent person isolates, locks off and proves dead before anybody touches a conductor.",
            "While it lasts nobody is told of a lost supply here. Somebody must know how cold the content may become, and watch it.",
            "Never a bigger fuse, and no device held on: if it trips again, the fault is still there.");

    private final AlarmDesk desk;
    private final Works works;
    private final Register register;
    private final People people;
    private final Plant plant;
    private final FormPage pages;
    private final CurrentCaller caller;

    WorkResource(AlarmDesk desk, Works works, Register register, People people, Plant plant, FormPage pages, CurrentCaller caller) {
        this.desk = desk;
        this.works = works;
        this.register = register;
        this.people = people;
        this.plant = plant;
        this.pages = pages;
        this.caller = caller;
    }

    @CheckedTemplate
    static class Templates {
        static native TemplateInstance work(WorkView view);
    }

    record WorkView(Frame frame, String headline, String zoneName, List<WorkLine> ahead, List<WorkLine> past, boolean mayAnnounce, Form form,
            List<String> cautions, String action, String back, String site) {
    }

    /** {@code standing}: under way, announced or over; {@code end}: the address that ends it, empty where it cannot be ended. */
    record WorkLine(String what, String where, String from, String until, String standing, String reason, String by, String end, String endWord) {
    }

    @GET
    @Path("{site:\\d{1,18}}/work")
    public Response show(@RestPath long site) {
        SiteSheet sheet = plant.site(site);
        Form form = fields(Form.empty(), sheet).preset("from", TYPED.format(plant.now().atZone(sheet.zone())));
        return answer(200, sheet, form);
    }

    @POST
    @Path("{site:\\d{1,18}}/work")
    @Consumes(MediaType.APPLICATION_FORM_URLENCODED)
    @Needs(Right.HOLD_BACK)
    public Response announce(@RestPath long site, MultivaluedMap<String, String> sent) {
        SiteSheet sheet = plant.site(site);
        Form form = fields(Form.typed(sent), sheet);
        Optional<SuppressionKind> kind = form.choice("kind", SuppressionKind.class);
        Optional<Instant> from = form.moment("from", sheet.zone());
        Optional<Instant> until = form.moment("until", sheet.zone());
        String where = chosen(form);
        if (form.text("reason").isEmpty()) {
            form.problem("reason", "is empty, must say why, for whoever asks later");
        }
        if (!form.isFine()) {
            return answer(422, sheet, form);
        }
        WorkResult result = desk.announce(kind.orElseThrow(), site, id(where, "board-"), id(where, "cabinet-"), from.orElseThrow(),
                until.orElseThrow(), form.text("reason"), OptionalLong.of(caller.get().personId()));
        if (result instanceof WorkResult.Refused refused) {
            return answer(422, sheet, form.problems(refused.problems()));
        }
        return FormPage.done("/sites/" + site + "/work");
    }

    private Form fields(Form form, SiteSheet site) {
        List<Choice> kinds = List.of(new Choice(SuppressionKind.ANNOUNCED_WORK.name(), "work on the supply"),
                new Choice(SuppressionKind.COMMISSIONING.name(), "a cabinet is being put into service"),
                new Choice(SuppressionKind.OUT_OF_SERVICE.name(), "out of service for a time"),
                new Choice(SuppressionKind.TEST_PRESS.name(), "the test button is pressed: two minutes"));
        List<Choice> places = new ArrayList<>(List.of(new Choice(WHOLE_SITE, "the whole of " + site.name())));
        register.boardsOfSite(site.id()).forEach(board -> places.add(new Choice("board-" + board.id(), "all that hangs on " + board.name())));
        register.sheetsOfSite(site.id()).forEach(cabinet -> places.add(new Choice("cabinet-" + cabinet.cabinetId(), cabinet.name())));
        String zone = "On the clocks of " + site.name() + ": " + SupplyPage.zoneName(site.zone()) + ".";
        return form.add(Input.choice("kind", "What", kinds)).add(Input.choice("where", "Where", places))
                .add(Input.moment("from", "From").hint(zone)).add(Input.moment("until", "Until").hint(zone + " It ends then by itself."))
                .add(Input.text("reason", "Why").hint("For whoever wonders, now or later: what is done, and by which firm."));
    }

    private static String chosen(Form form) {
        String where = form.value("where");
        if (form.field("where").choices().stream().noneMatch(choice -> choice.value().equals(where))) {
            form.problem("where", "nothing is chosen, choose one");
        }
        return where;
    }

    private static OptionalLong id(String where, String kind) {
        return where.startsWith(kind) ? OptionalLong.of(Long.parseLong(where.substring(kind.length()))) : OptionalLong.empty();
    }

    private Response answer(int status, SiteSheet site, Form form) {
        Instant now = plant.now();
        boolean may = plant.may(Right.HOLD_BACK, site.id());
        List<Work> ahead = works.ahead(site.id(), now);
        WorkView view = new WorkView(pages.frame("Announced work at " + site.name(), "supply"), headline(site.name(), ahead, site.zone(), now),
                SupplyPage.zoneName(site.zone()), ahead.stream().map(work -> line(work, site, may, now)).toList(),
                works.past(site.id(), now, PAST_SHOWN).stream().map(work -> line(work, site, false, now)).toList(), may, form, CAUTIONS,
                "/sites/" + site.id() + "/work", "/sites/" + site.id(), site.name());
        return Response.status(status).type(HTML).entity(Templates.work(view).render()).build();
    }

    /** The page's answer: whether alarms are held back now, and if not, from when on. */
    static String headline(String site, List<Work> ahead, ZoneId zone, Instant now) {
        List<Work> begun = ahead.stream().filter(work -> work.hasBegun(now)).toList();
        if (begun.size() == 1) {
            return "Alarms at " + site + " are held back until " + Sentences.clock(begun.get(0).until(), zone, now) + ": "
                    + words(begun.get(0).kind()) + ".";
        }
        if (begun.size() > 1) {
            Instant last = begun.stream().map(Work::until).max(Instant::compareTo).orElseThrow();
            return "Alarms at " + site + " are held back for " + begun.size() + " reasons, the last until " + Sentences.clock(last, zone, now) + ".";
        }
        return ahead.isEmpty() ? "No work is announced at " + site + ": every alarm counts."
                : "Every alarm at " + site + " counts now; work is announced from " + Sentences.clock(ahead.get(0).from(), zone, now) + ".";
    }

    private WorkLine line(Work work, SiteSheet site, boolean mayEnd, Instant now) {
        String by = work.announcedBy().isPresent() ? people.find(work.announcedBy().getAsLong()).map(Contact::name).orElse("") : "";
        boolean begun = work.hasBegun(now);
        String standing = work.endedAt().map(at -> (at.isBefore(work.from()) ? "called off at " : "ended early at ")
                + Sentences.clock(at, site.zone(), now)).orElse(work.isOver(now) ? "over" : begun ? "under way" : "announced");
        return new WorkLine(words(work.kind()), where(work, site), Sentences.clock(work.from(), site.zone(), now),
                Sentences.clock(work.until(), site.zone(), now), standing, work.reason(), by, mayEnd ? "/work/" + work.id() + "/end" : "",
                begun ? "End it now" : "Call it off");
    }

    private String where(Work work, SiteSheet site) {
        if (work.boardId().isPresent()) {
            return register.board(work.boardId().getAsLong()).map(board -> "all that hangs on " + board.name()).orElse("a board that is gone");
        }
        if (work.cabinetId().isPresent()) {
            return register.findSheet(work.cabinetId().getAsLong()).map(cabinet -> cabinet.name()).orElse("a cabinet out of use");
        }
        return "the whole of " + site.name();
    }

    static String words(SuppressionKind kind) {
        return switch (kind) {
            case ANNOUNCED_WORK -> "work on the supply";
            case COMMISSIONING -> "being put into service";
            case TEST_PRESS -> "the test button is pressed";
            case OUT_OF_SERVICE -> "out of service";
        };
    }
}
