package org.lampkeeper.report;

import java.time.Duration;
import java.time.Instant;
import java.time.temporal.ChronoUnit;
import java.util.ArrayList;
import java.util.EnumMap;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.Set;
import java.util.TreeMap;
import java.util.TreeSet;
import java.util.regex.Matcher;
import java.util.regex.Pattern;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.persistence.EntityManager;
import jakarta.persistence.Query;
import jakarta.transaction.Transactional;

import com.fasterxml.jackson.core.JsonProcessingException;
import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectMapper;
import com.fasterxml.jackson.databind.node.ObjectNode;
import org.jspecify.annotations.Nullable;

import org.lampkeeper.journal.Head;
import org.lampkeeper.journal.Journal;
import org.lampkeeper.journal.JournalExtract;
import org.lampkeeper.journal.JournalExtract.Line;
import org.lampkeeper.journal.JournalExtract.Says;
import org.lampkeeper.journal.JournalExtract.Told;
import org.lampkeeper.register.CabinetName;
import org.lampkeeper.register.Rows;
import org.lampkeeper.report.Evidence.Cabinet;
import org.lampkeeper.report.Evidence.Part;
import org.lampkeeper.report.Evidence.Signed;
import org.lampkeeper.report.Evidence.Stretch;
import org.lampkeeper.report.Evidence.Table;

/** Gathers what there is about a cabinet in a stretch of time. Changes nothing. */
@ApplicationScoped
public class EvidenceBook {

    /** By journal_entry_by_cabinet. */
    private static final String NUMBERS = """
            SELECT MIN(e.seal_number), MAX(e.seal_number) FROM journal_entry e WHERE e.cabinet_id = :cabinet AND e.at >= :from AND e.at < :until""";

    /** By journal_entry_by_cabinet. */
    private static final String RECORDED = """
            SELECT e.kind, e.body FROM journal_entry e WHERE e.cabinet_id = :cabinet AND e.at < :from
               AND (e.kind LIKE 'cabinet-%' OR e.kind LIKE 'circuit-%' OR e.kind LIKE 'content-%' OR e.kind LIKE 'warmth-%') ORDER BY e.id""";

    /** By journal_entry_by_site_and_kind. */
    private static final String RECORDED_AT_SITE = """
            SELECT e.kind, e.body FROM journal_entry e WHERE e.site_id = :site AND e.at < :from
               AND e.kind IN ('site-registered', 'site-changed', 'board-registered', 'board-changed') ORDER BY e.id""";

    /** By journal_entry_by_kind: a board of another site may feed it, and of boards there are few. */
    private static final String RECORDED_BOARDS = """
            SELECT e.kind, e.body, s.name FROM journal_entry e JOIN site s ON s.id = e.site_id
             WHERE e.kind IN ('board-registered', 'board-changed') AND e.at < :from AND e.site_id <> :site ORDER BY e.id""";

    /** By alarm_by_cabinet. */
    private static final String ALARMS = """
            SELECT a.id, a.kind, a.state, a.since, a.raised_at, a.acknowledged_at, p.reference, a.returned_at, a.closed_at
              FROM alarm a LEFT JOIN person p ON p.id = a.acknowledged_by
             WHERE a.cabinet_id = :cabinet AND a.since < :until AND (a.closed_at IS NULL OR a.closed_at >= :from) ORDER BY a.since, a.id""";

    /** By outgoing_message_key_is_unique. Not their text: it has the way in, and a link with which whoever holds it takes the alarm. */
    private static final String MESSAGES = """
            SELECT m.message_key, m.purpose, p.reference, m.channel, m.subject, m.created_at, m.state, m.attempts, m.ended_at, m.arrival, m.arrival_at,
                   m.last_error
              FROM outgoing_message m LEFT JOIN person p ON p.id = m.person_id WHERE m.message_key IN (:keys) ORDER BY m.created_at, m.id""";

