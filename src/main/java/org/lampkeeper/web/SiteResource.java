package org.lampkeeper.web;

import java.time.Instant;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalLong;
import java.util.stream.Collectors;

import jakarta.ws.rs.GET;
import jakarta.ws.rs.Path;
import jakarta.ws.rs.Produces;
import jakarta.ws.rs.core.MediaType;

import io.quarkus.qute.CheckedTemplate;
import io.quarkus.qute.TemplateInstance;
import org.jboss.resteasy.reactive.RestPath;

import org.lampkeeper.access.Right;
import org.lampkeeper.alarm.Sentences;
import org.lampkeeper.callout.CallOutList;
import org.lampkeeper.message.PersonChannels;
import org.lampkeeper.register.BoardSheet;
import org.lampkeeper.register.CabinetSheet;
import org.lampkeeper.register.CallOutLists;
import org.lampkeeper.register.Contact;
import org.lampkeeper.register.OutOfUseSheet;
import org.lampkeeper.register.Register;
import org.lampkeeper.register.SiteSheet;
import org.lampkeeper.watch.SitePeople;
import org.lampkeeper.watch.WarmthBook;
import org.lampkeeper.watch.Works;
import org.lampkeeper.web.AlarmView.Phone;
import org.lampkeeper.web.DutyReading.SiteDuty;
import org.lampkeeper.web.DutyWords.RoleLine;
import org.lampkeeper.web.SupplyPage.Wish;
import org.lampkeeper.web.SupplyReading.CabinetRow;
import org.lampkeeper.web.SupplyReading.Snapshot;
import org.lampkeeper.web.SupplyView.BoardView;
import org.lampkeeper.web.SupplyView.LineView;
import org.lampkeeper.web.SupplyView.Link;

/** Has this site supply, what stands there, how does one get in, and who is told? */
@Path("/sites")
@Produces(MediaType.TEXT_HTML)
class SiteResource {

    // Above any number of cabinets of one site: all of them are drawn.
    private static final int NEVER_FOLD = Integer.MAX_VALUE;

    private final SupplyReading supply;
    private final Register register;
    private final CallOutLists lists;
    private final TurnWords turns;
    private final SitePeople people;
    private final PersonChannels channels;
    private final Works works;
    private final Plant plant;
    private final FormPage pages;
    private final WarmthBook warmth;
    private final WebConfig config;

    SiteResource(SupplyReading supply, Register register, CallOutLists lists, TurnWords turns, SitePeople people, PersonChannels channels, Works works, Plant plant, FormPage pages,
            WarmthBook warmth, WebConfig config) {
        this.supply = supply;
        this.register = register;
        this.lists = lists;
        this.turns = turns;
        this.people = people;
        this.channels = channels;
        this.works = works;
        this.plant = plant;
        this.pages = pages;
        this.warmth = warmth;
        this.config = config;
    }

    @CheckedTemplate
    static class Templates {
        static native TemplateInstance site(SitePageView view);

        static native TemplateInstance sites(SitesView view);
    }

    /** {@code register}: where a new one is registered, {@code months}: where the month of all is; each empty for whoever may not. */
    record SitesView(Frame frame, String headline, List<SiteLine> sites, String register, String months) {
    }

    record SiteLine(String name, String address, String cabinets, String href) {
    }

    /**
     * @param next what is missing before this site is watched, and can be done by the caller
     * @param unproven how many of those who may be told have no proven channel, as a sentence; empty for nobody
     * @param edit what the caller may change here; the rest has no link
     */
    record SitePageView(Frame frame, String headline, boolean isQuiet, Optional<Link> next, SiteSheet site, String zoneName, Optional<Phone> electrician,
            List<BoardView> boards, List<LineView> withoutCircuit, List<BoardLine> boardLines, List<CabinetLine> cabinets, List<CabinetLine> outOfUse, List<String> told,
            String toldFrom, List<RoleLine> duty, List<String> dutyGaps, String unproven, String work, String base, List<Link> edit, boolean mayEditPlant) {
    }

    record BoardLine(String name, String place, String access, String feeds, String edit) {
    }

