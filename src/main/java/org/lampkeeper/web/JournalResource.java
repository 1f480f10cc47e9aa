package org.lampkeeper.web;

import java.net.URI;
import java.net.URLEncoder;
import java.nio.charset.StandardCharsets;
import java.time.Clock;
import java.time.Instant;
import java.time.LocalDate;
import java.time.ZoneId;
import java.time.ZoneOffset;
import java.time.format.DateTimeParseException;
import java.util.ArrayList;
import java.util.HashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalLong;
import java.util.Set;
import java.util.stream.Collectors;

import jakarta.ws.rs.DefaultValue;
import jakarta.ws.rs.GET;
import jakarta.ws.rs.POST;
import jakarta.ws.rs.Path;
import jakarta.ws.rs.Produces;
import jakarta.ws.rs.core.MediaType;
import jakarta.ws.rs.core.Response;

import io.quarkus.qute.CheckedTemplate;
import io.quarkus.qute.TemplateInstance;
import org.jboss.resteasy.reactive.RestForm;
import org.jboss.resteasy.reactive.RestQuery;

import org.lampkeeper.access.CurrentCaller;
import org.lampkeeper.access.Needs;
import org.lampkeeper.access.Reach;
import org.lampkeeper.access.Right;
import org.lampkeeper.alarm.Sentences;
import org.lampkeeper.journal.Head;
import org.lampkeeper.journal.Journal;
import org.lampkeeper.journal.Verdict;
import org.lampkeeper.watch.JournalCheck;
import org.lampkeeper.web.JournalReading.Choice;
import org.lampkeeper.web.JournalReading.EntryRow;
import org.lampkeeper.web.JournalReading.Wish;

/** What happened, and is the record intact? */
@Path("/journal")
@Produces(MediaType.TEXT_HTML)
@Needs(Right.READ_JOURNAL)
class JournalResource {

    // Ours: a page that can be read.
    private static final int ENTRIES_ON_A_PAGE = 50;

    private final JournalReading entries;
    private final JournalCheck check;
    private final Journal journal;
    private final SupplyReading supply;
    private final CurrentCaller current;
    private final Clock clock;

    JournalResource(JournalReading entries, JournalCheck check, Journal journal, SupplyReading supply, CurrentCaller current, Clock clock) {
        this.entries = entries;
        this.check = check;
        this.journal = journal;
        this.supply = supply;
        this.current = current;
        this.clock = clock;
    }

    @CheckedTemplate
    static class Templates {
        static native TemplateInstance journal(JournalView view);

        static native TemplateInstance verification(VerificationView view);
    }

    /** {@code older}: the address of the next page; empty on the last. */
    record JournalView(Frame frame, String headline, String look, Filter filter, List<Item> items, boolean isFirstPage, String older, Head head,
            String problem) {

        /** What was asked for, as it was typed. {@code kinds}: to choose from. */
        record Filter(List<Option> sites, List<Option> cabinets, String kind, List<String> kinds, String day, boolean isOn) {
        }

        record Option(long id, String name, boolean isChosen) {
        }

        /** {@code number}: place in the chain, or that it has none yet. {@code href}: the page it is about; empty for none. */
        record Item(String number, Moment at, String sentence, String href, String kind, String body) {
        }
    }

    /**
     * {@code kept}: what was typed to compare with.
     *
     * @param percent how much of the chain has been walked; 100 when it is over
     */
    record VerificationView(Frame frame, String headline, String look, boolean isRunning, int percent, String progress, String headNumber,
            String headHash, String advice) {
    }