    /** By check_due_by_cabinet_and_day and check_record_by_due. */
    private static final String LOOKS = """
            SELECT d.kind, d.on_day, d.opens_at, d.closes_at, d.state, r.answer, r.looked_at, r.received_at, p.reference, r.is_counted, r.at_cabinet, r.note,
                   r.reading, f.sha256, f.picture
              FROM check_due d
              LEFT JOIN check_record r ON r.due_id = d.id
              LEFT JOIN person p ON p.id = r.person_id
              LEFT JOIN check_photo f ON f.record_id = r.id
             WHERE d.cabinet_id = :cabinet AND d.opens_at < :until AND d.missed_at >= :from AND d.withdrawn_at IS NULL
             ORDER BY d.opens_at, d.id, r.id""";

    /** By attendance_entry_number_is_unique. */
    private static final String ATTENDANCE = """
            SELECT t.alarm_id, t.visit, t.number, t.written_at, p.reference, t.complete, t.arrived_at, t.cause, t.done, t.retested_by, t.retester_competent,
                   t.fuse_fitted_a, t.content, t.content_moved_to, t.people_told, t.fit, t.none_because
              FROM attendance_entry t LEFT JOIN person p ON p.id = t.written_by
             WHERE t.alarm_id IN (SELECT a.id FROM alarm a WHERE a.cabinet_id = :cabinet AND a.since < :until
                   AND (a.closed_at IS NULL OR a.closed_at >= :from)) ORDER BY t.alarm_id, t.visit, t.number""";

    /** By the primary key. */
    private static final String TEMPERATURES = """
            SELECT q.observed_at, q.reading, q.inside_c, COALESCE(q.inside_least_c, q.inside_c), COALESCE(q.inside_most_c, q.inside_c), q.outside_c,
                   q.battery_percent, q.heater_on, q.door_open, q.content_c, COALESCE(q.content_least_c, q.content_c), COALESCE(q.content_most_c, q.content_c)
              FROM sensor_quarter q
             WHERE q.sensor_id IN (SELECT e.id FROM sensor e WHERE e.cabinet_id = :cabinet) AND q.quarter >= :first AND q.quarter <= :last
             ORDER BY q.observed_at""";

    private static final String HANDOVER = """
            SELECT h.document, h.fingerprint FROM handover h
             WHERE h.cabinet_id = :cabinet AND h.site_signed_at < :until ORDER BY h.site_signed_at DESC, h.id DESC LIMIT 1""";

    /** By journal_entry_by_kind_and_at: in this time, and the nearest on either side of it within a day. */
    private static final String CLOCK = """
            SELECT e.at, e.seal_number, e.body FROM journal_entry e
             WHERE e.kind = 'clock-compared' AND e.at >= COALESCE((SELECT MAX(b.at) FROM journal_entry b WHERE b.kind = 'clock-compared' AND b.at >= :day_before AND b.at < :from), :from)
               AND e.at <= COALESCE((SELECT MIN(a.at) FROM journal_entry a WHERE a.kind = 'clock-compared' AND a.at >= :until AND a.at < :day_after), :until)
             ORDER BY e.at, e.id""";

    /** Ours: what a clock was off by on another day says nothing of this one. */
    private static final Duration NEAR = Duration.ofDays(1);

    private static final String NAMES = "SELECT p.reference, p.name FROM person p WHERE p.reference IN (:references) AND p.name <> ''";

    /** What the installation itself says about whether it could hear anybody. */
    private static final Set<String> LISTENING = Set.of("listening-began", "listening-ended", "clock-compared", "clock-not-compared");
    private static final Set<String> OWN_ALARMS = Set.of("NOT_LISTENING", "CLOCK_STEPPED");

    private static final Pattern REFERENCE = Pattern.compile("[0-9a-f]{64}");

    private static final long QUARTER_S = 900;
    private static final ObjectMapper JSON = new ObjectMapper();

    private final EntityManager entities;
    private final Journal journal;
    private final JournalExtract extract;
    private final SiteHistory history;

    EvidenceBook(EntityManager entities, Journal journal, JournalExtract extract, SiteHistory history) {
        this.entities = entities;
        this.journal = journal;
        this.extract = extract;
        this.history = history;
    }