    record CabinetLine(String name, String code, String content, String feed, String href) {
    }

    @GET
    @Path("{site:\\d{1,18}}")
    public TemplateInstance show(@RestPath long site) {
        SiteSheet sheet = plant.site(site);
        Instant now = plant.now();
        Snapshot all = supply.now();
        SupplyView drawn = SupplyPage.compose(new Picture(all, config.listeningWithin(), now), new Wish("", OptionalLong.of(site)), NEVER_FOLD,
                Optional.empty(), "", warmth::sentences);
        Snapshot own = new Snapshot(all.cabinets().stream().filter(row -> row.siteId() == site).toList(),
                all.alarms().stream().filter(alarm -> alarm.siteId() == site).toList(), all.toldByCallOut(), all.lastListenedAt(),
                all.unattendedAt().stream().filter(id -> id == site).toList(), all.duty());
        SupplyView ownView = SupplyPage.compose(new Picture(own, config.listeningWithin(), now), new Wish("", OptionalLong.empty()), NEVER_FOLD,
                Optional.empty(), "");
        List<OutOfUseSheet> outOfUse = register.outOfUseAt(site);
        String headline = own.cabinets().isEmpty() && !outOfUse.isEmpty() ? "Every cabinet of " + sheet.name() + " is out of use."
                : headline(sheet.name(), own.cabinets().size(), ownView.headline());
        List<CabinetSheet> cabinets = register.sheetsOfSite(site);
        boolean mayEditPlant = plant.may(Right.EDIT_PLANT, site);
        CallOutList list = lists.ofSite(site);
        List<BoardSheet> boards = register.boardsOfSite(site);
        Optional<SiteDuty> duty = Optional.ofNullable(all.duty().get(site));
        boolean hasOwnList = !lists.sheet(site).list().turns().isEmpty();
        return Templates.site(new SitePageView(pages.frame(sheet.name(), "supply"), headline, own.cabinets().isEmpty() || ownView.isQuiet(),
                next(site, boards, own, list), sheet,
                SupplyPage.zoneName(sheet.zone()), sheet.electrician().map(it -> Phone.of(it.name(), it.phone().orElse(""))),
                drawn.sites().stream().flatMap(view -> view.boards().stream()).toList(),
                drawn.sites().stream().flatMap(view -> view.withoutCircuit().stream()).toList(),
                boards.stream().map(board -> line(board, mayEditPlant)).toList(),
                cabinets.stream().map(SiteResource::line).toList(), outOfUse.stream().map(gone -> line(gone, now)).toList(), told(list, site, now),
                hasOwnList || list.turns().isEmpty() ? "" : "This site has no list of its own: the operator's is told.",
                duty.map(it -> RoleLine.of(it, now)).orElse(List.of()),
                duty.map(it -> it.gaps().stream().map(gap -> DutyWords.gap(gap, sheet.zone(), now)).toList()).orElse(List.of()), unproven(site, now),
                WorkResource.headline(sheet.name(), works.ahead(site, now), sheet.zone(), now), "/sites/" + site, links(site), mayEditPlant));
    }

    /** Every site that the caller sees, also one without a cabinet, of which the supply page says nothing. */
    @GET
    public TemplateInstance list() {
        List<SiteSheet> seen = register.sites().stream().filter(site -> plant.may(Right.SEE, site.id())).toList();
        Map<Long, Long> cabinets = register.sheets().stream().collect(Collectors.groupingBy(sheet -> sheet.site().id(), Collectors.counting()));
        String headline = seen.isEmpty() ? "No site is registered yet." : seen.size() == 1 ? "One site is registered." : seen.size()
                + " sites are registered.";
        return Templates.sites(new SitesView(pages.frame("Sites", "supply"), headline, seen.stream().map(site -> {
            long count = cabinets.getOrDefault(site.id(), 0L);
            return new SiteLine(site.name(), site.address(), count == 0 ? "no cabinet yet" : count == 1 ? "one cabinet" : count + " cabinets",
                    "/sites/" + site.id());
        }).toList(), plant.mayEverywhere(Right.EDIT_SITE) ? "/sites/new" : "", plant.mayEverywhere(Right.SEE) ? "/month" : ""));
    }

