package org.lampkeeper.web;

import java.time.Duration;
import java.time.Instant;
import java.time.LocalDate;
import java.time.YearMonth;
import java.time.ZoneId;
import java.time.format.DateTimeFormatter;
import java.time.format.DateTimeParseException;
import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import java.util.Optional;

import jakarta.ws.rs.DefaultValue;
import jakarta.ws.rs.GET;
import jakarta.ws.rs.Path;
import jakarta.ws.rs.Produces;
import jakarta.ws.rs.core.HttpHeaders;
import jakarta.ws.rs.core.MediaType;
import jakarta.ws.rs.core.Response;

import io.quarkus.qute.CheckedTemplate;
import io.quarkus.qute.TemplateInstance;
import org.jboss.resteasy.reactive.RestPath;
import org.jboss.resteasy.reactive.RestQuery;

import org.lampkeeper.alarm.Sentences;
import org.lampkeeper.check.CheckState;
import org.lampkeeper.check.LookTime;
import org.lampkeeper.message.MessageConfig;
import org.lampkeeper.register.SiteSheet;
import org.lampkeeper.web.CheckReading.Asked;
import org.lampkeeper.web.CheckReading.Look;
import org.lampkeeper.web.CheckReading.Said;
import org.lampkeeper.web.SupplyView.Link;
import org.lampkeeper.web.csv.CsvFile;

/** Who still has to look today at this site, and what was said? */
@Path("/sites")
@Produces(MediaType.TEXT_HTML)
class ChecksResource {

    static final MediaType HTML = MediaType.TEXT_HTML_TYPE.withCharset("UTF-8");
    private static final List<String> COLUMNS = List.of("day", "cabinet", "code", "looks_at", "opens", "closes", "state", "answer", "who", "looked_at", "received_at",
            "on_time", "tapped_wrong", "sensor", "note", "at_cabinet", "origin", "photo");

    private final CheckReading reading;
    private final Plant plant;
    private final FormPage pages;
    private final MessageConfig messages;

    ChecksResource(CheckReading reading, Plant plant, FormPage pages, MessageConfig messages) {
        this.reading = reading;
        this.plant = plant;
        this.pages = pages;
        this.messages = messages;
    }

    @CheckedTemplate
    static class Templates {
        static native TemplateInstance today(TodayView view);
    }

    record TodayView(Frame frame, String headline, String site, String back, String zoneName, List<Line> lines, String compliance, List<Link> links) {
    }

    /**
     * @param photos that were sent with what was said
     * @param look   which look it has: lost, unknown or plain
     */
    record Line(String cabinet, String href, String what, String state, List<Photo> photos, String asked, String look) {
    }

    /** @param of whose it is, as a screen reader is told it */
    record Photo(String href, String of) {
    }

    @GET
    @Path("{site:\\d{1,18}}/checks")
    public Response today(@RestPath long site) {
        SiteSheet sheet = plant.site(site);
        Instant now = plant.now();
        LocalDate today = LocalDate.ofInstant(now, sheet.zone());
        YearMonth month = YearMonth.from(today);
        List<Look> ofMonth = reading.ofSite(site, month.atDay(1), month.plusMonths(1).atDay(1));
        List<Look> looks = ofMonth.stream().filter(look -> look.due().day().equals(today)).toList();
        List<Asked> asked = reading.asked(site, today, today.plusDays(1));
        TodayView view = new TodayView(pages.frame("Looks at " + sheet.name(), "supply"), headline(sheet.name(), looks.stream().filter(look -> !look.isFromLabel()).toList()), sheet.name(), "/sites/" + site,
                SupplyPage.zoneName(sheet.zone()), looks.stream().map(look -> line(look, asked, sheet.zone(), now)).toList(),
                CheckSheet.compliance(ofMonth),
                List.of(new Link("Plans and closed days", "/sites/" + site + "/checks/plans"), new Link("Labels to print", "/sites/" + site + "/labels"), new Link("This month as a file", "/sites/" + site
                        + "/checks.csv?month=" + month)));
        return Response.ok(Templates.today(view).render()).type(HTML).build();
    }

