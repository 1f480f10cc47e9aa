package org.lampkeeper.web;

import java.time.Duration;
import java.time.Instant;
import java.time.YearMonth;
import java.time.ZoneId;
import java.time.format.DateTimeFormatter;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.List;
import java.util.Locale;
import java.util.Optional;
import java.util.Set;
import java.util.stream.Collectors;
import java.util.stream.Stream;

import jakarta.ws.rs.DefaultValue;
import jakarta.ws.rs.GET;
import jakarta.ws.rs.Path;
import jakarta.ws.rs.Produces;
import jakarta.ws.rs.core.HttpHeaders;
import jakarta.ws.rs.core.MediaType;
import jakarta.ws.rs.core.Response;

import io.quarkus.qute.CheckedTemplate;
import io.quarkus.qute.TemplateInstance;
import org.jboss.resteasy.reactive.RestQuery;

import org.lampkeeper.access.Needs;
import org.lampkeeper.access.Right;
import org.lampkeeper.quantity.Share;
import org.lampkeeper.quantity.Share.Interval;
import org.lampkeeper.report.Lengths;
import org.lampkeeper.report.MetTotal;
import org.lampkeeper.report.SiteMonth;
import org.lampkeeper.report.Spread;
import org.lampkeeper.report.SupplyTotal;
import org.lampkeeper.report.UnfitCabinet;
import org.lampkeeper.watch.WatchConfig;
import org.lampkeeper.web.AllMonths.All;
import org.lampkeeper.web.AllMonths.Looks;
import org.lampkeeper.web.AllMonths.OfCabinet;
import org.lampkeeper.web.AllMonths.OfSite;
import org.lampkeeper.web.SupplyView.Link;
import org.lampkeeper.web.csv.CsvFile;

/** How long had the cabinets of every site supply in a month, how were losses met, and which looks were taken? */
@Path("/month")
@Produces(MediaType.TEXT_HTML)
@Needs(value = Right.SEE, everywhere = true)
class AllMonthsResource {

    private static final DateTimeFormatter MONTH = DateTimeFormatter.ofPattern("MMMM uuuu", Locale.ENGLISH);
    private static final List<String> COLUMNS = List.of("of", "site", "cabinet", "code", "cabinets", "from", "until", "share with supply", "with supply s", "without s", "not known s",
            "left out s", "losses", "longest loss s", "mean loss s", "looks on time", "looks ended", "not fit s", "not fit when and why", "losses begun",
            "told", "told median s", "told 90 % s", "told longest s", "taken", "taken median s", "taken 90 % s", "taken longest s", "attended", "attended median s", "attended 90 % s",
            "attended longest s", "restored", "restored median s", "restored 90 % s", "restored longest s");
    private static final double MILLION = 1e6;

    private final AllMonths months;
    private final WatchConfig config;
    private final Plant plant;
    private final FormPage pages;

    AllMonthsResource(AllMonths months, WatchConfig config, Plant plant, FormPage pages) {
        this.months = months;
        this.config = config;
        this.plant = plant;
        this.pages = pages;
    }

    @CheckedTemplate
    static class Templates {
        static native TemplateInstance all(AllView view);
    }

    record AllView(Frame frame, String headline, String month, boolean isRunning, String losses, String looks, List<String> met, Figures all, List<SiteLine> sites,
            List<Link> links) {
    }

    /** {@code share}: "not known" where nothing is. */
    record Figures(String share, String without, String unknown, String excluded, String losses) {
    }

    record SiteLine(String name, String href, String cabinets, Figures figures, List<String> met, String looks, String unfit) {
    }

