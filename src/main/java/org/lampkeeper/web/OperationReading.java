package org.lampkeeper.web;

import java.sql.Connection;
import java.sql.DatabaseMetaData;
import java.sql.SQLException;
import java.time.Instant;
import java.util.Arrays;
import java.util.Collection;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.Set;
import java.util.stream.Stream;

import javax.sql.DataSource;

import jakarta.enterprise.context.ApplicationScoped;

import org.lampkeeper.alarm.AlarmKind;
import org.lampkeeper.alarm.AlarmRates.Change;
import org.lampkeeper.alarm.AlarmRates.Source;
import org.lampkeeper.alarm.Scope;

/** What the database knows of how Lampkeeper is. */
@ApplicationScoped
class OperationReading {

    private static final String LISTENING = "SELECT listening_since, last_listened_at FROM listening WHERE id = 1";

    private static final String HEALTH = "SELECT failing_since, reason FROM channel_health WHERE kind = ?";

    /** Whom an alarm may be told to. */
    private static final String MAY_BE_TOLD = """
            SELECT person_id FROM role_grant UNION SELECT person_id FROM call_out_step WHERE person_id IS NOT NULL""";

    /** By the primary key, backwards: ends at the first that left, which is among the newest. */
    private static final String LAST_SENT = "SELECT ended_at FROM outgoing_message WHERE state = 'SENT' AND ended_at IS NOT NULL ORDER BY id DESC LIMIT 1";

    /** By deadline_by_due_at. */
    private static final String DEADLINES = "SELECT COUNT(*) AS due, MIN(due_at) AS earliest FROM deadline WHERE due_at < ?";

    private static final String INSTANCES = """
            SELECT i.id, i.started_at, i.seen_at, s.slot, s.listened_until
              FROM instance i LEFT JOIN ingest_slot s ON s.leased_by = i.id AND s.leased_until > ?
             ORDER BY i.started_at, i.id, s.slot""";

    /** By journal_seal_number_is_unique, in which both databases keep the rows without a number together. */
    private static final String UNSEALED = "SELECT COUNT(*) AS unsealed FROM journal_entry WHERE seal_number IS NULL AND at < ?";

    /** By refused_report_by_received_at. */
    private static final String REFUSED_BY_REASON = """
            SELECT reason, COUNT(*) AS samples, MAX(received_at) AS newest FROM refused_report WHERE received_at > ?
             GROUP BY reason ORDER BY MAX(received_at) DESC, reason""";

    /** By the primary key, backwards. */
    private static final String SAMPLES = "SELECT id, received_at, topic, reason, detail, sample FROM refused_report ORDER BY id DESC LIMIT ?";

    /** By one_open_alarm_per_cabinet_and_kind, which has no key for a closed one. */
    private static final String STANDING = "SELECT kind FROM alarm WHERE open_key = ANY (?) AND live";

    /** By journal_entry_by_kind_and_at. The newest first, so that what a limit leaves out is the oldest. */
    private static final String ALARM_CHANGES = """
            SELECT e.at, e.kind AS what, a.kind, a.site_id, a.cabinet_id
              FROM journal_entry e JOIN alarm a ON a.id = e.alarm_id
             WHERE e.kind = ANY (ARRAY['alarm-raised', 'alarm-raised-again', 'alarm-returned']) AND e.at >= ? AND e.at < ?
             ORDER BY e.at DESC, e.id DESC LIMIT ?""";

    /** By alarm_open_since. The oldest first, each with how many there are. */
    private static final String STALE = """
            SELECT kind, site_id, cabinet_id, since, COUNT(*) OVER () AS total FROM alarm
             WHERE closed_at IS NULL AND live AND since < ? ORDER BY since, id LIMIT ?""";

    private static final String SITE_NAMES = "SELECT id, name FROM site WHERE id = ANY (?)";

    private static final String CABINET_NAMES = "SELECT id, name FROM cabinet WHERE id = ANY (?)";

    private static final String SIZE_ON_POSTGRESQL = "SELECT pg_database_size(current_database()) AS bytes";

    private static final String SIZE_ON_H2 = """
            SELECT CAST(setting_value AS BIGINT) AS bytes FROM information_schema.settings WHERE setting_name = 'info.FILE_SIZE'""";

    /** By journal_entry_by_kind_and_at. */
    private static final String COMPARED = """
            SELECT at, body FROM journal_entry WHERE kind = 'clock-compared' AND at > ? AND at <= ? ORDER BY at DESC, id DESC LIMIT 1""";

    private final Reads reads;
    private final DataSource database;

    OperationReading(Reads reads, DataSource database) {
        this.reads = reads;
        this.database = database;
    }

    record Listening(Optional<Instant> since, Optional<Instant> last) {
    }

    /** How a kind of channel fares. */
    record Health(Optional<Instant> failingSince, Optional<String> reason) {
    }

    record Deadlines(long overdue, Optional<Instant> earliest) {
    }

    record InstanceRow(String id, Instant startedAt, Instant seenAt, Optional<Integer> slot, Optional<Instant> listenedUntil) {
    }

    record RefusedRow(String reason, long samples, Instant newest) {
    }

    record SampleRow(long id, Instant at, String topic, String reason, String detail, String sample) {
    }

    /** When the clock was compared with another, and what the journal says of it. */
    record Compared(Instant at, String body) {
    }