    /** {@code month}: as 2026-11, on the clocks of the site; the present one where it is none. */
    @GET
    @Path("{site:\\d{1,18}}/checks.csv")
    @Produces("text/csv; charset=utf-8")
    public Response file(@RestPath long site, @RestQuery @DefaultValue("") String month, @RestQuery @DefaultValue("") String separator) {
        SiteSheet sheet = plant.site(site);
        YearMonth asked = month(month, sheet.zone(), plant.now());
        List<List<String>> rows = new ArrayList<>();
        for (Look look : reading.ofSite(site, asked.atDay(1), asked.plusMonths(1).atDay(1))) {
            if (look.said().isEmpty()) {
                rows.add(row(look, Optional.empty()));
            }
            look.said().forEach(said -> rows.add(row(look, Optional.of(said))));
        }
        return Response.ok(CsvFile.BYTE_ORDER_MARK + CsvFile.ofTexts(COLUMNS, rows, separator.equals("semicolon") ? ';' : ','))
                .header(HttpHeaders.CONTENT_DISPOSITION, "attachment; filename=\"looks-" + asked + ".csv\"").build();
    }

    private List<String> row(Look look, Optional<Said> said) {
        String state = look.openedAt().isEmpty() ? "PLANNED" : look.state().name();
        return List.of(look.due().day().toString(), look.cabinet(), look.code(), look.kind().name(), look.due().opens().toString(), look.due().closes().toString(),
                state, said.map(it -> it.answer().name()).orElse(""), said.map(it -> it.personId().isEmpty() ? "sensor" : it.person()).orElse(""),
                said.map(it -> it.lookedAt().toString()).orElse(""), said.map(it -> it.receivedAt().toString()).orElse(""),
                said.map(it -> it.isCounted() ? "yes" : "no").orElse(""), said.map(it -> it.isWrong() ? "yes" : "no").orElse(""),
                said.map(Said::reading).orElse(""), said.map(Said::note).orElse(""), said.map(it -> it.atCabinet() ? "yes" : "no").orElse(""),
                look.isFromLabel() ? "label" : look.isExtra() ? "silent sensor" : "plan",
                said.filter(Said::hasPhoto).map(it -> messages.address(CheckSheet.photo(look.cabinetId(), it).substring(1))).orElse(""));
    }

    static YearMonth month(String asked, ZoneId zone, Instant now) {
        try {
            return asked.isEmpty() ? YearMonth.from(now.atZone(zone)) : YearMonth.parse(asked, DateTimeFormatter.ofPattern("uuuu-MM", Locale.ROOT));
        } catch (DateTimeParseException notAMonth) {
            return YearMonth.from(now.atZone(zone));
        }
    }

    /** What is open still comes first, for that is what somebody can do something about. */
    static String headline(String site, List<Look> looks) {
        List<String> open = looks.stream().filter(look -> look.state() == CheckState.OPEN && look.openedAt().isPresent()).map(Look::cabinet).distinct().toList();
        List<String> missed = looks.stream().filter(look -> look.state() == CheckState.MISSED).map(Look::cabinet).distinct().toList();
        long ahead = looks.stream().filter(look -> look.state() == CheckState.OPEN && look.openedAt().isEmpty()).count();
        if (looks.isEmpty()) {
            return "Nothing is to be looked at today at " + site + ".";
        }
        String stillOpen = open.isEmpty() ? "" : "Nobody has said yet what is with " + named(open) + ".";
        String notDone = missed.isEmpty() ? "" : (stillOpen.isEmpty() ? "" : " ") + "Nobody is known to have looked at " + named(missed) + " in time today.";
        if (stillOpen.isEmpty() && notDone.isEmpty()) {
            return ahead == looks.size() ? "No look has opened yet today at " + site + "."
                    : ahead > 0 ? "What was to be looked at so far today at " + site + " was." : "All that was to be looked at today at " + site + " was.";
        }
        return stillOpen + notDone;
    }

