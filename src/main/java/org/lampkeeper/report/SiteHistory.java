package org.lampkeeper.report;

import java.io.UncheckedIOException;
import java.time.Duration;
import java.time.Instant;
import java.time.ZoneId;
import java.util.ArrayList;
import java.util.HashMap;
import java.util.HashSet;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.Set;
import java.util.TreeMap;
import java.util.stream.Collectors;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.persistence.EntityManager;
import jakarta.transaction.Transactional;

import com.fasterxml.jackson.core.JsonProcessingException;
import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectMapper;
import org.jspecify.annotations.Nullable;

import org.lampkeeper.register.CabinetName;
import org.lampkeeper.register.CabinetSheet;
import org.lampkeeper.register.Register;
import org.lampkeeper.register.Rows;
import org.lampkeeper.report.FitnessFact.CameBack;
import org.lampkeeper.report.FitnessFact.Dated;
import org.lampkeeper.report.FitnessFact.Found;
import org.lampkeeper.report.FitnessFact.Lapse;
import org.lampkeeper.report.FitnessFact.LeftUse;
import org.lampkeeper.report.FitnessFact.NotLost;
import org.lampkeeper.report.FitnessFact.Said;
import org.lampkeeper.report.FitnessFact.Settled;
import org.lampkeeper.report.FitnessFact.Verdict;
import org.lampkeeper.report.MonthTemperatures.Day;
import org.lampkeeper.report.MonthTemperatures.Range;
import org.lampkeeper.report.SupplyFact.Dip;
import org.lampkeeper.report.SupplyFact.Heard;
import org.lampkeeper.report.SupplyFact.Lost;
import org.lampkeeper.report.SupplyFact.NotListening;
import org.lampkeeper.report.SupplyFact.Quiet;
import org.lampkeeper.report.SupplyFact.Returned;
import org.lampkeeper.report.SupplyFact.SensorGone;
import org.lampkeeper.report.UnfitRecord.Reason;

/** What was written down about the supply of a site, and about how losses were met. */
@ApplicationScoped
public class SiteHistory {

    private static final String ENTRIES = "SELECT e.cabinet_id, e.at, e.kind, e.body, e.alarm_id FROM journal_entry e WHERE ";

    /** By journal_entry_by_site_and_kind. */
    private static final String OF_SITE = "e.site_id = :id AND e.cabinet_id IS NOT NULL";

    /** By journal_entry_by_cabinet. */
    private static final String OF_CABINET = "e.cabinet_id = :id";

    /** From the very beginning, for how it was when a month began was written down before it. */
    private static final String SUPPLY = """
             AND e.kind IN ('first-report-heard', 'loss-confirmed', 'supply-returned', 'dip-ended', 'sensor-went-silent',
                   'sensor-heard-again', 'link-went-down', 'sensor-retired', 'cabinet-taken-out-of-use')
             ORDER BY e.id""";

    /** The same. */
    private static final String FITNESS = """
             AND e.kind IN ('alarm-raised', 'alarm-raised-again', 'alarm-returned', 'alarm-ended-with-sensor', 'attendance-written',
                   'attendance-completed', 'attendance-corrected', 'attendance-not-recorded', 'cabinet-taken-out-of-use', 'cabinet-brought-back-into-use', 'content-changed')
             ORDER BY e.id""";

    /** The alarms whose condition makes a cabinet unfit while it lasts. */
    private static final Map<String, Reason> UNFIT = Map.of("CONTENT_TOO_COLD", Reason.TOO_COLD, "CONTENT_TOO_HOT", Reason.TOO_HOT, "DAMAGE_SEEN", Reason.DAMAGED);

    /** Of the installation, site 0. By journal_entry_by_site_and_kind. */
    private static final String LISTENED = """
            SELECT e.at, e.body FROM journal_entry e WHERE e.site_id = 0 AND e.kind = 'listening-began' ORDER BY e.id""";

    /** By suppression_by_site. */
    private static final String HELD = """
            SELECT s.board_id, s.cabinet_id, s.starts_at, CASE WHEN s.ended_at < s.ends_at THEN s.ended_at ELSE s.ends_at END
              FROM suppression s
             WHERE s.site_id = :site AND s.ends_at > :from AND s.starts_at < :until
             ORDER BY s.starts_at, s.id""";

