package org.lampkeeper.web;

import java.time.Duration;
import java.time.Instant;
import java.time.ZoneId;
import java.time.format.DateTimeFormatter;
import java.time.temporal.ChronoUnit;
import java.util.Map;
import java.util.Optional;

import jakarta.ws.rs.Consumes;
import jakarta.ws.rs.DefaultValue;
import jakarta.ws.rs.GET;
import jakarta.ws.rs.POST;
import jakarta.ws.rs.Path;
import jakarta.ws.rs.Produces;
import jakarta.ws.rs.core.HttpHeaders;
import jakarta.ws.rs.core.MediaType;
import jakarta.ws.rs.core.MultivaluedMap;
import jakarta.ws.rs.core.Response;

import io.quarkus.qute.CheckedTemplate;
import io.quarkus.qute.TemplateInstance;
import org.jboss.resteasy.reactive.RestPath;
import org.jboss.resteasy.reactive.RestQuery;

import org.lampkeeper.access.CurrentCaller;
import org.lampkeeper.access.Needs;
import org.lampkeeper.access.Right;
import org.lampkeeper.register.CabinetName;
import org.lampkeeper.report.Evidence;
import org.lampkeeper.report.EvidenceArchive;
import org.lampkeeper.report.EvidenceBook;
import org.lampkeeper.report.EvidencePaper;
import org.lampkeeper.report.SiteHistory;
import org.lampkeeper.report.Span;
import org.lampkeeper.watch.EvidenceDesk;
import org.lampkeeper.watch.EvidenceDesk.Made;

/** What happened at a cabinet in a stretch of time: to read, and as an archive that can be checked without us. */
@Path("/cabinets")
@Produces(MediaType.TEXT_HTML)
@Needs(Right.READ_JOURNAL)
class EvidenceResource {

    private static final DateTimeFormatter TYPED = DateTimeFormatter.ofPattern("uuuu-MM-dd'T'HH:mm");

    /** Ours: the look of the day before and after is in it, too. */
    private static final Duration AROUND = Duration.ofHours(24);
    /** Ours: longer is a month's report, and an archive that nobody can read. */
    private static final Duration LONGEST = Duration.ofDays(31);

    private final EvidenceBook book;
    private final EvidenceDesk desk;
    private final SiteHistory history;
    private final AlarmReading alarms;
    private final Plant plant;
    private final FormPage pages;
    private final CurrentCaller caller;
    private final JournalReading journal;

    EvidenceResource(EvidenceBook book, EvidenceDesk desk, SiteHistory history, AlarmReading alarms, Plant plant, FormPage pages, CurrentCaller caller, JournalReading journal) {
        this.book = book;
        this.desk = desk;
        this.history = history;
        this.alarms = alarms;
        this.plant = plant;
        this.pages = pages;
        this.caller = caller;
        this.journal = journal;
    }

    @CheckedTemplate
    static class Templates {
        static native TemplateInstance evidence(EvidenceView view);
    }

    record EvidenceView(Frame frame, String headline, String zoneName, String problem, Form form, String here) {
    }

    /** {@code alarm}: the time of this one of the cabinet, and a day around it, is filled in; else the last day. */
    @GET
    @Path("{cabinet:\\d{1,18}}/evidence")
    public Response show(@RestPath long cabinet, @RestQuery @DefaultValue("0") long alarm) {
        CabinetName sheet = plant.named(cabinet);
        Instant now = plant.now();
        Optional<AlarmReading.AlarmRow> about = alarms.alarm(alarm).filter(row -> row.cabinetId().orElse(0) == cabinet);
        Instant from = about.map(AlarmReading.AlarmRow::since).orElse(now).minus(AROUND);
        Instant until = about.flatMap(AlarmReading.AlarmRow::closedAt).map(over -> over.plus(AROUND)).filter(now::isAfter).orElse(now);
        Instant within = from.isBefore(until.minus(LONGEST)) ? from.plus(LONGEST) : until;
        ZoneId zone = sheet.site().zone();
        return answer(200, sheet, form(Form.empty(), sheet).preset("from", TYPED.format(from.atZone(zone)))
                .preset("until", TYPED.format(within.truncatedTo(ChronoUnit.MINUTES).plus(Duration.ofMinutes(1)).atZone(zone))), "");
    }

