package org.lampkeeper.web;

import java.time.Duration;
import java.time.Instant;
import java.time.YearMonth;
import java.util.ArrayList;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.stream.Collectors;

import jakarta.enterprise.context.ApplicationScoped;

import org.lampkeeper.register.CabinetSheet;
import org.lampkeeper.register.Register;
import org.lampkeeper.register.SiteSheet;
import org.lampkeeper.report.Met;
import org.lampkeeper.report.MetTotal;
import org.lampkeeper.report.SiteHistory;
import org.lampkeeper.report.Span;
import org.lampkeeper.report.SupplyRecord;
import org.lampkeeper.report.SupplyTotal;
import org.lampkeeper.report.UnfitCabinet;
import org.lampkeeper.watch.WatchConfig;

/** A month of every site: each cabinet by itself, each site, and all together, by the arithmetic of the month of one site. */
@ApplicationScoped
public class AllMonths {

    /** By check_due_by_site_and_day; what nobody was asked for, and what has not come to its end, is no look on time, as on the sheet of a month. */
    private static final String LOOKS = """
            SELECT d.site_id, d.state, COUNT(*) AS looks FROM check_due d
             WHERE d.site_id = ANY (?) AND d.on_day >= ? AND d.on_day < ? AND d.withdrawn_at IS NULL AND d.from_label = FALSE
               AND d.state = ANY (ARRAY['DONE', 'MISSED'])
             GROUP BY d.site_id, d.state""";

    private final SiteHistory history;
    private final Register register;
    private final Reads reads;
    private final WatchConfig config;

    AllMonths(SiteHistory history, Register register, Reads reads, WatchConfig config) {
        this.history = history;
        this.register = register;
        this.reads = reads;
        this.config = config;
    }

    /** What came to its end, and how much of it was taken on time. */
    public record Looks(long onTime, long ended) {

        public static final Looks NONE = new Looks(0, 0);

        Looks plus(Looks other) {
            return new Looks(onTime + other.onTime, ended + other.ended);
        }
    }

    /** @param met how its losses were met */
    public record OfCabinet(CabinetSheet cabinet, SupplyTotal supply, MetTotal met) {
    }

    /**
     * @param span  what of the month is over, on the clocks of the site
     * @param unfit the cabinets that were not fit for use at any time of it, in use or not
     */
    public record OfSite(SiteSheet site, Span span, List<OfCabinet> cabinets, SupplyTotal supply, List<Met> met, Looks looks, List<UnfitCabinet> unfit) {

        public OfSite {
            cabinets = List.copyOf(cabinets);
            met = List.copyOf(met);
            unfit = List.copyOf(unfit);
        }

        /** How long its cabinets were not fit for use, summed. */
        public Duration unfitTime() {
            return unfit.stream().map(each -> each.record().length()).reduce(Duration.ZERO, Duration::plus);
        }
    }

    /** @param sites in the order of the register */
    public record All(YearMonth month, List<OfSite> sites, SupplyTotal supply, List<Met> met, Looks looks) {

        public All {
            sites = List.copyOf(sites);
            met = List.copyOf(met);
        }
    }

    /** The month that {@code now} is in, on the clocks of the operator. */
    public YearMonth present(Instant now) {
        return YearMonth.from(now.atZone(config.operatorZone()));
    }

    /** For whoever sees every site; each has its own first midnight. */
    public All of(YearMonth month, Instant now) {
        List<SiteSheet> sites = register.sites();
        Map<Long, Looks> looks = looks(sites, month);
        List<OfSite> told = new ArrayList<>();
        for (SiteSheet site : sites) {
            Span span = SiteMonths.over(month, site, now);
            Map<Long, SupplyRecord> records = history.supply(site.id(), span);
            List<CabinetSheet> inUse = register.sheetsOfSite(site.id());
            List<Met> met = history.met(site.id(), span);
            Map<Long, List<Met>> metOf = met.stream().collect(Collectors.groupingBy(Met::cabinetId));
            List<OfCabinet> cabinets = inUse.stream().map(cabinet -> new OfCabinet(cabinet, SupplyTotal.of(records.get(cabinet.cabinetId())),
                    MetTotal.of(metOf.getOrDefault(cabinet.cabinetId(), List.of())))).toList();
            told.add(new OfSite(site, span, cabinets, SupplyTotal.of(records.values()), met, looks.getOrDefault(site.id(), Looks.NONE),
                    UnfitCabinet.of(inUse, register.outOfUseAt(site.id()), history.unfit(site.id(), span, now))));
        }
        return new All(month, told, told.stream().map(OfSite::supply).reduce(SupplyTotal.NOTHING, SupplyTotal::plus), told.stream().flatMap(each -> each.met().stream()).toList(),
                told.stream().map(OfSite::looks).reduce(Looks.NONE, Looks::plus));
    }

    private Map<Long, Looks> looks(List<SiteSheet> sites, YearMonth month) {
        Map<Long, Looks> looks = new HashMap<>();
        reads.list(LOOKS, row -> Map.entry(row.number("site_id"), new Looks(row.text("state").equals("DONE") ? row.number("looks") : 0, row.number("looks"))),
                sites.stream().map(SiteSheet::id).toArray(Long[]::new), month.atDay(1), month.plusMonths(1).atDay(1))
                .forEach(each -> looks.merge(each.getKey(), each.getValue(), Looks::plus));
        return looks;
    }
}
