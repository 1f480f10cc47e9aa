package org.lampkeeper.watch;

import java.time.Duration;
import java.time.Instant;
import java.time.ZoneId;
import java.util.ArrayList;
import java.util.Collection;
import java.util.HashMap;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalLong;
import java.util.function.Supplier;
import java.util.stream.Collectors;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.persistence.EntityManager;
import jakarta.transaction.Transactional;

import org.jboss.logging.Logger;
import org.jspecify.annotations.Nullable;

import org.lampkeeper.quantity.Celsius;
import org.lampkeeper.register.Rows;
import org.lampkeeper.telemetry.Quarters;
import org.lampkeeper.thermal.ContentBody;
import org.lampkeeper.thermal.DayBefore;
import org.lampkeeper.thermal.DayBefore.Seen;
import org.lampkeeper.thermal.Enclosure;
import org.lampkeeper.thermal.Forecast;
import org.lampkeeper.thermal.Leeway;
import org.lampkeeper.thermal.Measured;
import org.lampkeeper.thermal.Nodes;
import org.lampkeeper.thermal.Outside;
import org.lampkeeper.thermal.Situation;
import org.lampkeeper.thermal.StorageLimits;
import org.lampkeeper.thermal.TimeConstant;

/**
 * Makes the forecast of a cabinet's content from what is known at a moment: last temperatures, time constant, limits. Made anew at each question,
 * so with each report. Reads only.
 */
@ApplicationScoped
public class WarmthBook {

    /** Ours: a night and the next; beyond it weather of the day before says little. */
    public static final Duration HORIZON = Duration.ofHours(48);

    /** Ours: a quarter of an hour, as often as a usual sensor reports. */
    private static final Duration APART = Duration.ofMinutes(15);

    private static final double MILLIMETRES = 1000;

    private static final Duration A_DAY_AND_MORE = Duration.ofHours(26);

    /** By the primary keys and sensor_status_by_cabinet. */
    private static final String KNOWN = """
            SELECT c.id, s.zone, st.sensor_id, st.inside_c, st.inside_at, st.outside_c, st.outside_at, k.lowest_c, k.highest_c, w.watt_per_kelvin,
                   w.joule_per_kelvin, w.needs_supply, w.slower_when_warm, l.early_s, l.likely_s, l.late_s, c.site_id, st.content_c, st.content_at,
                   p.outer_early_s, p.outer_likely_s, p.outer_late_s, p.air_by_content_s, p.content_by_air_s, w.surface_w_per_m2k, w.content_mm,
                   w.content_w_per_mk
              FROM cabinet c
              JOIN site s ON s.id = c.site_id
              LEFT JOIN sensor_status st ON st.cabinet_id = c.id
              LEFT JOIN content k ON k.cabinet_id = c.id
              LEFT JOIN warmth w ON w.cabinet_id = c.id
              LEFT JOIN learned_cooling l ON l.cabinet_id = c.id
              LEFT JOIN learned_pair p ON p.cabinet_id = c.id
             WHERE c.id IN (:cabinets)""";

    /** By sensor_quarter_is_unique. */
    private static final String OUTSIDE_BEFORE = """
            SELECT observed_at, outside_c FROM sensor_quarter
             WHERE sensor_id = :sensor AND quarter >= :quarter AND outside_c IS NOT NULL AND observed_at < :last ORDER BY quarter""";

    /** The same for the sensors of many sites at once. */
    private static final String OUTSIDE_BEFORE_EVERYWHERE = """
            SELECT sensor_id, observed_at, outside_c FROM sensor_quarter
             WHERE sensor_id IN (:sensors) AND quarter >= :quarter AND outside_c IS NOT NULL ORDER BY sensor_id, quarter""";

    private static final Logger LOG = Logger.getLogger(WarmthBook.class);

    private final EntityManager entities;

    WarmthBook(EntityManager entities) {
        this.entities = entities;
    }

    /** What is known of one cabinet beside the weather of its site. */
    private record Known(long cabinetId, long siteId, ZoneId zone, OptionalLong sensorId, Optional<Measured> inside, Optional<Seen> outside, StorageLimits limits,
            Optional<Nodes> nodes, boolean needsSupply, boolean slowerIfWarm) {
    }

    /** Empty for a cabinet that is not registered, and where it cannot be worked out. */
    @Transactional
    public Optional<ContentOutlook> outlook(long cabinetId, Instant now) {
        return Optional.ofNullable(outlooks(List.of(cabinetId), now).get(cabinetId));
    }

