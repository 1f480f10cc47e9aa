package org.lampkeeper.message;

import java.time.Instant;
import java.util.Optional;
import java.util.OptionalLong;

import org.lampkeeper.journal.Entry;

/**
 * A message that this worker has leased.
 *
 * @param key       stable over repeats
 * @param site      of its call-out, or of the month that it reports, for the journal
 * @param cabinet   of its alarm, for the journal
 * @param reference what the journal calls the person
 * @param name      of the person, for the name of a file
 * @param attempts  failed tries so far
 * @param leasedUntil nobody else sends it before; also tells this lease from a later one
 * @param channel   the kind by which it goes
 * @param telling   the first message of those that tell the person the same thing by one channel each
 * @param channelId the person's channel; none for an address that is no channel
 * @param brief     the same in few words, for a channel that carries no more
 * @param monthReportId the report whose paper it carries; none for any other
 */
record OutgoingMessage(long id, String key, Purpose purpose, OptionalLong callOutId, OptionalLong alarmId, OptionalLong site,
        OptionalLong cabinet, long personId, String reference, String name, String address, String subject, String body, Instant createdAt,
        int attempts, Instant leasedUntil, String channel, long telling, OptionalLong channelId, Optional<String> brief,
        OptionalLong monthReportId) {

    /** An entry about this message. */
    Entry journalled(String kind, Instant now) {
        Entry entry = Entry.of(now, kind).with("message", key).with("purpose", purpose).with("person", reference).with("callOut", callOutId);
        if (site.isPresent()) {
            entry = entry.site(site.getAsLong());
        }
        if (cabinet.isPresent()) {
            entry = entry.cabinet(cabinet.getAsLong());
        }
        return alarmId.isPresent() ? entry.alarm(alarmId.getAsLong()) : entry;
    }

    /** Without what tells who it is or lets a reader take the alarm. */
    @Override
    public String toString() {
        return "message " + id + " (" + key + ")";
    }
}
