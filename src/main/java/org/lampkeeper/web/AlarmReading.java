package org.lampkeeper.web;

import java.sql.SQLException;
import java.time.Instant;
import java.time.ZoneId;
import java.time.ZoneOffset;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.OptionalLong;

import jakarta.enterprise.context.ApplicationScoped;

import org.lampkeeper.access.Reach;
import org.lampkeeper.alarm.AlarmKind;
import org.lampkeeper.alarm.AlarmState;
import org.lampkeeper.callout.CallOutList;
import org.lampkeeper.callout.Climb;
import org.lampkeeper.callout.Phase;
import org.lampkeeper.web.MessageWords.Fate;
import org.lampkeeper.web.Reads.Row;

/** Alarms, who was told of them and what was done about them. */
@ApplicationScoped
class AlarmReading {

    private static final String ALARM_COLUMNS = """
            SELECT a.id, a.kind, a.site_id, a.cabinet_id, a.state, a.live, a.since, a.raised_at, a.acknowledged_at, a.returned_at,
                   a.held_until, a.closed_at, a.call_out_id, p.id AS has_it_id, p.name AS has_it, p.phone AS has_it_phone,
                   s.name AS site, s.zone, c.name AS cabinet, o.phase, o.round, o.told, o.next_at, o.promised_at, o.arrived, o.asked_person, o.asked_until,
                   q.name AS asked, a.attended_at, a.unattended, a.eased_at
              FROM alarm a
              LEFT JOIN site s ON s.id = a.site_id
              LEFT JOIN cabinet c ON c.id = a.cabinet_id
              LEFT JOIN person p ON p.id = a.acknowledged_by
              LEFT JOIN call_out o ON o.id = a.call_out_id
              LEFT JOIN person q ON q.id = o.asked_person
            """;

    /** By the primary key. */
    private static final String ONE_ALARM = ALARM_COLUMNS + " WHERE a.id = ?";

    /** By one_open_alarm_per_cabinet_and_kind: its key is there exactly while the alarm is open. */
    private static final String OPEN_ALARMS = ALARM_COLUMNS + " WHERE a.open_key IS NOT NULL AND (? OR a.site_id = ANY (?)) ORDER BY a.id DESC";

    /** By the primary key, backwards. */
    private static final String PAST_ALARMS = ALARM_COLUMNS + " WHERE a.open_key IS NULL AND a.id < ? AND (? OR a.site_id = ANY (?))"
            + " ORDER BY a.id DESC LIMIT ?";

    /** By alarm_by_unattended: its number is there exactly while nobody has said what was done. */
    private static final String UNATTENDED = ALARM_COLUMNS + " WHERE a.unattended IS NOT NULL AND (? OR a.site_id = ANY (?)) ORDER BY a.unattended DESC LIMIT ?";

    /** By alarm_by_call_out. */
    private static final String SAME_CALL_OUT = ALARM_COLUMNS + " WHERE a.call_out_id = ? AND a.id <> ? AND a.open_key IS NOT NULL ORDER BY a.id LIMIT ?";

    private static final String COUNT_SAME_CALL_OUT = "SELECT COUNT(*) AS others FROM alarm WHERE call_out_id = ? AND id <> ? AND open_key IS NOT NULL";

    /** By outgoing_message_by_alarm. A call-out's messages stand with the alarm that led it. */
    private static final String TOLD = """
            SELECT m.created_at, m.state, m.channel, m.attempts, m.next_attempt_at, m.ended_at, m.last_error, m.arrival, m.arrival_at, m.purpose, m.subject, p.name
              FROM outgoing_message m
              JOIN person p ON p.id = m.person_id
             WHERE m.alarm_id IN (SELECT a.id FROM alarm a WHERE a.id = ? OR a.call_out_id = ?)
             ORDER BY m.id
            """;