    /**
     * Those of several cabinets of one site. They stand in the same weather: the day before is that of the first of them that has one, and each
     * begins at what its own sensor says.
     */
    Map<Long, ContentOutlook> outlooks(Collection<Long> cabinetIds, Instant now) {
        Map<Long, ContentOutlook> outlooks = new LinkedHashMap<>();
        if (cabinetIds.isEmpty()) {
            return outlooks;
        }
        List<Known> all = known(cabinetIds, now);
        List<Seen> before = all.stream().filter(each -> each.outside().isPresent() && each.sensorId().isPresent()).findFirst()
                .map(each -> before(each.sensorId().getAsLong(), each.outside().get().at())).orElse(List.of());
        for (Known each : all) {
            tried(each.cabinetId(), () -> outlook(each, before, now)).ifPresent(outlook -> outlooks.put(each.cabinetId(), outlook));
        }
        return outlooks;
    }

    /** In whole sentences, of cabinets wherever they stand: two statements, however many. What cannot be worked out is not among them. */
    @Transactional
    public Map<Long, List<String>> sentences(Collection<Long> cabinetIds, Instant now) {
        if (cabinetIds.isEmpty()) {
            return Map.of();
        }
        Map<Long, List<Known>> bySite = known(cabinetIds, now).stream().collect(Collectors.groupingBy(Known::siteId));
        Map<Long, Known> weather = new HashMap<>();
        bySite.forEach((site, all) -> all.stream().filter(each -> each.outside().isPresent() && each.sensorId().isPresent()).findFirst()
                .ifPresent(first -> weather.put(site, first)));
        Map<Long, List<Seen>> before = before(weather.values());
        Map<Long, List<String>> sentences = new HashMap<>();
        bySite.forEach((site, all) -> {
            List<Seen> seen = weather.containsKey(site) ? before.getOrDefault(weather.get(site).sensorId().getAsLong(), List.of()) : List.of();
            all.forEach(each -> tried(each.cabinetId(), () -> outlook(each, seen, now)).ifPresent(outlook -> sentences.put(each.cabinetId(), outlook.sentences(now))));
        });
        return sentences;
    }

    private Map<Long, List<Seen>> before(Collection<Known> weather) {
        Map<Long, List<Seen>> before = new HashMap<>();
        if (weather.isEmpty()) {
            return before;
        }
        Instant first = weather.stream().map(each -> each.outside().orElseThrow().at()).min(Instant::compareTo).orElseThrow();
        for (Object found : entities.createNativeQuery(OUTSIDE_BEFORE_EVERYWHERE).setParameter("sensors", weather.stream().map(each -> each.sensorId().getAsLong()).toList())
                .setParameter("quarter", Quarters.of(first.minus(A_DAY_AND_MORE))).getResultList()) {
            Object[] row = (Object[]) found;
            before.computeIfAbsent(Rows.number(row[0]), any -> new ArrayList<>()).add(new Seen(Rows.instant(row[1]), new Celsius(((Number) row[2]).doubleValue())));
        }
        return before;
    }

    private static ContentOutlook outlook(Known each, List<Seen> before, Instant now) {
        Optional<Outside> outside = each.outside().map(last -> DayBefore.ahead(before.stream().filter(seen -> seen.at().isBefore(last.at())).toList(), last,
                HORIZON.plus(Forecast.OLDEST)));
        Situation situation = new Situation(each.inside(), outside, each.nodes(), each.limits(), Leeway.USUAL);
        return new ContentOutlook(each.cabinetId(), each.zone(), situation, Forecast.of(situation, HORIZON, now), each.needsSupply(), each.slowerIfWarm());
    }

    /**
     * Empty where something cannot be worked out. It is asked for while a loss is written down, which must not fail for what is only said about
     * it: this is the one place where a fault of ours is taken for no answer.
     */
    private static <T> Optional<T> tried(long cabinetId, Supplier<T> working) {
        try {
            return Optional.of(working.get());
        } catch (IllegalArgumentException | IllegalStateException | ArithmeticException notWorkedOut) {
            LOG.errorf(notWorkedOut, "cabinet %d: no forecast could be made of what is known", cabinetId);
            return Optional.empty();
        }
    }

    private List<Known> known(Collection<Long> cabinetIds, Instant now) {
        List<Known> all = new ArrayList<>();
        for (Object found : entities.createNativeQuery(KNOWN).setParameter("cabinets", cabinetIds).getResultList()) {
            Object[] row = (Object[]) found;
            tried(Rows.number(row[0]), () -> known(row, now)).ifPresent(all::add);
        }
        return all;
    }

