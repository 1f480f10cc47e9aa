package org.lampkeeper.watch;

import java.time.Clock;
import java.time.Instant;
import java.time.ZoneId;
import java.util.List;
import java.util.Optional;
import java.util.OptionalInt;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.persistence.EntityManager;
import jakarta.transaction.Transactional;

import org.lampkeeper.alarm.Attendance;
import org.lampkeeper.alarm.Attendance.Remark;
import org.lampkeeper.alarm.Attendance.Setting;
import org.lampkeeper.alarm.AttendanceCause;
import org.lampkeeper.alarm.Scope;
import org.lampkeeper.journal.Entry;
import org.lampkeeper.journal.Journal;
import org.lampkeeper.register.CabinetSheet;
import org.lampkeeper.register.Contact;
import org.lampkeeper.register.People;
import org.lampkeeper.register.Register;
import org.lampkeeper.register.SiteSheet;

/**
 * Where people say what was done about an alarm. It may be said in steps and by several; every saving is kept, the newest holds. The
 * alarm's own life cycle does not wait for it: a new loss may open a new alarm before anybody has written a word.
 */
@ApplicationScoped
public class AttendanceDesk {

    private final EntityManager entities;
    private final Alarms alarms;
    private final CallOutKeeper callOuts;
    private final SiteWatches sites;
    private final Register register;
    private final People people;
    private final AttendanceCauses causes;
    private final Journal journal;
    private final WatchConfig config;
    private final Clock clock;

    AttendanceDesk(EntityManager entities, Alarms alarms, CallOutKeeper callOuts, SiteWatches sites, Register register, People people, AttendanceCauses causes,
            Journal journal, WatchConfig config, Clock clock) {
        this.entities = entities;
        this.alarms = alarms;
        this.callOuts = callOuts;
        this.sites = sites;
        this.register = register;
        this.people = people;
        this.causes = causes;
        this.journal = journal;
        this.config = config;
        this.clock = clock;
    }

    /** What became of a saving. */
    public sealed interface SaveResult {
        /** It is stored, as the entry of this number. */
        record Saved(AttendanceEntry entry) implements SaveResult {
        }

        /** Nothing was stored: what is wrong, field by field. */
        record Refused(List<Remark> remarks) implements SaveResult {
            public Refused {
                remarks = List.copyOf(remarks);
            }
        }

        /** Nothing was stored: somebody else has saved since the writer began. */
        record ChangedMeanwhile(AttendanceEntry current) implements SaveResult {
        }

        /** No such alarm or person. */
        record NotFound() implements SaveResult {
        }
    }

    /**
     * Keeps what was said, complete or not. What is wrong is refused; what is missing is not.
     *
     * @param expected the number of the entry that the writer has seen; 0 when there was none
     */
    @Transactional
    public SaveResult save(long alarmId, int expected, Attendance said, long personId) {
        Optional<AlarmRecord> found = lockWithSite(alarmId);
        Optional<Contact> person = people.find(personId);
        if (found.isEmpty() || person.isEmpty()) {
            return new SaveResult.NotFound();
        }
        AlarmRecord alarm = found.get();
        Optional<AttendanceEntry> current = entries(alarmId).stream().findFirst();
        int number = current.map(AttendanceEntry::number).orElse(0);
        if (current.filter(it -> it.attendance().equals(said)).isPresent()) {
            // Pressed twice, or saved again unchanged: said once is enough.
            return new SaveResult.Saved(current.get());
        }
        if (number != expected) {
            return new SaveResult.ChangedMeanwhile(current.orElseThrow());
        }
        Instant now = clock.instant();
        Setting setting = setting(alarm);
        List<Remark> wrong = said.wrong(setting, now);
        if (!wrong.isEmpty()) {
            return new SaveResult.Refused(wrong);
        }
        AttendanceEntry entry = new AttendanceEntry(alarmId, number + 1, now, personId, said.isComplete(setting, now), said);
        SqlWork.on(entities, connection -> {
            AttendanceBook.add(connection, entry);
            return null;
        });
        alarm.attended(entry.isComplete() ? Optional.of(now) : Optional.empty());
        alarms.flush();
        boolean wasComplete = current.filter(AttendanceEntry::isComplete).isPresent();
        journal.append(journalled(alarm, entry, wasComplete, person.get().reference()));
        if (said.arrivedAt().isPresent()) {
            callOuts.arrived(alarm, now);
        }
        return new SaveResult.Saved(entry);
    }