    @GET
    public TemplateInstance list(@RestQuery @DefaultValue("") String site, @RestQuery @DefaultValue("") String cabinet,
            @RestQuery @DefaultValue("") String kind, @RestQuery @DefaultValue("") String day,
            @RestQuery @DefaultValue("" + Long.MAX_VALUE) long before) {
        Instant now = clock.instant();
        Reach reach = current.get().reach();
        List<Choice> sites = entries.sites(reach);
        List<Choice> cabinets = entries.cabinets(reach);
        OptionalLong siteId = number(site);
        OptionalLong cabinetId = number(cabinet);
        ZoneId zone = zone(siteId, cabinetId, sites, cabinets);
        Optional<LocalDate> date = date(day);
        String problem = day.isEmpty() || date.isPresent() ? "" : "\"" + day + "\" is no day; write it as 2026-11-25.";
        Wish wish = new Wish(siteId, cabinetId, kind.strip(), date.map(it -> it.atStartOfDay(zone).toInstant()),
                date.map(it -> it.plusDays(1).atStartOfDay(zone).toInstant()));
        List<EntryRow> found = entries.entries(wish, before, ENTRIES_ON_A_PAGE + 1, reach);
        boolean hasOlder = found.size() > ENTRIES_ON_A_PAGE;
        List<EntryRow> shown = hasOlder ? found.subList(0, ENTRIES_ON_A_PAGE) : found;
        String query = "site=" + encoded(site) + "&cabinet=" + encoded(cabinet) + "&kind=" + encoded(kind) + "&day=" + encoded(day);
        Optional<EntryRow> verified = entries.lastVerification();
        boolean isOn = !(site + cabinet + kind + day).isBlank();
        JournalView.Filter filter = new JournalView.Filter(options(sites, siteId), options(cabinets, cabinetId), kind, JournalWords.KINDS, day, isOn);
        return Templates.journal(new JournalView(SupplyPage.frame("Journal", "journal", supply.outline(), now), headline(verified, zone, now),
                verified.filter(it -> !isIntact(it)).isPresent() ? "lost" : "plain", filter, items(shown, now), before == Long.MAX_VALUE,
                hasOlder ? "/journal?" + query + "&before=" + shown.get(shown.size() - 1).id() : "", journal.head(), problem));
    }

    /** Begins; the page that it leads to shows how far it is. */
    @POST
    @Path("verify")
    public Response verify(@RestForm @DefaultValue("") String number, @RestForm @DefaultValue("") String hash) {
        Optional<Head> kept = Optional.empty();
        if (!number.isBlank() || !hash.isBlank()) {
            try {
                kept = Optional.of(new Head(Long.parseLong(number.strip()), hash.strip().toLowerCase(Locale.ROOT)));
            } catch (IllegalArgumentException e) {
                return Problems.page(422, "This is no head of the journal.",
                        "It is a number and 64 digits from 0 to 9 and a to f, as they stand at the end of every mail. Go back and copy both.", clock);
            }
        }
        check.begin(kept, current.get().reference());
        return Response.seeOther(URI.create("/journal/verification")).build();
    }

    @GET
    @Path("verification")
    public TemplateInstance verification() {
        Instant now = clock.instant();
        Frame frame = SupplyPage.frame("Verification", "journal", supply.outline(), now);
        JournalCheck.State state = check.state();
        if (state instanceof JournalCheck.State.Running running) {
            int percent = running.all() == 0 ? 0 : (int) (running.reached() * 100 / running.all());
            return Templates.verification(new VerificationView(frame, "The journal is being verified.", "plain", true, percent,
                    running.reached() + " of " + running.all() + " entries are intact so far.", "", "",
                    "This page loads itself again until it is done."));
        }
        if (state instanceof JournalCheck.State.Done done) {
            return Templates.verification(result(done, frame, now));
        }
        String headline = state instanceof JournalCheck.State.Failed ? "The journal could not be read to its end."
                : "Nothing has been verified since Lampkeeper started.";
        return Templates.verification(new VerificationView(frame, headline, state instanceof JournalCheck.State.Failed ? "unknown" : "plain", false,
                0, "", "", "", "That says nothing about the journal itself. Begin a verification on the journal's page."));
    }