    private static String named(List<String> cabinets) {
        return cabinets.size() > 3 ? PeopleReading.listed(cabinets.subList(0, 3)) + " and " + (cabinets.size() - 3) + " more" : PeopleReading.listed(cabinets);
    }

    private static Line line(Look look, List<Asked> asked, ZoneId zone, Instant now) {
        List<Asked> own = asked.stream().filter(one -> one.dueId() == look.id()).toList();
        List<String> said = look.said().stream().map(one -> (one.personId().isEmpty() ? "the sensor says supply" : CheckSheet.word(one.answer()) + " "
                + (one.person().isEmpty() ? "somebody who was erased" : one.person())) + " at " + Sentences.clock(one.lookedAt(), zone, now)
                + (one.atCabinet() ? ", at the cabinet" : "") + (one.isWrong() ? " (tapped wrong)" : "") + received(one, zone, now)).toList();
        String state = switch (look.state()) {
            case OPEN -> look.openedAt().isEmpty() ? "opens at " + Sentences.clock(look.due().opens(), zone, now)
                    : "open until " + Sentences.clock(look.due().closes(), zone, now);
            case DONE -> "done";
            case MISSED -> "missed";
        };
        boolean needs = look.state() == CheckState.MISSED && look.said().isEmpty();
        boolean isOpen = look.state() == CheckState.OPEN && look.openedAt().isPresent();
        return new Line(look.cabinet(), "/cabinets/" + look.cabinetId() + "/checks", look.kind().task() + (look.isExtra() ? " since its sensor is silent" : look.isFromLabel() ? ", of their own accord at its label" : ""), state + (said.isEmpty() ? "" : ": " + String.join("; ", said)),
                photos(look, zone, now), askedWords(own, isOpen, look, zone, now), needs ? "lost" : isOpen ? "unknown" : "plain");
    }

    private static List<Photo> photos(Look look, ZoneId zone, Instant now) {
        return look.said().stream().filter(Said::hasPhoto).map(said -> new Photo(CheckSheet.photo(look.cabinetId(), said),
                look.cabinet() + ", " + Sentences.clock(said.lookedAt(), zone, now))).toList();
    }

    /** Of what a phone kept: when it came, and that its clock is wrong. */
    private static String received(Said said, ZoneId zone, Instant now) {
        String late = Duration.between(said.lookedAt(), said.receivedAt()).compareTo(LookTime.TRANSFER) > 0
                ? ", received at " + Sentences.clock(said.receivedAt(), zone, now) : "";
        return late + said.clockWrongBy().map(by -> ", by a phone whose clock is " + Sentences.ago(by.abs()) + (by.isNegative() ? " ahead" : " behind")).orElse("");
    }

    /** Who was asked, and when somebody is asked again. */
    private static String askedWords(List<Asked> asked, boolean isOpen, Look look, ZoneId zone, Instant now) {
        if (look.isFromLabel()) {
            return "";
        }
        if (asked.isEmpty()) {
            return look.openedAt().isEmpty() || !look.said().isEmpty() ? "" : look.isToAsk() ? "It has opened; whoever is asked hears of it next." : "Nobody could be asked.";
        }
        Asked last = asked.get(asked.size() - 1);
        List<String> who = asked.stream().filter(one -> one.at().equals(last.at())).map(one -> one.person() + (one.isReachable() ? "" : " (not reachable)")).toList();
        Instant next = look.due().nextAfter(now);
        return "Asked at " + Sentences.clock(last.at(), zone, now) + ": " + PeopleReading.listed(who) + "." + (!isOpen ? ""
                : next.equals(look.due().missedAt()) ? " It is an alarm at " + Sentences.clock(next, zone, now) + "." : " Asked again at "
                        + Sentences.clock(next, zone, now) + ".");
    }
}