    /** Everything about the cabinet in this time, as it stands {@code now}. */
    @Transactional
    public Evidence gather(CabinetName sheet, Span span, Instant now) {
        Cabinet cabinet = new Cabinet(sheet.cabinetId(), sheet.code(), sheet.name(), sheet.site().id(), sheet.site().name(), sheet.site().zone());
        List<Line> entries = new ArrayList<>();
        Stretch chain = chain(cabinet, span, entries);
        TreeSet<String> words = new TreeSet<>();
        TreeSet<String> keys = new TreeSet<>();
        for (Line line : entries) {
            Says says = line.says().orElseThrow();
            JsonNode body = read(says.body());
            texts(body, words);
            if (says.kind().startsWith("message-") && body.has("message")) {
                keys.add(body.get("message").asText());
            }
        }
        Map<String, byte[]> photos = new TreeMap<>();
        Map<Part, Table> tables = new EnumMap<>(Part.class);
        tables.put(Part.THEN, then(cabinet, span));
        tables.put(Part.ALARMS, table("alarm, kind, state, since, raised, taken, taken by, returned, closed", rows(ALARMS, cabinet, span)));
        tables.put(Part.MESSAGES, keys.isEmpty() ? table("message", List.of()) : messages(keys));
        tables.put(Part.LOOKS, looks(cabinet, span, entries, photos));
        tables.put(Part.ATTENDANCE, table("alarm, visit, saving, written, by, complete, arrived, cause, done, retested by, retester competent, fuse fitted A, content, "
                + "content moved to, people told, fit, no record because", rows(ATTENDANCE, cabinet, span)));
        tables.put(Part.UNFIT, table("why, from, until, more about it", history.unfitOf(sheet, span, now).stretches().stream()
                .map(each -> new Object[] {each.reason().words(), each.began(), each.ended().orElse(null), each.because()}).toList()));
        tables.put(Part.TEMPERATURES, table("observed, supply, inside C, inside lowest C, inside highest C, outside C, battery %, heater on, door open, content C, content lowest C, content highest C", temperatures(cabinet, span)));
        tables.put(Part.CLOCK, clock(span));
        tables.values().forEach(table -> table.rows().forEach(row -> row.stream().filter(cell -> REFERENCE.matcher(cell).matches()).forEach(words::add)));
        return new Evidence(cabinet, span, entries, tables, names(words), photos, handover(cabinet, span), chain);
    }

    private Stretch chain(Cabinet cabinet, Span span, List<Line> entries) {
        Object[] numbers = rows(NUMBERS, cabinet, span).get(0);
        // By their numbers, too: a clock that stepped puts times out of the order of the chain.
        Optional<Told> before = extract.toldBefore(span.from(), numbers[0] == null ? Long.MAX_VALUE : Rows.number(numbers[0]) - 1);
        Head from = before.map(Told::head).orElse(Head.EMPTY);
        Optional<Told> after = extract.toldAfter(span.until(), numbers[1] == null ? from.number() : Rows.number(numbers[1]));
        Head until = after.map(Told::head).orElseGet(journal::head);
        StringBuilder lines = new StringBuilder();
        Optional<Long> broken = extract.read(from, until, says -> isAbout(says, cabinet), line -> {
            lines.append(written(line)).append('\n');
            if (line.says().filter(says -> span.holds(says.at())).isPresent()) {
                entries.add(line);
            }
        });
        return new Stretch(from, until, before, after, lines.toString(), broken);
    }

    private static boolean isAbout(Says says, Cabinet cabinet) {
        if (says.cabinet().isPresent()) {
            return says.cabinet().getAsLong() == cabinet.id();
        }
        if (says.site().isEmpty()) {
            return false;
        }
        boolean isListening = says.site().getAsLong() == 0
                && (LISTENING.contains(says.kind()) || OWN_ALARMS.contains(read(says.body()).path("alarm-kind").asText()));
        return isListening || says.site().getAsLong() == cabinet.siteId();
    }