    private static VerificationView result(JournalCheck.State.Done done, Frame frame, Instant now) {
        String when = Sentences.clock(done.at(), ZoneOffset.UTC, now) + " UTC";
        if (done.verdict() instanceof Verdict.Intact intact) {
            return new VerificationView(frame, "The journal is intact up to entry " + intact.head().number() + ".", "plain", false, 100,
                    "Verified at " + when + ".", Long.toString(intact.head().number()), intact.head().hash(),
                    "Compare this head with one that you kept outside: every mail carries one. Only that tells of a journal that was written anew.");
        }
        Verdict.Broken broken = (Verdict.Broken) done.verdict();
        String explanation = broken.explanation();
        return new VerificationView(frame, "The journal is not intact: " + explanation + ".", "lost", false, 100, "Verified at " + when + ".", "", "",
                "Keep a copy of the database as it is, and tell the operator. What follows that place has not been judged.");
    }

    private static String headline(Optional<EntryRow> verified, ZoneId zone, Instant now) {
        return verified.map(entry -> {
            String when = Sentences.clock(entry.at(), zone, now);
            return isIntact(entry) ? "The journal was intact when it was last verified, at " + when + "."
                    : "The journal was not intact when it was last verified, at " + when + ".";
        }).orElse("The journal has not been verified yet.");
    }

    private static boolean isIntact(EntryRow verification) {
        return Boolean.TRUE.equals(verification.facts().get("intact"));
    }

    private List<JournalView.Item> items(List<EntryRow> rows, Instant now) {
        // A page names few people many times.
        Map<String, Optional<String>> names = new HashMap<>();
        List<JournalView.Item> items = new ArrayList<>();
        for (EntryRow row : rows) {
            String sentence = JournalWords.of(row.kind(), row.facts(), row.where(),
                    reference -> names.computeIfAbsent(reference, entries::nameBehind), row.zone(), row.at());
            String href = row.alarmId().isPresent() ? "/alarms/" + row.alarmId().getAsLong()
                    : row.cabinetId().isPresent() ? "/cabinets/" + row.cabinetId().getAsLong() : "";
            items.add(new JournalView.Item(row.number().isPresent() ? Long.toString(row.number().getAsLong()) : "not sealed yet",
                    Moment.of(row.at(), row.zone(), now), sentence, href, row.kind(), row.body()));
        }
        return List.copyOf(items);
    }

    private static List<JournalView.Option> options(List<Choice> choices, OptionalLong chosen) {
        return choices.stream().map(choice -> new JournalView.Option(choice.id(), choice.name(),
                chosen.isPresent() && chosen.getAsLong() == choice.id())).toList();
    }

    /** Of the site that was asked for; else the one that all sites share; else UTC. */
    private static ZoneId zone(OptionalLong site, OptionalLong cabinet, List<Choice> sites, List<Choice> cabinets) {
        Optional<Choice> chosen = cabinets.stream().filter(it -> cabinet.isPresent() && it.id() == cabinet.getAsLong()).findFirst()
                .or(() -> sites.stream().filter(it -> site.isPresent() && it.id() == site.getAsLong()).findFirst());
        Set<ZoneId> all = sites.stream().map(Choice::zone).collect(Collectors.toSet());
        return chosen.map(Choice::zone).orElse(all.size() == 1 ? all.iterator().next() : ZoneOffset.UTC);
    }

    private static OptionalLong number(String typed) {
        return typed.matches("\\d{1,18}") ? OptionalLong.of(Long.parseLong(typed)) : OptionalLong.empty();
    }

    private static Optional<LocalDate> date(String typed) {
        try {
            return typed.isBlank() ? Optional.empty() : Optional.of(LocalDate.parse(typed.strip()));
        } catch (DateTimeParseException e) {
            // Said on the page beside the field.
            return Optional.empty();
        }
    }

    private static String encoded(String text) {
        return URLEncoder.encode(text, StandardCharsets.UTF_8);
    }
}