    /** {@code month}: as 2026-11; the present one where it is none. */
    @GET
    public Response show(@RestQuery @DefaultValue("") String month) {
        Instant now = plant.now();
        ZoneId zone = config.operatorZone();
        YearMonth asked = ChecksResource.month(month, zone, now);
        All all = months.of(asked, now);
        List<SiteLine> sites = all.sites().stream().sorted(Comparator.comparing((OfSite site) -> site.supply().lost()).reversed()).map(site -> new SiteLine(site.site().name(),
                "/sites/" + site.site().id() + "/month?month=" + asked, cabinets(site.supply().cabinets()), figures(site.supply()), SiteMonth.met(site.met()),
                looks(site.looks()), unfit(site))).toList();
        AllView view = new AllView(pages.frame("All sites, " + MONTH.format(asked), "supply"), headline(all), MONTH.format(asked), !asked.isBefore(months.present(now)),
                SiteMonth.losses(all.supply()), looks(all.looks()), SiteMonth.met(all.met()), figures(all.supply()), sites,
                List.of(new Link("Each cabinet as a file", "/month/cabinets.csv?month=" + asked), new Link("Month before", "/month?month=" + asked.minusMonths(1)),
                        new Link("Month after", "/month?month=" + asked.plusMonths(1)), new Link("Sites", "/sites")));
        return Response.ok(Templates.all(view).render()).type(ChecksResource.HTML).build();
    }

    /** The same as a file: a line for each cabinet, for each site and for all; lengths in seconds, times in UTC. */
    @GET
    @Path("cabinets.csv")
    @Produces("text/csv; charset=utf-8")
    public Response file(@RestQuery @DefaultValue("") String month, @RestQuery @DefaultValue("") String separator) {
        Instant now = plant.now();
        YearMonth asked = ChecksResource.month(month, config.operatorZone(), now);
        All all = months.of(asked, now);
        List<List<String>> rows = new ArrayList<>();
        for (OfSite site : all.sites()) {
            for (OfCabinet cabinet : site.cabinets()) {
                rows.add(row(List.of("cabinet", site.site().name(), cabinet.cabinet().name(), cabinet.cabinet().code()), span(site), cabinet.supply(), List.of("", ""),
                        unfit(site.unfit().stream().filter(each -> each.cabinetId() == cabinet.cabinet().cabinetId()).toList()), cabinet.met()));
            }
            Set<Long> inUse = site.cabinets().stream().map(each -> each.cabinet().cabinetId()).collect(Collectors.toSet());
            site.unfit().stream().filter(each -> !inUse.contains(each.cabinetId())).forEach(each -> rows.add(row(List.of("out of use", site.site().name(), each.name(), each.code()),
                    span(site), SupplyTotal.NOTHING, List.of("", ""), unfit(List.of(each)),
                    MetTotal.of(site.met().stream().filter(met -> met.cabinetId() == each.cabinetId()).toList()))));
            rows.add(row(List.of("site", site.site().name(), "", ""), span(site), site.supply(), counted(site.looks()), List.of(seconds(site.unfitTime()), ""), MetTotal.of(site.met())));
        }
        rows.add(row(List.of("all", "", "", ""), List.of("", ""), all.supply(), counted(all.looks()), List.of(seconds(unfitTime(all)), ""), MetTotal.of(all.met())));
        return Response.ok(CsvFile.BYTE_ORDER_MARK + CsvFile.ofTexts(COLUMNS, rows, separator.equals("semicolon") ? ';' : ','))
                .header(HttpHeaders.CONTENT_DISPOSITION, "attachment; filename=\"month-" + asked + ".csv\"").build();
    }

    private static List<String> span(OfSite site) {
        return List.of(site.span().from().toString(), site.span().until().toString());
    }

    private static List<String> counted(Looks looks) {
        return List.of(Long.toString(looks.onTime()), Long.toString(looks.ended()));
    }

    private static Duration unfitTime(All all) {
        return all.sites().stream().map(OfSite::unfitTime).reduce(Duration.ZERO, Duration::plus);
    }