    /**
     * "I am there": records the arrival now, unless one is recorded, and leaves all else as it was said. Refused only where it was said
     * that there is no record.
     */
    @Transactional
    public SaveResult arrive(long alarmId, long personId) {
        if (lockWithSite(alarmId).isEmpty()) {
            return new SaveResult.NotFound();
        }
        Optional<AttendanceEntry> current = entries(alarmId).stream().findFirst();
        Attendance said = current.map(AttendanceEntry::attendance).orElse(Attendance.NOTHING).arrivedAt(clock.instant());
        return save(alarmId, current.map(AttendanceEntry::number).orElse(0), said, personId);
    }

    /** Everything that was saved about an alarm, newest first. */
    @Transactional
    public List<AttendanceEntry> entries(long alarmId) {
        return SqlWork.on(entities, connection -> AttendanceBook.ofAlarm(connection, causes, alarmId));
    }

    /** What a record about this alarm is measured against; empty when there is no such alarm. */
    @Transactional
    public Optional<Setting> setting(long alarmId) {
        return alarms.findByIdOptional(alarmId).map(this::setting);
    }

    private Setting setting(AlarmRecord alarm) {
        Scope scope = alarm.kind().scope();
        Optional<CabinetSheet> sheet = alarm.cabinetId().isPresent() ? register.findSheet(alarm.cabinetId().getAsLong()) : Optional.empty();
        ZoneId zone = register.site(alarm.siteId()).map(SiteSheet::zone).orElse(config.operatorZone());
        return new Setting(scope, alarm.since(), zone,
                sheet.isPresent() ? OptionalInt.of(sheet.get().circuit().fuseAmpere()) : OptionalInt.empty());
    }

    /** Who tested it is a name, so it stays out of the journal; that it was tested does not. */
    private static Entry journalled(AlarmRecord alarm, AttendanceEntry entry, boolean wasComplete, String person) {
        Attendance said = entry.attendance();
        String kind = !said.noneBecause().isBlank() ? "attendance-not-recorded"
                : wasComplete ? "attendance-corrected" : entry.isComplete() ? "attendance-completed" : "attendance-written";
        return AlarmKeeper.entry(alarm, kind, entry.writtenAt()).with("person", person).with("number", entry.number())
                .with("complete", entry.isComplete())
                .with("arrived", said.arrivedAt())
                .with("cause", said.cause().map(AttendanceCause::word))
                .with("done", filled(said.done()))
                .with("retested-by-competent-person", said.retesterCompetent() && !said.retestedBy().isBlank())
                .with("fuse-fitted-a", said.fuseFittedAmpere())
                .with("content", said.content())
                .with("content-moved-to", filled(said.contentMovedTo()))
                .with("people-told", said.peopleTold())
                .with("fit", said.fit())
                .with("none-because", filled(said.noneBecause()));
    }

    private static Optional<String> filled(String text) {
        return Optional.of(text).filter(it -> !it.isBlank());
    }

    private Optional<AlarmRecord> lockWithSite(long alarmId) {
        Optional<Long> siteId = alarms.find("select a.siteId from Alarm a where a.id = ?1", alarmId).project(Long.class)
                .firstResultOptional();
        siteId.ifPresent(sites::lock);
        return siteId.flatMap(id -> alarms.findByIdOptional(alarmId));
    }
}