    /**
     * The alarms that had a loss in this time, and some more: the last loss of an alarm is in its row, the earlier ones only in the journal. A first loss
     * of which Lampkeeper heard a month late is not among them where its alarm was raised again.
     */
    private static final String OF_LOSSES = """
              FROM alarm a JOIN cabinet c ON c.id = a.cabinet_id
            %s
             WHERE c.site_id = :site AND a.kind = 'SUPPLY_LOST' AND a.since >= :from AND (a.since < :until OR a.raised_at < :late)""";

    /** By alarm_by_cabinet and journal_entry_by_alarm. */
    private static final String LOSSES = "SELECT a.id, a.cabinet_id, e.kind, e.at, e.body" + OF_LOSSES.formatted("JOIN journal_entry e ON e.alarm_id = a.id") + """
             AND e.kind IN ('alarm-raised', 'alarm-raised-again', 'alarm-acknowledged', 'alarm-returned', 'call-out-opened', 'alarm-joined-call-out')
             ORDER BY a.id, e.id""";

    /** By alarm_by_call_out and journal_entry_by_alarm: a message names one of those that it tells of. Messages themselves are not kept for as long. */
    private static final String TOLD = """
            SELECT e.at, e.body FROM alarm a JOIN journal_entry e ON e.alarm_id = a.id
             WHERE a.call_out_id IN (:callOuts) AND e.kind = 'message-sent'""";

    /** By attendance_entry_number_is_unique. */
    private static final String ARRIVED = "SELECT a.id, t.arrived_at" + OF_LOSSES.formatted("JOIN attendance_entry t ON t.alarm_id = a.id") + """
             AND t.arrived_at IS NOT NULL""";

    /** By the keys of sensor and sensor_day. What sensors measured is no part of the journal; a cabinet whose sensor was changed that day has the newer one's. */
    private static final String DAYS = """
            SELECT e.cabinet_id, d.on_day, d.inside_min_c, d.inside_mean_c, d.inside_max_c, d.outside_min_c, d.outside_mean_c, d.outside_max_c,
                   d.content_min_c, d.content_mean_c, d.content_max_c
              FROM sensor e JOIN cabinet c ON c.id = e.cabinet_id JOIN sensor_day d ON d.sensor_id = e.id
             WHERE c.site_id = :site AND d.on_day >= :from AND d.on_day < :until
             ORDER BY e.cabinet_id, d.on_day, e.id""";

    private static final Duration A_DAY = Duration.ofDays(1);

    /** Ours: what sensors kept to say later is there within it. */
    private static final Duration LATEST = Duration.ofDays(31);

    /** The purpose of a message that asks somebody to take an alarm, not of one that tells what became of it. */
    private static final String ASKS = "ALARM";

    /** Ours: so many call-outs are asked for with one statement. */
    private static final int AT_ONCE = 500;

    private static final ObjectMapper JSON = new ObjectMapper();

    private final EntityManager entities;
    private final Register register;

    SiteHistory(EntityManager entities, Register register) {
        this.entities = entities;
        this.register = register;
    }

    /** The supply of each cabinet in use at a site, by its id. */
    @Transactional
    public Map<Long, SupplyRecord> supply(long siteId, Span span) {
        Map<Long, List<SupplyFact>> facts = written(OF_SITE, siteId);
        List<SupplyFact> deaf = notListening();
        List<Object[]> held = rows(HELD, siteId, span);
        Map<Long, SupplyRecord> records = new HashMap<>();
        for (CabinetSheet cabinet : register.sheetsOfSite(siteId)) {
            List<SupplyFact> own = new ArrayList<>(facts.getOrDefault(cabinet.cabinetId(), List.of()));
            own.addAll(deaf);
            records.put(cabinet.cabinetId(), SupplyRecord.of(own, held.stream().filter(row -> isOf(row, cabinet)).map(SiteHistory::stretch).toList(), span));
        }
        return records;
    }

