package org.lampkeeper.watch;

import java.sql.Connection;
import java.sql.PreparedStatement;
import java.sql.ResultSet;
import java.sql.SQLException;
import java.sql.Types;
import java.time.Instant;
import java.time.OffsetDateTime;
import java.time.ZoneOffset;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.OptionalInt;
import java.util.Set;

import org.jspecify.annotations.Nullable;

import org.lampkeeper.alarm.Attendance;
import org.lampkeeper.alarm.AttendanceCause;
import org.lampkeeper.alarm.Scope;

/** The SQL of the attendance records; each saving is a row that never changes. */
final class AttendanceBook {

    private static final String COLUMNS = """
            alarm_id, visit, number, written_at, written_by, complete, arrived_at, cause, done, retested_by, retester_competent, fuse_fitted_a, content,
            content_moved_to, people_told, fit, none_because""";

    private static final String ADD = "INSERT INTO attendance_entry (id, " + COLUMNS + """
            ) VALUES (nextval('attendance_entry_seq'), ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)""";

    /** By attendance_entry_number_is_unique; one alarm has a handful of them. */
    private static final String OF_ALARM = "SELECT " + COLUMNS + " FROM attendance_entry WHERE alarm_id = ? ORDER BY visit DESC, number DESC";

    private AttendanceBook() {
    }

    static void add(Connection connection, AttendanceEntry entry) throws SQLException {
        Attendance said = entry.attendance();
        try (PreparedStatement insert = connection.prepareStatement(ADD)) {
            insert.setLong(1, entry.alarmId());
            insert.setInt(2, entry.visit());
            insert.setInt(3, entry.number());
            insert.setObject(4, utc(entry.writtenAt()));
            insert.setLong(5, entry.writtenBy());
            insert.setBoolean(6, entry.isComplete());
            insert.setObject(7, said.arrivedAt().map(AttendanceBook::utc).orElse(null), Types.TIMESTAMP_WITH_TIMEZONE);
            insert.setString(8, said.cause().map(AttendanceCause::word).orElse(null));
            insert.setString(9, orNull(said.done()));
            insert.setString(10, orNull(said.retestedBy()));
            insert.setBoolean(11, said.retesterCompetent());
            if (said.fuseFittedAmpere().isPresent()) {
                insert.setInt(12, said.fuseFittedAmpere().getAsInt());
            } else {
                insert.setNull(12, Types.INTEGER);
            }
            insert.setString(13, said.content().map(Enum::name).orElse(null));
            insert.setString(14, orNull(said.contentMovedTo()));
            insert.setBoolean(15, said.peopleTold());
            insert.setString(16, said.fit().map(Enum::name).orElse(null));
            insert.setString(17, orNull(said.noneBecause()));
            insert.executeUpdate();
        }
    }

    /** The last visit first, and of each visit the newest saving first. */
    static List<AttendanceEntry> ofAlarm(Connection connection, AttendanceCauses causes, long alarmId) throws SQLException {
        try (PreparedStatement select = connection.prepareStatement(OF_ALARM)) {
            select.setLong(1, alarmId);
            List<AttendanceEntry> entries = new ArrayList<>();
            try (ResultSet row = select.executeQuery()) {
                while (row.next()) {
                    entries.add(entry(row, causes));
                }
            }
            return entries;
        }
    }

    private static AttendanceEntry entry(ResultSet row, AttendanceCauses causes) throws SQLException {
        int fuse = row.getInt("fuse_fitted_a");
        OptionalInt fitted = row.wasNull() ? OptionalInt.empty() : OptionalInt.of(fuse);
        Attendance said = new Attendance(time(row, "arrived_at"),
                Optional.ofNullable(row.getString("cause")).map(word -> causes.find(word).orElseGet(() -> gone(word))),
                text(row, "done"), text(row, "retested_by"), row.getBoolean("retester_competent"), fitted,
                Optional.ofNullable(row.getString("content")).map(Attendance.Content::valueOf), text(row, "content_moved_to"),
                row.getBoolean("people_told"), Optional.ofNullable(row.getString("fit")).map(Attendance.Fit::valueOf), text(row, "none_because"));
        return new AttendanceEntry(row.getLong("alarm_id"), row.getInt("visit"), row.getInt("number"), time(row, "written_at").orElseThrow(),
                row.getLong("written_by"), row.getBoolean("complete"), said);
    }

    /** A word that was taken out of the list since: an old record still says it. */
    private static AttendanceCause gone(String word) {
        return new AttendanceCause(word, word.replace('-', ' '), Set.of(Scope.values()), false, false);
    }

    private static Optional<Instant> time(ResultSet row, String column) throws SQLException {
        return Optional.ofNullable(row.getObject(column, OffsetDateTime.class)).map(OffsetDateTime::toInstant);
    }

    private static String text(ResultSet row, String column) throws SQLException {
        return Optional.ofNullable(row.getString(column)).orElse("");
    }

    private static @Nullable String orNull(String text) {
        return text.isBlank() ? null : text;
    }

    private static OffsetDateTime utc(Instant at) {
        return at.atOffset(ZoneOffset.UTC);
    }
}
