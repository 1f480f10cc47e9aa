package org.lampkeeper.web;

import java.sql.SQLException;
import java.time.Instant;
import java.time.ZoneId;
import java.time.ZoneOffset;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalLong;
import java.util.Set;
import java.util.TreeMap;

import jakarta.enterprise.context.ApplicationScoped;

import com.fasterxml.jackson.core.JsonProcessingException;
import com.fasterxml.jackson.core.type.TypeReference;
import com.fasterxml.jackson.databind.ObjectMapper;

import org.lampkeeper.access.Grant;
import org.lampkeeper.access.Reach;
import org.lampkeeper.access.Right;
import org.lampkeeper.access.Role;
import org.lampkeeper.watch.JournalCheck;
import org.lampkeeper.web.Reads.Row;

/** Entries of the journal, newest first, as far as somebody may read them. */
@ApplicationScoped
class JournalReading {

    private static final String COLUMNS = """
            SELECT j.id, j.at, j.kind, j.site_id, j.cabinet_id, j.alarm_id, j.body, j.seal_number, s.name AS site, s.zone, c.name AS cabinet
              FROM journal_entry j
              LEFT JOIN site s ON s.id = j.site_id
              LEFT JOIN cabinet c ON c.id = j.cabinet_id
             WHERE j.id < ? AND (? OR j.site_id = ANY (?))""";

    /** Backwards by the primary key, journal_entry_by_site, journal_entry_by_cabinet or journal_entry_by_kind. */
    private static final String NEWEST_FIRST = " ORDER BY j.id DESC LIMIT ?";

    private static final String NAME_BEHIND = "SELECT name FROM person WHERE reference = ?";

    private static final String SITES = "SELECT id, name, zone FROM site ORDER BY name";

    private static final String CABINETS = "SELECT c.id, c.site_id, c.name, s.zone FROM cabinet c JOIN site s ON s.id = c.site_id ORDER BY c.name";

    private static final String UNSEALED = "SELECT COUNT(*) AS unsealed FROM journal_entry WHERE seal_number IS NULL";

    private static final Reach EVERY_SITE = Reach.of(List.of(Grant.everywhere(Role.ADMINISTRATOR)));

    private static final TypeReference<Map<String, Object>> FACTS = new TypeReference<>() {
    };

    private final Reads reads;
    private final ObjectMapper json;

    JournalReading(Reads reads, ObjectMapper json) {
        this.reads = reads;
        this.json = json;
    }

    /** What to show; {@code from} is included, {@code to} is not. */
    record Wish(OptionalLong site, OptionalLong cabinet, String kind, Optional<Instant> from, Optional<Instant> to) {

        static final Wish EVERYTHING = new Wish(OptionalLong.empty(), OptionalLong.empty(), "", Optional.empty(), Optional.empty());
    }

    /** One entry; {@code number} is its place in the chain, none until it is sealed. {@code where}: the cabinet, else the site. */
    record EntryRow(long id, OptionalLong number, Instant at, String kind, OptionalLong cabinetId, OptionalLong alarmId, String where, ZoneId zone,
            String body, Map<String, Object> facts) {
    }

    record Choice(long id, long siteId, String name, ZoneId zone) {
    }

    /** At most {@code count} entries older than {@code before}, of the sites at which {@code reach} may read the journal. */
    List<EntryRow> entries(Wish wish, long before, int count, Reach reach) {
        StringBuilder sql = new StringBuilder(COLUMNS);
        List<Object> parameters = new ArrayList<>(List.of(before, whereJournalMayBeRead(reach)));
        wish.site().ifPresent(id -> add(sql, parameters, " AND j.site_id = ?", id));
        wish.cabinet().ifPresent(id -> add(sql, parameters, " AND j.cabinet_id = ?", id));
        if (!wish.kind().isEmpty()) {
            add(sql, parameters, " AND j.kind = ?", wish.kind());
        }
        wish.from().ifPresent(at -> add(sql, parameters, " AND j.at >= ?", at));
        wish.to().ifPresent(at -> add(sql, parameters, " AND j.at < ?", at));
        add(sql, parameters, NEWEST_FIRST, count);
        return reads.list(sql.toString(), this::entry, parameters.toArray());
    }