    /** The supply of one cabinet, in use or not; of one that is not, work on the board that fed it is not known to be about it any more. */
    @Transactional
    public SupplyRecord supplyOf(CabinetName cabinet, Span span) {
        Optional<CabinetSheet> sheet = register.findSheet(cabinet.cabinetId());
        List<SupplyFact> own = new ArrayList<>(written(OF_CABINET, cabinet.cabinetId()).getOrDefault(cabinet.cabinetId(), List.of()));
        own.addAll(notListening());
        return SupplyRecord.of(own, rows(HELD, cabinet.site().id(), span).stream().filter(row -> sheet.isPresent() ? isOf(row, sheet.get())
                : row[0] == null && (row[1] == null || Rows.number(row[1]) == cabinet.cabinetId())).map(SiteHistory::stretch).toList(), span);
    }

    /** When each cabinet of a site was not fit for use, in use or not, by its id; without those of which nothing is on record in this time. */
    @Transactional
    public Map<Long, UnfitRecord> unfit(long siteId, Span span, Instant now) {
        Map<Long, UnfitRecord> unfit = new HashMap<>();
        fitness(OF_SITE, siteId, zone(siteId)).forEach((cabinet, facts) -> {
            UnfitRecord record = UnfitRecord.of(facts, span, now);
            if (!record.stretches().isEmpty()) {
                unfit.put(cabinet, record);
            }
        });
        return unfit;
    }

    /** The same of one cabinet. */
    @Transactional
    public UnfitRecord unfitOf(CabinetName cabinet, Span span, Instant now) {
        return UnfitRecord.of(fitness(OF_CABINET, cabinet.cabinetId(), zone(cabinet.site().id())).getOrDefault(cabinet.cabinetId(), List.of()), span, now);
    }

    private ZoneId zone(long siteId) {
        return register.site(siteId).orElseThrow(() -> new IllegalArgumentException("there is no site " + siteId)).zone();
    }

    private Map<Long, List<FitnessFact>> fitness(String whose, long id, ZoneId zone) {
        Map<Long, List<FitnessFact>> facts = new HashMap<>();
        for (Object found : entities.createNativeQuery(ENTRIES + whose + ' ' + FITNESS).setParameter("id", id).getResultList()) {
            Object[] row = (Object[]) found;
            fitness((String) row[2], Rows.instant(row[1]), (String) row[3], row[4] == null ? 0 : Rows.number(row[4]), zone)
                    .ifPresent(fact -> facts.computeIfAbsent(Rows.number(row[0]), any -> new ArrayList<>()).add(fact));
        }
        return facts;
    }

    /** Empty for what says nothing of it. */
    private static Optional<FitnessFact> fitness(String kind, Instant written, String text, long alarm, ZoneId zone) {
        boolean isOfAlarm = kind.startsWith("alarm-");
        if (isOfAlarm && !text.contains("\"SUPPLY_LOST\"") && UNFIT.keySet().stream().noneMatch(each -> text.contains('"' + each + '"'))) {
            return Optional.empty();
        }
        JsonNode body = read(text);
        if (isOfAlarm) {
            return ofAlarm(kind, written, body, body.required("alarm-kind").asText());
        }
        if (kind.equals("content-changed")) {
            // Of a change of something else they are not in it.
            return body.at("/after").has("parts") ? Optional.of(new Dated(lapses(body.at("/after/parts"), zone), written)) : Optional.empty();
        }
        return Optional.of(switch (kind) {
            case "attendance-written", "attendance-completed", "attendance-corrected", "attendance-not-recorded" -> new Said(alarm, body.required("visit").asInt(),
                    switch (body.path("fit").asText()) {
                        case "YES" -> Verdict.FIT;
                        case "NO" -> Verdict.NOT_FIT;
                        default -> Verdict.OPEN;
                    }, body.has("arrived") ? at(body, "arrived") : written, written);
            case "cabinet-taken-out-of-use" -> new LeftUse(body.at("/after/reason").asText(), written);
            case "cabinet-brought-back-into-use" -> new CameBack(written);
            default -> throw new IllegalStateException("journal entry without a rule: " + kind);
        });
    }

    private static List<Lapse> lapses(JsonNode parts, ZoneId zone) {
        List<Lapse> lapses = new ArrayList<>();
        parts.forEach(part -> lapses.add(Lapse.of(part.asText(), zone)));
        return lapses;
    }