    private static Known known(Object[] row, Instant now) {
        Optional<Measured> measured = measured(seen(row[4], row[3]), seen(row[18], row[17]));
        // All are taken as of the moment of the inside: from there it is reckoned.
        Optional<Seen> outside = seen(row[6], row[5]).filter(seen -> !seen.at().plus(Forecast.OLDEST).isBefore(now))
                .map(seen -> new Seen(measured.map(Measured::at).orElse(seen.at()), seen.celsius()));
        return new Known(Rows.number(row[0]), Rows.number(row[16]), ZoneId.of((String) row[1]), row[2] == null ? OptionalLong.empty() : OptionalLong.of(Rows.number(row[2])),
                measured, outside, new StorageLimits(celsius(row[7]), celsius(row[8])), nodes(row, measured), row[11] != null && (Boolean) row[11],
                row[12] != null && (Boolean) row[12]);
    }

    /** Of two that were measured more than a quarter of an hour apart only the newer one: a thermometer that has failed says nothing of now. */
    private static Optional<Measured> measured(Optional<Seen> inside, Optional<Seen> content) {
        if (content.isEmpty() || inside.isEmpty()) {
            return inside.map(air -> new Measured(air.at(), air.celsius(), Optional.empty()))
                    .or(() -> content.map(it -> new Measured(it.at(), it.celsius(), Optional.of(it.celsius()))));
        }
        Seen air = inside.get();
        Seen itself = content.get();
        if (itself.at().plus(APART).isBefore(air.at())) {
            return Optional.of(new Measured(air.at(), air.celsius(), Optional.empty()));
        }
        return Optional.of(air.at().plus(APART).isBefore(itself.at()) ? new Measured(itself.at(), itself.celsius(), Optional.of(itself.celsius()))
                : new Measured(air.at(), air.celsius(), Optional.of(itself.celsius())));
    }

    /** As two bodies where both are measured and were learnt; else as one: learnt where it is, else worked out from walls and masses, else not known. */
    private static Optional<Nodes> nodes(Object[] row, Optional<Measured> measured) {
        boolean areBothMeasured = row[4] != null && measured.filter(it -> it.device().isPresent() && it.at().equals(Rows.instant(row[4]))).isPresent();
        if (areBothMeasured && row[20] != null) {
            return Optional.of(new Nodes.TwoNodes(new TimeConstant(seconds(row[19]), seconds(row[20]), seconds(row[21]), TimeConstant.Basis.LEARNED),
                    seconds(row[22]), seconds(row[23])));
        }
        if (row[14] != null) {
            return Optional.of(new Nodes.OneNode(new TimeConstant(seconds(row[13]), seconds(row[14]), seconds(row[15]), TimeConstant.Basis.LEARNED)));
        }
        return row[9] == null ? Optional.empty() : Optional.of(new Nodes.OneNode(nominal(row)));
    }

    private static TimeConstant nominal(Object[] row) {
        Enclosure enclosure = new Enclosure(((Number) row[9]).doubleValue(), ((Number) row[10]).doubleValue());
        return row[24] == null ? enclosure.timeConstant() : enclosure.timeConstant(new ContentBody(((Number) row[24]).doubleValue(),
                ((Number) row[25]).doubleValue() / MILLIMETRES, ((Number) row[26]).doubleValue()));
    }

    private List<Seen> before(long sensorId, Instant last) {
        List<Seen> seen = new ArrayList<>();
        for (Object found : entities.createNativeQuery(OUTSIDE_BEFORE).setParameter("sensor", sensorId)
                .setParameter("quarter", Quarters.of(last.minus(A_DAY_AND_MORE))).setParameter("last", last).getResultList()) {
            Object[] row = (Object[]) found;
            seen.add(new Seen(Rows.instant(row[0]), new Celsius(((Number) row[1]).doubleValue())));
        }
        return seen;
    }

    private static Optional<Seen> seen(@Nullable Object at, @Nullable Object celsius) {
        return at == null || celsius == null ? Optional.empty()
                : Optional.of(new Seen(Rows.instant(at), new Celsius(((Number) celsius).doubleValue())));
    }

    private static Optional<Celsius> celsius(@Nullable Object value) {
        return Optional.ofNullable(value).map(it -> new Celsius(((Number) it).doubleValue()));
    }

    private static Duration seconds(Object value) {
        return Duration.ofMillis(Math.round(((Number) value).doubleValue() * 1000));
    }
}