    /** By journal_entry_by_alarm. Only what is told nowhere else on the page. */
    private static final String DONE = """
            SELECT j.at, j.kind, j.body
              FROM journal_entry j
             WHERE j.alarm_id = ?
               AND j.kind IN ('person-cannot-come', 'nobody-to-tell', 'alarm-raised-again', 'alarm-returned', 'alarm-acknowledged',
                              'content-eased', 'alarm-shelved', 'alarm-suppressed', 'alarm-hold-ended', 'alarm-joined-call-out',
                              'alarm-ended-with-sensor', 'alarm-called-again', 'alarm-handed-on', 'alarm-taken-over',
                              'alarm-not-taken-over', 'arrival-promised', 'last-resort-told', 'nobody-on-duty', 'attendance-written', 'attendance-completed', 'attendance-corrected',
                              'attendance-not-recorded')
             ORDER BY j.id
            """;

    /** By alarm_by_call_out and journal_entry_by_alarm. What was done about all of a call-out is written down with one of its alarms. */
    private static final String DONE_TOGETHER = """
            SELECT j.at, j.kind, j.body
              FROM alarm a
              JOIN journal_entry j ON j.alarm_id = a.id
             WHERE a.call_out_id = ? AND a.id <> ?
               AND j.kind IN ('person-cannot-come', 'nobody-to-tell', 'alarm-handed-on', 'alarm-not-taken-over', 'arrival-promised', 'last-resort-told',
                              'nobody-on-duty')
             ORDER BY j.id
            """;

    private static final String NAME_BEHIND = "SELECT name FROM person WHERE reference = ?";

    private static final String PERSON = "SELECT name FROM person WHERE id = ?";

    private final Reads reads;

    AlarmReading(Reads reads) {
        this.reads = reads;
    }

    /** One alarm. {@code where}: the cabinet, else the site, else Lampkeeper itself. */
    record AlarmRow(long id, AlarmKind kind, long siteId, OptionalLong cabinetId, String where, String site, ZoneId zone, AlarmState state,
            boolean live, Instant since, Instant raisedAt, Optional<Taker> hasIt, Optional<Instant> returnedAt, Optional<Instant> heldUntil,
            Optional<Instant> closedAt, OptionalLong callOutId, Optional<Standing> callOut, Optional<Instant> attendedAt,
            boolean isUnattended, Optional<Instant> eased) {

        /** When the next is told; empty while nobody is going to be. */
        Optional<Instant> nextAt() {
            return callOut.filter(it -> it.phase().isCalling()).flatMap(Standing::nextAt);
        }

        boolean isOpen() {
            return closedAt.isEmpty();
        }
    }

    /**
     * Where its call-out stands.
     *
     * @param nextAt   when something happens if nobody does anything
     * @param promised when who has it said they would be there
     * @param asked    who is asked to take it over
     */
    record Standing(Phase phase, int round, int told, Optional<Instant> nextAt, Optional<Instant> promised, boolean hasArrived,
            Optional<Asked> asked) {

        Optional<Climb.Upcoming> upcoming(CallOutList list) {
            return phase.isCalling() ? new Climb(phase, round, told, Optional.empty(), Optional.empty(), nextAt, 0).upcoming(list)
                    : Optional.empty();
        }
    }

    /** Somebody who is asked to take an alarm over, until then. */
    record Asked(long personId, String name, Instant until) {
    }

    record Taker(long personId, String name, Optional<String> phone, Instant at) {
    }

    /** {@code subject}: what they were told, in one line. */
    record ToldRow(Instant at, String person, boolean isAlarm, String subject, Fate fate) {
    }

    /** A journal entry; {@code body} is its JSON. */
    record DoneRow(Instant at, String kind, String body) {
    }

    Optional<AlarmRow> alarm(long id) {
        return reads.first(ONE_ALARM, AlarmReading::alarmRow, id);
    }

    List<AlarmRow> open(Reach reach) {
        return reads.list(OPEN_ALARMS, AlarmReading::alarmRow, reach);
    }