    private static Optional<FitnessFact> ofAlarm(String kind, Instant written, JsonNode body, String alarmKind) {
        @Nullable Reason reason = UNFIT.get(alarmKind);
        boolean isRaised = kind.equals("alarm-raised") || kind.equals("alarm-raised-again");
        if (reason != null) {
            // One whose sensor was taken away is not settled by that.
            return isRaised ? Optional.of(new Found(reason, at(body, "since")))
                    : kind.equals("alarm-returned") ? Optional.of(new Settled(reason, at(body, "at"))) : Optional.empty();
        }
        if (!alarmKind.equals("SUPPLY_LOST")) {
            return Optional.empty();
        }
        if (isRaised) {
            return body.has("past-limit-early") ? Optional.of(new FitnessFact.Lost(at(body, "since"), at(body, "past-limit-early"))) : Optional.empty();
        }
        return Optional.of(new NotLost(kind.equals("alarm-returned") ? at(body, "at") : written));
    }

    private Map<Long, List<SupplyFact>> written(String whose, long id) {
        Map<Long, List<SupplyFact>> facts = new HashMap<>();
        for (Object found : entities.createNativeQuery(ENTRIES + whose + ' ' + SUPPLY).setParameter("id", id).getResultList()) {
            Object[] row = (Object[]) found;
            facts.computeIfAbsent(Rows.number(row[0]), any -> new ArrayList<>()).add(fact((String) row[2], Rows.instant(row[1]), read((String) row[3])));
        }
        return facts;
    }

    /** How each loss that began in this time was met, by alarm and in order. */
    @Transactional
    public List<Met> met(long siteId, Span span) {
        Map<Long, List<Met.Fact>> facts = new TreeMap<>();
        Map<Long, Long> cabinets = new HashMap<>();
        Map<Long, Set<Long>> callOuts = new HashMap<>();
        for (Object[] row : ofLosses(LOSSES, siteId, span)) {
            long alarm = Rows.number(row[0]);
            String kind = (String) row[2];
            JsonNode body = read((String) row[4]);
            cabinets.put(alarm, Rows.number(row[1]));
            if (body.has("call-out")) {
                callOuts.computeIfAbsent(alarm, any -> new HashSet<>()).add(body.get("call-out").asLong());
            } else {
                facts.computeIfAbsent(alarm, any -> new ArrayList<>()).add(met(kind, Rows.instant(row[3]), body));
            }
        }
        Map<Long, List<Instant>> told = told(callOuts.values().stream().flatMap(Set::stream).distinct().toList());
        callOuts.forEach((alarm, its) -> its.forEach(callOut -> told.getOrDefault(callOut, List.of()).forEach(at -> facts.get(alarm).add(new Met.Fact.Told(at)))));
        for (Object[] row : ofLosses(ARRIVED, siteId, span)) {
            facts.get(Rows.number(row[0])).add(new Met.Fact.Arrived(Rows.instant(row[1])));
        }
        return facts.entrySet().stream().flatMap(each -> Met.of(cabinets.get(each.getKey()), each.getValue(), span).stream()).toList();
    }

    private Map<Long, List<Instant>> told(List<Long> callOuts) {
        Map<Long, List<Instant>> told = new HashMap<>();
        for (int from = 0; from < callOuts.size(); from += AT_ONCE) {
            for (Object found : entities.createNativeQuery(TOLD).setParameter("callOuts", callOuts.subList(from, Math.min(callOuts.size(), from + AT_ONCE))).getResultList()) {
                Object[] row = (Object[]) found;
                JsonNode body = read((String) row[1]);
                if (body.path("purpose").asText().equals(ASKS)) {
                    told.computeIfAbsent(body.path("callOut").asLong(), any -> new ArrayList<>()).add(Rows.instant(row[0]));
                }
            }
        }
        return told;
    }

    private List<Object[]> ofLosses(String sql, long siteId, Span span) {
        return ((List<?>) entities.createNativeQuery(sql).setParameter("site", siteId).setParameter("from", span.from()).setParameter("until", span.until())
                .setParameter("late", span.until().plus(LATEST)).getResultList()).stream().map(row -> (Object[]) row).toList();
    }

