package org.lampkeeper.watch;

import java.time.Instant;

import org.lampkeeper.alarm.Attendance;

/**
 * One saving of an attendance record.
 *
 * @param visit      1 for the first going there, the next one for the next
 * @param number     1 for the first of its alarm, over all visits; to be named again when the next one is saved
 * @param isComplete whether it settled the matter
 */
public record AttendanceEntry(long alarmId, int visit, int number, Instant writtenAt, long writtenBy, boolean isComplete, Attendance attendance) {
}