    /** One line of journal.jsonl; docs/evidence.md says what it means. */
    static String written(Line line) {
        ObjectNode node = JSON.createObjectNode().put("number", line.head().number()).put("hash", line.head().hash()).put("digest", line.digest());
        line.says().ifPresent(says -> {
            node.put("at", says.at().toString()).put("micros", ChronoUnit.MICROS.between(Instant.EPOCH, says.at())).put("kind", says.kind());
            says.site().ifPresent(id -> node.put("site", id));
            says.cabinet().ifPresent(id -> node.put("cabinet", id));
            says.alarm().ifPresent(id -> node.put("alarm", id));
            node.put("body", says.body()).put("salt", says.salt());
        });
        return node.toString();
    }

    /**
     * Folded from what the journal says was changed, so that it is what held when this time began, whatever is stored now; of a cabinet that
     * was registered within it, what held when it ended.
     */
    private Table then(Cabinet cabinet, Span span) {
        Table before = registered(cabinet, span.from());
        return before.rows().stream().anyMatch(row -> row.get(0).equals("cabinet")) ? before : registered(cabinet, span.until());
    }

    private Table registered(Cabinet cabinet, Instant moment) {
        Map<String, Map<String, String>> held = new LinkedHashMap<>();
        List<Object[]> changes = new ArrayList<>(list(entities.createNativeQuery(RECORDED_AT_SITE).setParameter("site", cabinet.siteId())
                .setParameter("from", moment)));
        changes.addAll(list(entities.createNativeQuery(RECORDED).setParameter("cabinet", cabinet.id()).setParameter("from", moment)));
        for (Object[] change : changes) {
            String kind = (String) change[0];
            JsonNode body = read((String) change[1]);
            String thing = kind.substring(0, kind.indexOf('-'));
            fold(thing.equals("board") ? "board " + body.path("id").asText() : thing, body.path("before"), body.path("after"), held);
        }
        String board = held.getOrDefault("circuit", Map.of()).getOrDefault("board", "");
        String feeds = "board " + board;
        if (!board.isEmpty() && !held.containsKey(feeds)) {
            boardElsewhere(cabinet, board, moment, held);
        }
        List<List<String>> rows = new ArrayList<>();
        held.forEach((thing, facts) -> {
            if (!thing.startsWith("board ") || thing.equals(feeds)) {
                facts.forEach((name, value) -> rows.add(List.of(thing, name, value)));
            }
        });
        return new Table(List.of("thing", "fact", "value"), rows);
    }

    /** Whoever has to go there has to know at which site it is. */
    private void boardElsewhere(Cabinet cabinet, String board, Instant moment, Map<String, Map<String, String>> held) {
        for (Object[] change : list(entities.createNativeQuery(RECORDED_BOARDS).setParameter("from", moment).setParameter("site", cabinet.siteId()))) {
            JsonNode body = read((String) change[1]);
            if (body.path("id").asText().equals(board)) {
                fold("board " + board, body.path("before"), body.path("after"), held);
                held.get("board " + board).put("of the site", (String) change[2]);
            }
        }
    }

    /** A cabinet is registered together with its circuit and its content: they stand inside. */
    private static void fold(String thing, JsonNode before, JsonNode after, Map<String, Map<String, String>> held) {
        Map<String, String> facts = held.computeIfAbsent(thing, any -> new TreeMap<>());
        before.fieldNames().forEachRemaining(facts::remove);
        after.fields().forEachRemaining(fact -> {
            if (fact.getValue().isObject()) {
                fold(fact.getKey(), JSON.createObjectNode(), fact.getValue(), held);
            } else {
                facts.put(fact.getKey(), words(fact.getValue()));
            }
        });
    }

    private static String words(JsonNode value) {
        if (!value.isArray()) {
            return value.asText();
        }
        List<String> words = new ArrayList<>();
        value.forEach(each -> words.add(each.asText()));
        return String.join("; ", words);
    }

    private Table messages(Set<String> keys) {
        return table("message, purpose, person, channel, subject, written, state, attempts, ended, arrival, arrival known, last error",
                list(entities.createNativeQuery(MESSAGES).setParameter("keys", keys)));
    }