    /** How long, and each stretch as ISO 8601 has intervals, with its reason; of one that goes on there is no end. */
    private static List<String> unfit(List<UnfitCabinet> of) {
        return List.of(seconds(of.stream().map(each -> each.record().length()).reduce(Duration.ZERO, Duration::plus)),
                of.stream().flatMap(each -> each.record().stretches().stream())
                        .map(each -> each.began() + "/" + each.ended().map(Instant::toString).orElse("..") + " " + each.reason()).collect(Collectors.joining("; ")));
    }

    private static List<String> row(List<String> names, List<String> span, SupplyTotal supply, List<String> looks, List<String> unfit,
            MetTotal met) {
        List<String> row = new ArrayList<>(names);
        row.add(Integer.toString(supply.cabinets()));
        row.addAll(span);
        // Rounded down, as on the page: with a loss in it, it is never the whole.
        row.add(supply.availability().map(share -> String.format(Locale.ROOT, "%.6f", Math.floor(share * MILLION) / MILLION)).orElse(""));
        row.addAll(List.of(seconds(supply.supplied()), seconds(supply.lost()), seconds(supply.unknown()), seconds(supply.excluded()), Integer.toString(supply.losses()),
                supply.longestLoss().map(AllMonthsResource::seconds).orElse(""), supply.meanLoss().map(AllMonthsResource::seconds).orElse("")));
        row.addAll(looks);
        row.addAll(unfit);
        row.add(Integer.toString(met.losses()));
        Stream.of(met.told(), met.taken(), met.attended(), met.restored()).forEach(step -> row.addAll(step(step)));
        return row;
    }

    /** How many, and how long it took; what did not happen took no time. */
    private static List<String> step(Optional<Spread> step) {
        return step.map(times -> List.of(Integer.toString(times.cases()), seconds(times.median()), seconds(times.ninetieth()), seconds(times.worst())))
                .orElse(List.of("0", "", "", ""));
    }

    private static String seconds(Duration length) {
        return Long.toString(length.toSeconds());
    }

    private static String headline(All all) {
        List<OfSite> without = all.sites().stream().filter(site -> !site.supply().lost().isZero()).toList();
        if (all.supply().cabinets() == 0) {
            return "No cabinet is in use anywhere.";
        }
        if (all.supply().known().isZero()) {
            return "Of no cabinet is it known whether it had supply.";
        }
        String share = figures(all.supply()).share();
        return without.isEmpty() ? "Every cabinet of every site had supply for as long as it is known."
                : "With supply for " + share + " of the known time; " + without.size() + " of " + all.sites().size() + (all.sites().size() == 1 ? " site" : " sites") + " had a loss.";
    }

    private static Figures figures(SupplyTotal supply) {
        return new Figures(supply.availability().map(SiteMonth::percent).orElse("not known"), length(supply.lost()), length(supply.unknown()), length(supply.excluded()),
                supply.losses() == 0 ? "none" : supply.losses() + ", longest " + Lengths.words(supply.longestLoss().orElseThrow()) + ", on average "
                        + Lengths.words(supply.meanLoss().orElseThrow()));
    }

    private static String unfit(OfSite site) {
        return site.unfit().isEmpty() ? "none on record" : cabinets(site.unfit().size()) + ", " + Lengths.words(site.unfitTime()) + " together";
    }

    private static String length(Duration length) {
        return length.isZero() ? "–" : Lengths.words(length);
    }

    private static String cabinets(int cabinets) {
        return cabinets == 1 ? "one cabinet" : cabinets + " cabinets";
    }

    private static String looks(Looks looks) {
        if (looks.ended() == 0) {
            return "No look has come to its end.";
        }
        Interval interval = new Share(looks.onTime(), looks.ended()).interval();
        return String.format(Locale.ROOT, "%d of %d %s taken on time. With 95 %% confidence that is %.1f to %.1f %%.", looks.onTime(), looks.ended(),
                looks.ended() == 1 ? "look was" : "looks were", interval.low() * 100, interval.high() * 100);
    }
}