    /** At most {@code count} closed alarms, newest first, all older than {@code before}. */
    List<AlarmRow> past(long before, int count, Reach reach) {
        return reads.list(PAST_ALARMS, AlarmReading::alarmRow, before, reach, count);
    }

    /** At most {@code count} of those that called people out, are over, and of which nobody has said what was done; newest first. */
    List<AlarmRow> unattended(int count, Reach reach) {
        return reads.list(UNATTENDED, AlarmReading::alarmRow, reach, count);
    }

    /** How many other open alarms were told of together with this one. */
    long countTogether(AlarmRow alarm) {
        return alarm.callOutId().isEmpty() ? 0 : reads.first(COUNT_SAME_CALL_OUT, row -> row.number("others"), alarm.callOutId().getAsLong(),
                alarm.id()).orElse(0L);
    }

    /** At most {@code most} of them. */
    List<AlarmRow> together(AlarmRow alarm, int most) {
        return alarm.callOutId().isEmpty() ? List.of()
                : reads.list(SAME_CALL_OUT, AlarmReading::alarmRow, alarm.callOutId().getAsLong(), alarm.id(), most);
    }

    List<ToldRow> told(AlarmRow alarm) {
        return reads.list(TOLD, row -> new ToldRow(row.instant("created_at"), row.text("name"), row.text("purpose").equals("ALARM"),
                row.text("subject"), Fate.read(row)), alarm.id(), alarm.callOutId().orElse(0));
    }

    List<DoneRow> done(AlarmRow alarm) {
        List<DoneRow> done = new ArrayList<>(reads.list(DONE, AlarmReading::doneRow, alarm.id()));
        alarm.callOutId().ifPresent(callOut -> done.addAll(reads.list(DONE_TOGETHER, AlarmReading::doneRow, callOut, alarm.id())));
        return done;
    }

    Optional<String> nameBehind(String reference) {
        return reads.first(NAME_BEHIND, row -> row.text("name"), reference);
    }

    Optional<String> person(long personId) {
        return reads.first(PERSON, row -> row.text("name"), personId);
    }

    private static DoneRow doneRow(Row row) throws SQLException {
        return new DoneRow(row.instant("at"), row.text("kind"), row.text("body"));
    }

    private static Standing standing(Row row) throws SQLException {
        Optional<Asked> asked = row.has("asked_person") ? Optional.of(new Asked(row.number("asked_person"),
                row.optionalText("asked").orElse("somebody"), row.instant("asked_until"))) : Optional.empty();
        return new Standing(Phase.valueOf(row.text("phase")), (int) row.number("round"), (int) row.number("told"),
                row.optionalInstant("next_at"), row.optionalInstant("promised_at"), row.is("arrived"), asked);
    }

    private static AlarmRow alarmRow(Row row) throws SQLException {
        Optional<Taker> hasIt = row.has("has_it_id") && row.has("acknowledged_at") ? Optional.of(new Taker(row.number("has_it_id"),
                row.text("has_it"), row.optionalText("has_it_phone"), row.instant("acknowledged_at"))) : Optional.empty();
        String site = row.optionalText("site").orElse("Lampkeeper");
        return new AlarmRow(row.number("id"), AlarmKind.valueOf(row.text("kind")), row.number("site_id"), row.optionalNumber("cabinet_id"),
                row.optionalText("cabinet").orElse(site), site, row.optionalText("zone").map(ZoneId::of).orElse(ZoneOffset.UTC),
                AlarmState.valueOf(row.text("state")), row.is("live"), row.instant("since"), row.instant("raised_at"), hasIt,
                row.optionalInstant("returned_at"), row.optionalInstant("held_until"), row.optionalInstant("closed_at"),
                row.optionalNumber("call_out_id"), row.has("phase") ? Optional.of(standing(row)) : Optional.empty(),
                row.optionalInstant("attended_at"), row.has("unattended"), row.optionalInstant("eased_at"));
    }
}