    @GET
    @Path("{cabinet:\\d{1,18}}/evidence.pdf")
    @Produces({"application/pdf", MediaType.TEXT_HTML})
    public Response paper(@RestPath long cabinet, @RestQuery @DefaultValue("") String from, @RestQuery @DefaultValue("") String until) {
        CabinetName sheet = plant.named(cabinet);
        Form form = form(Form.typed(Map.of("from", from, "until", until)), sheet);
        Optional<Span> span = span(form, sheet.site().zone());
        return span.isEmpty() ? answer(422, sheet, form, "") : Response.ok(paper(book.gather(sheet, span.get(), plant.now()), sheet, plant.now())).type("application/pdf")
                .header(HttpHeaders.CONTENT_DISPOSITION, "inline; filename=\"" + name(sheet, span.get()) + ".pdf\"").build();
    }

    /** Writes down that it was made, and by whom: by that entry each file hangs on the journal. */
    @POST
    @Path("{cabinet:\\d{1,18}}/evidence.zip")
    @Consumes(MediaType.APPLICATION_FORM_URLENCODED)
    @Produces({"application/zip", MediaType.TEXT_HTML})
    public Response archive(@RestPath long cabinet, MultivaluedMap<String, String> sent) {
        CabinetName sheet = plant.named(cabinet);
        Form form = form(Form.typed(sent), sheet);
        Optional<Span> span = span(form, sheet.site().zone());
        if (span.isEmpty()) {
            return answer(422, sheet, form, "");
        }
        Instant now = plant.now();
        Evidence evidence = book.gather(sheet, span.get(), now);
        String by = caller.get().reference();
        EvidenceArchive archive = new EvidenceArchive(evidence, paper(evidence, sheet, now), by, now);
        Optional<Made> made = desk.made(sheet, span.get().from(), span.get().until(), by, archive.fingerprint());
        if (made.isEmpty()) {
            return answer(503, sheet, form, "The journal was not sealed in time, so nothing could be made that can be checked. Try again; if it goes on, look at the page Operation.");
        }
        return Response.ok(archive.zip(made.get().entry(), made.get().previous())).type("application/zip")
                .header(HttpHeaders.CONTENT_DISPOSITION, "attachment; filename=\"" + name(sheet, span.get()) + ".zip\"").build();
    }

    private byte[] paper(Evidence evidence, CabinetName sheet, Instant now) {
        EvidenceWords words = new EvidenceWords(evidence, history.supplyOf(sheet, evidence.span()), history.unfitOf(sheet, evidence.span(), now), journal);
        return EvidencePaper.of(words.text(caller.get().name(), now));
    }

    private static String name(CabinetName sheet, Span span) {
        return "evidence-" + sheet.cabinetId() + "-" + span.from().atZone(sheet.site().zone()).toLocalDate();
    }

    private static Form form(Form form, CabinetName sheet) {
        String zone = "On the clocks of " + sheet.site().name() + ": " + SupplyPage.zoneName(sheet.site().zone()) + ".";
        return form.add(Input.moment("from", "From").hint(zone)).add(Input.moment("until", "Until").hint(zone + " At most 31 days later."));
    }

    private Optional<Span> span(Form form, ZoneId zone) {
        Optional<Instant> from = form.moment("from", zone);
        Optional<Instant> until = form.moment("until", zone);
        if (from.isEmpty() || until.isEmpty()) {
            return Optional.empty();
        }
        if (!from.get().isBefore(until.get())) {
            form.problem("until", "is not after the beginning, must be later");
        } else if (Duration.between(from.get(), until.get()).compareTo(LONGEST) > 0) {
            form.problem("until", "is more than 31 days later, make several for a longer time");
        } else if (from.get().isAfter(plant.now())) {
            form.problem("from", "is still ahead, nothing has happened then");
        }
        return form.isFine() ? Optional.of(new Span(from.get(), until.get())) : Optional.empty();
    }

    private Response answer(int status, CabinetName sheet, Form form, String problem) {
        EvidenceView view = new EvidenceView(pages.frame("Evidence of " + sheet.name(), "supply"), "What happened at " + sheet.name(),
                SupplyPage.zoneName(sheet.site().zone()), problem, form, "/cabinets/" + sheet.cabinetId());
        return Response.status(status).type(ChecksResource.HTML).entity(Templates.evidence(view).render()).build();
    }
}