    /** What was noted of a cabinet since then, newest first; its reader sees the cabinet, so no further right is asked. */
    List<EntryRow> ofCabinet(long cabinetId, List<String> kinds, Instant since, int count) {
        String among = " AND j.kind IN (" + String.join(", ", kinds.stream().map(kind -> "?").toList()) + ")";
        List<Object> parameters = new ArrayList<>(List.of(Long.MAX_VALUE, EVERY_SITE, cabinetId, since));
        parameters.addAll(kinds);
        parameters.add(count);
        return reads.list(COLUMNS + " AND j.cabinet_id = ? AND j.at >= ?" + among + NEWEST_FIRST, this::entry, parameters.toArray());
    }

    /** The newest verification that the journal itself tells of. */
    Optional<EntryRow> lastVerification() {
        return reads.list(COLUMNS + " AND j.kind = ?" + NEWEST_FIRST, this::entry, Long.MAX_VALUE, EVERY_SITE, JournalCheck.KIND, 1)
                .stream().findFirst();
    }

    List<Choice> sites(Reach reach) {
        return reads.list(SITES, row -> choice(row, "id")).stream()
                .filter(site -> reach.may(Right.READ_JOURNAL, site.id())).toList();
    }

    List<Choice> cabinets(Reach reach) {
        return reads.list(CABINETS, row -> choice(row, "site_id")).stream()
                .filter(cabinet -> reach.may(Right.READ_JOURNAL, cabinet.siteId())).toList();
    }

    /** Empty for somebody who has been erased, or never was. */
    Optional<String> nameBehind(String reference) {
        return reads.first(NAME_BEHIND, row -> row.text("name"), reference).filter(name -> !name.isBlank());
    }

    long unsealed() {
        return reads.first(UNSEALED, row -> row.number("unsealed")).orElse(0L);
    }

    /** Entries about no site are for whoever may read it everywhere. */
    private static Reach whereJournalMayBeRead(Reach reach) {
        Optional<Set<Long>> sites = reach.sitesWith(Right.READ_JOURNAL);
        return sites.map(ids -> reach.only(ids, Set.of(Right.SEE))).orElse(reach);
    }

    private static Choice choice(Row row, String site) throws SQLException {
        return new Choice(row.number("id"), row.number(site), row.text("name"), ZoneId.of(row.text("zone")));
    }

    private static void add(StringBuilder sql, List<Object> parameters, String condition, Object value) {
        sql.append(condition);
        parameters.add(value);
    }

    private EntryRow entry(Row row) throws SQLException {
        boolean isInstallation = row.has("site_id") && row.number("site_id") == 0;
        String where = row.optionalText("cabinet").or(() -> isInstallation ? Optional.of("Lampkeeper") : Optional.empty())
                .orElse(row.optionalText("site").orElse(""));
        return new EntryRow(row.number("id"), row.optionalNumber("seal_number"), row.instant("at"), row.text("kind"),
                row.optionalNumber("cabinet_id"), row.optionalNumber("alarm_id"), where,
                row.optionalText("zone").map(ZoneId::of).orElse(ZoneOffset.UTC), row.text("body"), facts(row.text("body")));
    }

    /** What an entry says, by name; nothing where it was tampered with so that it cannot be read. */
    Map<String, Object> facts(String body) {
        try {
            return Optional.ofNullable(json.readValue(body, FACTS)).map(TreeMap::new).orElseGet(TreeMap::new);
        } catch (JsonProcessingException e) {
            // Whoever reads the page must see an entry that was tampered with, not an error: the verification says what is wrong.
            return Map.of();
        }
    }
}