    private static Met.Fact met(String kind, Instant written, JsonNode body) {
        return switch (kind) {
            case "alarm-raised", "alarm-raised-again" -> new Met.Fact.Began(at(body, "since"), written);
            case "alarm-acknowledged" -> new Met.Fact.Taken(written);
            case "alarm-returned" -> new Met.Fact.Restored(at(body, "at"));
            default -> throw new IllegalStateException("journal entry without a rule: " + kind);
        };
    }

    /** The days of a month that are over, of each cabinet of which any is on record, in order. */
    @Transactional
    public Map<Long, List<Day>> warmth(long siteId, Span span) {
        Map<Long, TreeMap<Long, Day>> days = new HashMap<>();
        for (Object found : entities.createNativeQuery(DAYS).setParameter("site", siteId).setParameter("from", day(span.from()))
                .setParameter("until", day(span.until().plus(A_DAY).minusSeconds(1))).getResultList()) {
            Object[] row = (Object[]) found;
            days.computeIfAbsent(Rows.number(row[0]), any -> new TreeMap<>()).put(Rows.number(row[1]), new Day(Rows.number(row[1]), range(row, 2), range(row, 8), range(row, 5)));
        }
        return days.entrySet().stream().collect(Collectors.toMap(Map.Entry::getKey, each -> List.copyOf(each.getValue().values())));
    }

    private static int day(Instant at) {
        return (int) Math.floorDiv(at.getEpochSecond(), A_DAY.toSeconds());
    }

    private static Optional<Range> range(Object[] row, int at) {
        return row[at] == null ? Optional.empty() : Optional.of(new Range(decimal(row[at]), decimal(row[at + 1]), decimal(row[at + 2])));
    }

    private static double decimal(Object value) {
        return ((Number) value).doubleValue();
    }

    private List<SupplyFact> notListening() {
        List<SupplyFact> deaf = new ArrayList<>();
        for (Object found : entities.createNativeQuery(LISTENED).getResultList()) {
            Object[] row = (Object[]) found;
            JsonNode body = read((String) row[1]);
            // The first time of all there was nothing before it.
            if (body.has("last-listened") && Instant.parse(body.get("last-listened").asText()).isBefore(Rows.instant(row[0]))) {
                deaf.add(new NotListening(new Span(Instant.parse(body.get("last-listened").asText()), Rows.instant(row[0]))));
            }
        }
        return deaf;
    }

    private static SupplyFact fact(String kind, Instant written, JsonNode body) {
        return switch (kind) {
            case "first-report-heard", "sensor-heard-again" -> new Heard(at(body, "at"));
            case "loss-confirmed" -> new Lost(at(body, "since"));
            case "supply-returned" -> new Returned(at(body, "at"));
            case "dip-ended" -> new Dip(at(body, "from"), at(body, "to"));
            case "sensor-went-silent" -> new Quiet(at(body, "last-report"));
            case "link-went-down" -> new Quiet(at(body, "at"));
            case "sensor-retired", "cabinet-taken-out-of-use" -> new SensorGone(written);
            default -> throw new IllegalStateException("journal entry without a rule: " + kind);
        };
    }

    private static boolean isOf(Object[] held, CabinetSheet cabinet) {
        boolean ofAll = held[0] == null && held[1] == null;
        boolean ofBoard = held[0] != null && Rows.number(held[0]) == cabinet.board().id();
        return ofAll || ofBoard || held[1] != null && Rows.number(held[1]) == cabinet.cabinetId();
    }

    private static Span stretch(Object[] held) {
        Instant from = Rows.instant(held[2]);
        Instant until = Rows.instant(held[3]);
        return new Span(from, until.isBefore(from) ? from : until);
    }

    private List<Object[]> rows(String sql, long siteId, Span span) {
        List<Object[]> rows = new ArrayList<>();
        for (Object row : entities.createNativeQuery(sql).setParameter("site", siteId).setParameter("from", span.from()).setParameter("until", span.until())
                .getResultList()) {
            rows.add((Object[]) row);
        }
        return rows;
    }

    private static Instant at(JsonNode body, String name) {
        return Instant.parse(body.required(name).asText());
    }

    private static JsonNode read(String body) {
        try {
            return JSON.readTree(body);
        } catch (JsonProcessingException broken) {
            throw new UncheckedIOException("journal entry is not readable: " + body, broken);
        }
    }
}