    private Table looks(Cabinet cabinet, Span span, List<Line> entries, Map<String, byte[]> photos) {
        List<Object[]> found = new ArrayList<>();
        for (Object[] row : rows(LOOKS, cabinet, span)) {
            int picture = row.length - 1;
            String hash = (String) row[picture - 1];
            // What came after this time has its entry outside of it.
            if (hash != null && row[picture] != null && entries.stream().anyMatch(line -> line.says().orElseThrow().body().contains(hash))) {
                photos.put(hash, (byte[]) row[picture]);
            }
            Object[] without = new Object[picture];
            System.arraycopy(row, 0, without, 0, picture);
            found.add(without);
        }
        return table("kind, day, opens, closes, state, answer, looked, received, person, counted, at the cabinet, note, supply known then, photo", found);
    }

    private List<Object[]> temperatures(Cabinet cabinet, Span span) {
        return list(entities.createNativeQuery(TEMPERATURES).setParameter("cabinet", cabinet.id()).setParameter("first", span.from().getEpochSecond() / QUARTER_S)
                .setParameter("last", span.until().getEpochSecond() / QUARTER_S));
    }

    private Table clock(Span span) {
        List<Object[]> found = list(entities.createNativeQuery(CLOCK).setParameter("from", span.from()).setParameter("until", span.until())
                .setParameter("day_before", span.from().minus(NEAR)).setParameter("day_after", span.until().plus(NEAR)));
        return table("compared, entry, server, instance, offset ms, delay ms", found.stream().map(row -> {
            JsonNode body = read((String) row[2]);
            return new Object[] {row[0], row[1], body.path("server").asText(), body.path("instance").asText(), body.path("offset-ms").asText(), body.path("delay-ms").asText()};
        }).toList());
    }

    private Optional<Signed> handover(Cabinet cabinet, Span span) {
        return list(entities.createNativeQuery(HANDOVER).setParameter("cabinet", cabinet.id()).setParameter("until", span.until())).stream()
                .filter(row -> row[0] != null && row[1] != null).map(row -> new Signed((String) row[0], (String) row[1])).findFirst();
    }

    private Map<String, String> names(Set<String> words) {
        Map<String, String> names = new TreeMap<>();
        if (!words.isEmpty()) {
            list(entities.createNativeQuery(NAMES).setParameter("references", words)).forEach(row -> names.put((String) row[0], (String) row[1]));
        }
        return names;
    }

    private List<Object[]> rows(String sql, Cabinet cabinet, Span span) {
        return list(entities.createNativeQuery(sql).setParameter("cabinet", cabinet.id()).setParameter("from", span.from()).setParameter("until", span.until()));
    }

    private static List<Object[]> list(Query query) {
        List<Object[]> rows = new ArrayList<>();
        for (Object row : query.getResultList()) {
            rows.add((Object[]) row);
        }
        return rows;
    }

    private static Table table(String columns, List<Object[]> rows) {
        List<List<String>> cells = new ArrayList<>();
        for (Object[] row : rows) {
            List<String> line = new ArrayList<>();
            for (Object value : row) {
                line.add(cell(value));
            }
            cells.add(line);
        }
        return new Table(List.of(columns.split(", ")), cells);
    }

    private static String cell(@Nullable Object value) {
        if (value == null) {
            return "";
        }
        if (value instanceof java.sql.Date || value instanceof java.time.LocalDate) {
            return Rows.day(value).toString();
        }
        boolean isTime = value instanceof Instant || value instanceof java.time.OffsetDateTime || value instanceof java.sql.Timestamp;
        return isTime ? Rows.instant(value).toString() : value.toString();
    }

    private static void texts(JsonNode node, Set<String> into) {
        if (node.isTextual()) {
            Matcher reference = REFERENCE.matcher(node.asText());
            if (reference.matches()) {
                into.add(node.asText());
            }
        }
        node.forEach(child -> texts(child, into));
    }

    private static JsonNode read(String body) {
        try {
            return JSON.readTree(body);
        } catch (JsonProcessingException tampered) {
            // The chain says that it was; the rest can be read all the same.
            return JSON.createObjectNode();
        }
    }
}
