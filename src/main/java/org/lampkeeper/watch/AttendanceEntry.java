package org.lampkeeper.watch;

import java.time.Instant;

import org.lampkeeper.alarm.Attendance;

/**
 * One saving of an attendance record.
 *
 * @param number     1 for the first of its alarm; to be named again when the next one is saved
 * @param isComplete whether it settled the matter
 */
public record AttendanceEntry(long alarmId, int number, Instant writtenAt, long writtenBy, boolean isComplete, Attendance attendance) {
}