    /** {@code bytes} is empty where it cannot be told, as for a database in memory. */
    record Database(String product, Optional<Long> bytes) {
    }

    /** {@code total}: of all that are stale, also those that a limit leaves out. */
    record StaleRow(Source source, Instant since, long total) {
    }

    Listening listening() {
        return reads.first(LISTENING, row -> new Listening(row.optionalInstant("listening_since"), row.optionalInstant("last_listened_at")))
                .orElseThrow(() -> new IllegalStateException("listening has no row 1: somebody deleted it"));
    }

    /** A kind without a row has never failed. */
    Health health(String kind) {
        return reads.first(HEALTH, row -> new Health(row.optionalInstant("failing_since"), row.optionalText("reason")), kind)
                .orElse(new Health(Optional.empty(), Optional.empty()));
    }

    /** When the newest of those that left did. */
    Optional<Instant> lastSent() {
        return reads.first(LAST_SENT, row -> row.instant("ended_at"));
    }

    /** Everybody with a role or a turn on a list. */
    List<Long> mayBeTold() {
        return reads.list(MAY_BE_TOLD, row -> row.number("person_id"));
    }

    /** The newest comparison of the clock in {@code (after, now]}. */
    Optional<Compared> compared(Instant after, Instant now) {
        return reads.first(COMPARED, row -> new Compared(row.instant("at"), row.text("body")), after, now);
    }

    Deadlines deadlines(Instant before) {
        return reads.first(DEADLINES, row -> new Deadlines(row.number("due"), row.optionalInstant("earliest")), before).orElseThrow();
    }

    List<InstanceRow> instances(Instant now) {
        return reads.list(INSTANCES, row -> new InstanceRow(row.text("id"), row.instant("started_at"), row.instant("seen_at"),
                row.has("slot") ? Optional.of((int) row.number("slot")) : Optional.empty(), row.optionalInstant("listened_until")), now);
    }

    long unsealed(Instant before) {
        return reads.first(UNSEALED, row -> row.number("unsealed"), before).orElseThrow();
    }

    List<RefusedRow> refused(Instant since) {
        return reads.list(REFUSED_BY_REASON, row -> new RefusedRow(row.text("reason"), row.number("samples"), row.instant("newest")), since);
    }

    List<SampleRow> samples(int count) {
        return reads.list(SAMPLES, row -> new SampleRow(row.number("id"), row.instant("received_at"), row.text("topic"), row.text("reason"),
                row.text("detail"), row.text("sample")), count);
    }

    /** The alarms about Lampkeeper itself whose condition is there. */
    Set<AlarmKind> standing() {
        String[] keys = Arrays.stream(AlarmKind.values()).filter(kind -> kind.scope() == Scope.INSTALLATION).map(kind -> kind + ":0:0").toArray(String[]::new);
        return Set.copyOf(reads.list(STANDING, row -> AlarmKind.valueOf(row.text("kind")), (Object) keys));
    }

    /** What came and went in {@code [from, to)}, newest first, at most {@code limit}. */
    List<Change> alarmChanges(Instant from, Instant to, int limit) {
        return reads.list(ALARM_CHANGES, row -> new Change(source(row), row.instant("at"), !row.text("what").equals("alarm-returned")), from, to, limit);
    }

    /** What has been there since before {@code before}, the oldest first, at most {@code limit}. */
    List<StaleRow> stale(Instant before, int limit) {
        return reads.list(STALE, row -> new StaleRow(source(row), row.instant("since"), row.number("total")), before, limit);
    }

    /** What these are about, in the register's words; the installation's and those that nobody knows any more are left out. */
    Map<Source, String> names(Collection<Source> sources) {
        Map<Long, String> sites = names(SITE_NAMES, sources.stream().map(Source::siteId));
        Map<Long, String> cabinets = names(CABINET_NAMES, sources.stream().flatMap(each -> each.cabinetId().stream().boxed()));
        Map<Source, String> names = new HashMap<>();
        for (Source each : sources) {
            String name = each.cabinetId().isPresent() ? cabinets.get(each.cabinetId().getAsLong()) : sites.get(each.siteId());
            if (name != null) {
                names.put(each, name);
            }
        }
        return names;
    }

    private Map<Long, String> names(String sql, Stream<Long> ids) {
        Map<Long, String> names = new HashMap<>();
        reads.list(sql, row -> Map.entry(row.number("id"), row.text("name")), (Object) ids.distinct().toArray(Long[]::new))
                .forEach(each -> names.put(each.getKey(), each.getValue()));
        return names;
    }

    private static Source source(Reads.Row row) throws SQLException {
        return new Source(AlarmKind.valueOf(row.text("kind")), row.number("site_id"), row.optionalNumber("cabinet_id"));
    }

    Database database() {
        try (Connection connection = database.getConnection()) {
            DatabaseMetaData about = connection.getMetaData();
            boolean isPostgresql = about.getDatabaseProductName().equals("PostgreSQL");
            Optional<Long> bytes = reads.first(isPostgresql ? SIZE_ON_POSTGRESQL : SIZE_ON_H2, row -> row.number("bytes"));
            return new Database(about.getDatabaseProductName() + " " + about.getDatabaseProductVersion(), bytes);
        } catch (SQLException e) {
            throw new IllegalStateException("the database cannot say what it is: " + e.getMessage(), e);
        }
    }
}