    /** The site's name before what its supply page says. */
    static String headline(String site, int cabinets, String ofTheSupply) {
        return cabinets == 0 ? site + " has no cabinet yet." : site + ": " + ofTheSupply;
    }

    /** In the order in which a site comes to be watched: a board, a cabinet on it, its sensor, somebody who is told. */
    private Optional<Link> next(long site, List<BoardSheet> boards, Snapshot own, CallOutList list) {
        if (plant.may(Right.EDIT_PLANT, site)) {
            if (own.cabinets().isEmpty()) {
                return Optional.of(boards.isEmpty() ? new Link("Register the first board", "/sites/" + site + "/boards/new")
                        : new Link("Register the first cabinet", "/sites/" + site + "/cabinets/new"));
            }
            Optional<CabinetRow> unwatched = own.cabinets().stream().filter(cabinet -> cabinet.sensor().isEmpty()).findFirst();
            if (unwatched.isPresent()) {
                return unwatched.map(cabinet -> new Link("Register the sensor of " + cabinet.cabinet(),
                        "/cabinets/" + cabinet.cabinetId() + "/sensor"));
            }
        }
        return list.turns().isEmpty() && plant.may(Right.EDIT_CALL_OUT, site)
                ? Optional.of(new Link("Say who is told", "/sites/" + site + "/call-out")) : Optional.empty();
    }

    private List<Link> links(long site) {
        List<Link> links = new ArrayList<>();
        if (plant.may(Right.EDIT_SITE, site)) {
            links.add(new Link("Change the site", "/sites/" + site + "/edit"));
        }
        if (plant.may(Right.EDIT_PLANT, site)) {
            links.add(new Link("Register a board", "/sites/" + site + "/boards/new"));
            links.add(new Link("Register a cabinet", "/sites/" + site + "/cabinets/new"));
        }
        links.add(new Link("What comes due", "/sites/" + site + "/dates"));
        return links;
    }

    private BoardLine line(BoardSheet board, boolean mayEdit) {
        List<CabinetSheet> fed = register.sheetsOnBoard(board.id());
        String feeds = fed.isEmpty() ? "feeds nothing yet" : fed.size() == 1 ? "feeds " + fed.get(0).name() : "feeds " + fed.size() + " cabinets";
        return new BoardLine(board.name(), board.place(), board.access(), feeds, mayEdit ? "/boards/" + board.id() + "/edit" : "");
    }

    private static CabinetLine line(OutOfUseSheet gone, Instant now) {
        return new CabinetLine(gone.name(), gone.code(), gone.content(), "since " + Sentences.clock(gone.since(), gone.site().zone(), now)
                + (gone.because().isEmpty() ? "" : ": " + gone.because()), "/cabinets/" + gone.cabinetId());
    }

    private static CabinetLine line(CabinetSheet cabinet) {
        String board = cabinet.isFedFromAnotherSite() ? cabinet.board().name() + " of " + cabinet.board().siteName() : cabinet.board().name();
        return new CabinetLine(cabinet.name(), cabinet.code(), cabinet.content(), board + ", way " + cabinet.circuit().way(),
                "/cabinets/" + cabinet.cabinetId());
    }

    /** Of everybody whom an alarm here may be told to; empty where each has a proven channel. */
    private String unproven(long site, Instant now) {
        List<Long> all = people.everybody(site, now).stream().map(Contact::personId).toList();
        int without = all.size() - channels.provenAmong(all).size();
        return without == 0 ? "" : (without == 1 ? "One of the " + all.size() + " people who may be told has" : without + " of the " + all.size()
                + " people who may be told have") + " no proven channel: nobody waits for them, the next is told at the same time.";
    }

    private List<String> told(CallOutList list, long site, Instant now) {
        return list.turns().stream().map(turn -> turns.name(turn.whom(), site, now)
                + (turn.after().isZero() ? "" : ", " + Sentences.ago(turn.after()) + " later")).toList();
    }
}
